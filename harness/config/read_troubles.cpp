#include "harness/config/reader.hpp"
#include "harness/config/trouble_tables.hpp"

namespace rimebench {

namespace {

void read_kind(Section& map, ValveTrouble& trouble) {
  switch (trouble.kind) {
    case ValveTroubleKind::kSlow:
      return read_rows(map, kValveSlowRows, trouble);
    case ValveTroubleKind::kSticksShut:
    case ValveTroubleKind::kSticksOpen:
      return read_rows(map, kValveSticksRows, trouble);
    case ValveTroubleKind::kLeaks:
      return read_rows(map, kValveLeaksRows, trouble);
    case ValveTroubleKind::kIced:
      return read_rows(map, kValveIcedRows, trouble);
    case ValveTroubleKind::kDrifts:
      return read_rows(map, kValveDriftsRows, trouble);
    case ValveTroubleKind::kDeflected:
      return read_rows(map, kValveDeflectedRows, trouble);
    case ValveTroubleKind::kFailsOpen:
      return;
  }
}

void read_kind(Section& map, GateTrouble& trouble) {
  switch (trouble.kind) {
    case GateTroubleKind::kSlow:
      return read_rows(map, kGateSlowRows, trouble);
    case GateTroubleKind::kLowAir:
    case GateTroubleKind::kMisses:
    case GateTroubleKind::kEyeBlind:
      return read_rows(map, kGateShareRows, trouble);
    case GateTroubleKind::kBinEmptied:
      trouble.lasts = 1_us;  // a moment, however often
      return;
    case GateTroubleKind::kStuckIn:
    case GateTroubleKind::kStuckOut:
      return;
  }
}

/// A trouble must not begin before an earlier one of its kind has ended.
template <class Trouble>
void check_overlap(Reading& reading, const std::string& path, const std::vector<Trouble>& all) {
  const Trouble& last = all.back();
  for (std::size_t i = 0; i + 1 < all.size(); ++i) {
    const Instant free_from = all[i].at + all[i].lasts;
    if (all[i].kind != last.kind || last.at >= free_from) continue;
    reading.problem_at(path + ".at_us",
                       std::to_string(last.at.us) +
                           " is before the one of the same kind above has ended, " +
                           std::to_string(free_from.us));
    return;
  }
}

template <class Trouble, std::size_t kCount, std::size_t kWords>
std::vector<Trouble> read_list_of(Section& happens, const PlainKey& key,
                                  const std::array<Row<Trouble>, kCount>& common,
                                  const std::array<const char*, kWords>& words) {
  std::vector<Trouble> all;
  const auto items = happens.list(key);
  if (!items || items->empty()) return all;
  Reading& reading = happens.reading();
  reading.resolved().open(key.key);
  for (const Value& item : *items) {
    const std::string path = happens.path_of(key.key) + '[' + std::to_string(all.size() + 1) + ']';
    Trouble& trouble = all.emplace_back();
    if (item.kind != Value::Kind::kMap) {
      reading.problem(item.mark, path, std::string(kind_name(item.kind)) + ", not a map of keys");
      continue;
    }
    reading.resolved().open_item();
    Section map(reading, item, path);
    const std::optional<int> kind = map.choice(kTroubleKindKey, words, false);
    read_rows(map, common, trouble);
    if (kind) {
      trouble.kind = static_cast<decltype(trouble.kind)>(*kind);
      read_kind(map, trouble);
    } else {
      map.leave_the_rest();  // which keys belong here depends on the kind
    }
    map.close();
    reading.resolved().close_item();
    const std::string at = path + ".at_us";
    if (kind && reading.good({at.c_str()})) check_overlap(reading, path, all);
  }
  reading.resolved().close();
  return all;
}

void read_link_fault(Section& happens, Happenings& into) {
  std::optional<Section> section = happens.child("link_fault", false);
  if (!section) return;
  LinkFault& fault = into.link_fault.emplace();
  const std::optional<int> kind = section->choice(kLinkFaultKindKey, kLinkFaultWords, false);
  read_rows(*section, kLinkFaultRows, fault);
  if (kind) {
    fault.kind = static_cast<LinkFaultKind>(*kind);
    if (fault.kind == LinkFaultKind::kAnswersLate) read_rows(*section, kLinkLateRows, fault);
  } else {
    section->leave_the_rest();  // whether late_us belongs here depends on the kind
  }
  section->close();
}

}  // namespace

void read_troubles(Section& happens, const LineSpec& line, Happenings& into) {
  into.valve = read_list_of(happens, kValveTroublesKey, kValveTroubleRows, kValveTroubleWords);
  into.gate = read_list_of(happens, kGateTroublesKey, kGateTroubleRows, kGateTroubleWords);
  const bool gate = line.stations.gate_um > 0 || into.gate.empty();
  if (!gate && happens.reading().good({"line.stations.gate_um"})) {
    happens.reading().problem_at("happens.gate[1].at_us",
                                 "line.stations.gate_um says that there is no gate");
  }
  if (std::optional<Section> section = happens.child("core_hang", false)) {
    into.core_hang.emplace();
    read_rows(*section, kCoreHangRows, *into.core_hang);
    section->close();
  }
  if (std::optional<Section> section = happens.child("core_restart", false)) {
    into.core_restart.emplace();
    read_rows(*section, kCoreRestartRows, *into.core_restart);
    section->close();
    if (into.core_hang) {
      happens.reading().problem_at("happens.core_restart.at_us",
                                   "a core that hangs (happens.core_hang) stays as it is");
    }
  }
  read_link_fault(happens, into);
}

void read_controls(Section& line, LineSpec& spec) {
  std::optional<Section> section = line.child("controls", true);
  if (!section) return;
  read_rows(*section, kControlsRows, spec.controls);
  if (std::optional<Section> interlock = section->child("interlock", false)) {
    spec.interlock.emplace();
    read_rows(*interlock, kInterlockRows, *spec.interlock);
    interlock->close();
  }
  section->close();
}

}  // namespace rimebench
