#include <array>
#include <optional>
#include <span>
#include <string>

#include "harness/config/plan_tables.hpp"
#include "harness/config/plan_tree.hpp"
#include "harness/config/reader.hpp"
#include "harness/config/tables.hpp"
#include "harness/config/words.hpp"

namespace rimebench {

namespace {

/// A map of rows that may be left out.
template <class Spec, std::size_t kCount>
void read_optional(Section& root, const char* key, const std::array<Row<Spec>, kCount>& rows,
                   Spec& spec) {
  if (std::optional<Section> section = root.child(key, false)) {
    read_rows(*section, rows, spec);
    section->close();
  }
}

void read_target(Section& root, PlanTarget& target) {
  std::optional<Section> section = root.child("target", true);
  if (!section) return;
  read_rows(*section, kTargetRows, target);
  int given = 0;
  bool all_good = true;
  for (const TargetKey& wanted : kTargetKeys) {
    const std::optional<Number> number = section->number(wanted.key);
    all_good = all_good && root.reading().good({section->path_of(wanted.key.key).c_str()});
    if (!number) continue;
    ++given;
    target.kind = wanted.kind;
    target.value = number->real;
  }
  if (given != 1 && all_good) {
    root.reading().problem(
        section->mark(), "target",
        std::string(given == 0 ? "missing" : "more than one") +
            ": one of equilibrium_kpa, headspace_oxygen_percent, total_package_oxygen_ppb, "
            "dissolved_nitrogen_mg_per_kg");
  }
  section->close();
}

void read_checks(Section& root, PlanChecks& checks) {
  std::optional<Section> section = root.child("checks", false);
  if (!section) return;
  read_rows(*section, kCheckRows, checks);
  const auto words = std::span(kPlaceSourceWords).subspan(1);
  if (const auto choice = section->choice(kPlacesByKey, words, false)) {
    checks.place_source = static_cast<PlaceSource>(*choice + 1);
  }
  section->close();
}

}  // namespace

void read_plan(Section& root, PlanSpec& plan) {
  plan.name = root.text(kNameKey).value_or("");
  plan.title = root.text(kTitleKey).value_or("");
  read_section(root, "container", kContainerRows, plan.container);
  read_section(root, "product", kProductRows, plan.product);
  read_line(root, plan.line);
  read_rows(root, kPlanRows, plan);
  read_target(root, plan.target);
  read_optional(root, "bore", kBoreRows, plan.bore);
  read_checks(root, plan.checks);
  read_optional(root, "supply", kPlanSupplyRows, plan.supply);
  read_optional(root, "room", kPlanRoomRows, plan.room);
  read_optional(root, "nitrogenation", kNitrogenationRows, plan.nitrogenation);
  read_optional(root, "restart", kRestartRows, plan.restart);
  root.close();
}

}  // namespace rimebench
