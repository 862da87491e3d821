#include "harness/dossier/run_blocks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <string_view>

#include "harness/dossier/names.hpp"
#include "harness/dossier/shot_times.hpp"
#include "harness/judge/finding_text.hpp"
#include "harness/judge/verdict_json.hpp"
#include "plant_model/spec/befell.hpp"

namespace rimebench {

namespace {

constexpr std::size_t kProfileMost = 1000;

Cell figure(double value, Measure quantity, int digits) { return Figure{value, quantity, digits}; }
Cell time_s(Instant at) { return Figure{static_cast<double>(at.us) / 1e6, Measure::kTimeS}; }

/// A pressure that is finite, or that the container is full of liquid.
Cell pressure(std::int64_t pa) {
  if (pa >= kLiquidFullPa) return std::string("liquid-full");
  return figure(static_cast<double>(pa) / 1e3, Measure::kPressureKpa, 1);
}

Cell finding_cell(const Finding& finding, double value) {
  const std::string text = figure_text(finding, value);
  if (finding.unit == "kPa" && text != "liquid-full") {
    return figure(value, Measure::kPressureKpa, finding.decimals);
  }
  if (finding.unit == "um") return Figure{value, Measure::kLengthUm};
  if (finding.unit == "us") return Figure{value, Measure::kTimeUs};
  if (finding.unit == "g") return figure(value, Measure::kMassG, finding.decimals);
  if (finding.unit == "%") return figure(value, Measure::kSharePercent, finding.decimals);
  if (finding.unit == "ug/kg") return figure(value, Measure::kTpoPpb, finding.decimals);
  return text;
}

const char* bound_text(Bound bound) {
  switch (bound) {
    case Bound::kAtLeast:
      return "least";
    case Bound::kAtMost:
      return "most";
    case Bound::kEquals:
      return "equals";
  }
  return "";
}

std::vector<LineStation> stations_of(const LineSpec& line) {
  const StationsSpec& at = line.stations;
  std::vector<LineStation> stations{{"filler", "filler", 0},
                                    {"sensor", "container sensor", at.sensor_um},
                                    {"nozzle", "nozzle", at.nozzle_um}};
  if (at.lid_um > 0) stations.push_back({"lid", "lid", at.lid_um});
  const bool queued = line.transport == Transport::kQueued;
  stations.push_back({"seamer", queued ? "seamer takes" : "first seaming roll", at.seam_um});
  if (at.discharge_um > 0) stations.push_back({"discharge", "discharge sensor", at.discharge_um});
  if (line.pressure_check) {
    const std::int64_t own_um = line.pressure_check->at_um;
    const std::int64_t else_um = at.gate_um > 0 ? at.gate_um : at.seam_um;
    stations.push_back({"pressure_check", "pressure check", own_um > 0 ? own_um : else_um});
  }
  if (at.gate_um > 0) stations.push_back({"gate", "reject gate", at.gate_um});
  return stations;
}

}  // namespace

double first_running(const SpeedProfile& speed) {
  for (const SpeedKnot& knot : speed) {
    if (knot.containers_per_min > 0.0) return knot.containers_per_min;
  }
  return 0.0;
}

LineBlock line_block(const LineSpec& line, const ContainerSpec& container,
                     const ProductSpec& product, double containers_per_min, Duration opening) {
  LineBlock block;
  block.stations = stations_of(line);
  block.nozzle_height_um = line.nozzle.height_um;
  block.jet_diameter_um = line.nozzle.jet_diameter_um;
  block.diameter_um = container.body_um;
  block.opening_um = container.opening_um;
  block.fill_share = std::min(1.0, product.fill_ml / container.brimful_ml);
  const bool groups = line.filler.kind == FillerKind::kInline;
  block.pitch_um = groups ? line.filler.head_pitch_um : line.filler.pitch_um;
  if (groups) {
    block.heads = line.filler.heads;
    block.group_pitch_um = line.filler.group_pitch_um;
  }
  block.queued = line.transport == Transport::kQueued;
  const double um_per_s = containers_per_min * travel_per_container_um(line.filler) / 60.0;
  const auto travel = [&](double us) { return static_cast<std::int64_t>(um_per_s * us / 1e6); };
  block.speed_um_per_s = static_cast<std::int64_t>(um_per_s);
  block.fall = fall_to_drink(line.nozzle, product);
  block.open = opening;
  const auto half_us = static_cast<double>(opening.raw) / 2.0;
  const auto fall_us = static_cast<double>(block.fall.raw);
  block.opens_um = -travel(fall_us + half_us);
  block.closes_um = -travel(fall_us - half_us);
  return block;
}

ProfileBlock profile_block(const PlantSpec& plant) {
  ProfileBlock block{"line speed", Measure::kRatePerMin, false, {}};
  const SpeedProfile& speed = plant.speed;
  const std::size_t stride = speed.size() / (kProfileMost / 2) + 1;
  const auto add = [&](const SpeedKnot& knot) {
    block.points.emplace_back(knot.at, knot.containers_per_min);
  };
  const auto slower = [](const SpeedKnot& a, const SpeedKnot& b) {
    return a.containers_per_min < b.containers_per_min;
  };
  for (std::size_t at = 0; at < speed.size(); at += stride) {
    const auto from = speed.begin() + static_cast<std::ptrdiff_t>(at);
    const auto until =
        speed.begin() + static_cast<std::ptrdiff_t>(std::min(at + stride, speed.size()));
    auto [least, most] = std::minmax_element(from, until, slower);
    if (least > most) std::swap(least, most);
    add(*least);
    if (least != most) add(*most);
  }
  if (!block.points.empty() && block.points.back().first < Instant{} + plant.feed) {
    block.points.emplace_back(Instant{} + plant.feed, speed.back().containers_per_min);
  }
  return block;
}

ExpectationsBlock expectations_block(const Verdict& verdict) {
  ExpectationsBlock block;
  for (const Finding& finding : verdict.findings) {
    Expectation row{in_words(finding.words),
                    to_text(finding.outcome),
                    bound_text(finding.bound),
                    finding_cell(finding, finding.allowed),
                    {}};
    if (finding.outcome != Outcome::kInconclusive) {
      row.measured = finding_cell(finding, finding.measured);
    }
    row.looked_at = finding.looked_at;
    row.breaches = finding.breaches;
    if (finding.first) {
      row.first_container = finding.first->container;
      row.first = finding.first->at;
    }
    row.note = finding.note;
    block.rows.push_back(std::move(row));
  }
  return block;
}

TableBlock places_table(const Verdict& verdict) {
  TableBlock table;
  table.columns = {{"place", {}, {}, true}, {"containers", {}, {}, true}};
  for (const char* name : {"mean", "deviation", "least", "most"}) {
    table.columns.push_back({name, Measure::kPressureKpa, 1, true});
  }
  table.columns.push_back({"dose off, mean", Measure::kSharePercent, 1, true});
  table.columns.push_back({"dose off, worst", Measure::kSharePercent, 1, true});
  for (const auto& [number, place] : verdict.places) {
    std::vector<Cell>& row = table.rows.emplace_back(std::vector<Cell>{
        number, place.containers, place.mean_kpa, place.sd_kpa, place.least_kpa, place.most_kpa});
    if (place.dosed == 0) continue;
    row.insert(row.end(), {place.dose_error_mean_percent, place.dose_error_worst_percent});
  }
  return table;
}

TableBlock failures_table(const Verdict& verdict) {
  TableBlock table;
  table.columns = {
      {"container", {}, {}, true}, {"place", {}, {}, true}, {"sensor edge"},          {"cause"},
      {"what became of it"},       {"settled pressure"},    {"hot pressure, prompt"}, {"landing"},
      {"disturbances that met it"}};
  for (const LedgerRow& row : verdict.bad_rows) {
    const Cell landing = row.shots == 0 ? Cell{std::string("no shot")}
                                        : figure(static_cast<double>(row.landing_offset_um) / 1e3,
                                                 Measure::kLengthMm, 1);
    table.rows.push_back({row.container, row.place, time_s(Instant{row.sensor_us}),
                          in_words(kCauseNames.at(static_cast<std::size_t>(row.cause))),
                          std::string(row.removed != 0   ? "taken out"
                                      : row.flagged != 0 ? "flagged, not taken out"
                                                         : "escaped"),
                          pressure(row.equilibrium_pa), pressure(row.hot_prompt_pa), landing,
                          in_words(befell_text(row.befell))});
  }
  table.container_column = 0;
  std::int64_t bad = 0;
  for (const std::int64_t count : verdict.bad_by_cause) bad += count;
  if (bad > static_cast<std::int64_t>(table.rows.size())) table.total = bad;
  return table;
}

FactsBlock gate_facts(const Verdict& verdict) {
  const auto share = [](const Share& of) {
    if (of.of == 0) return std::string("none seen");
    return fmt::format("{:.3f} %, 95 % confidence {:.3f} to {:.3f} %", of.percent, of.low_percent,
                       of.high_percent);
  };
  FactsBlock facts;
  facts.rows = {{"containers finished", verdict.containers},
                {"taken out at the gate", verdict.removed},
                {"escapes: bad, on the good side", verdict.escapes.count, share(verdict.escapes)},
                {"of these not flagged, though a sensor could tell", verdict.escapes_sensed.count},
                {"of these not flagged, and no sensor could tell", verdict.escapes_unsensed.count},
                {"of these flagged, but not taken out", verdict.escapes_missed_by_gate},
                {"good, but taken out", verdict.false_rejects.count, share(verdict.false_rejects)},
                {"no shot met them", verdict.undosed},
                {"more than one shot met them", verdict.double_dosed},
                {"a disturbance met them", verdict.exposed}};
  if (verdict.unfinished > 0) facts.rows.push_back({"never got to the end", verdict.unfinished});
  for (std::size_t i = 1; i < verdict.bad_by_cause.size(); ++i) {
    if (verdict.bad_by_cause[i] == 0) continue;
    facts.rows.push_back({"bad: " + in_words(kCauseNames[i]), verdict.bad_by_cause[i]});
  }
  return facts;
}

FactsBlock counter_facts(const Verdict& verdict) {
  FactsBlock facts;
  std::string faults;
  for (const std::string& fault : verdict.faults)
    faults += (faults.empty() ? "" : ", ") + in_words(fault);
  facts.rows = {{"alarm at the end", in_words(verdict.alarm)},
                {"alarms raised", faults.empty() ? std::string("none") : faults}};
  for (const auto& [name, count] : verdict.counters) facts.rows.push_back({in_words(name), count});
  return facts;
}

FactsBlock nitrogen_facts(const Scenario& scenario, const Verdict& verdict) {
  const auto hours = static_cast<double>(scenario.plant.feed.raw) / 3.6e9;
  FactsBlock facts;
  facts.rows = {
      {"through the valve", figure(verdict.valve_g, Measure::kMassG, 1),
       "at the valve's nominal flow"},
      {"into or onto containers", figure(verdict.nozzle_g, Measure::kMassG, 1)},
      {"for each container",
       figure(verdict.valve_g * 1e3 /
                  static_cast<double>(std::max<std::int64_t>(verdict.containers, 1)),
              Measure::kMassMg, 1)},
      {"in an hour", figure(verdict.valve_g / 1e3 / hours, Measure::kMassKg, 2),
       "while the filler releases containers; what cools, flashes and warms up comes on top"},
      {"shots", verdict.shots},
      {"longest real opening",
       figure(static_cast<double>(verdict.longest_open_us) / 1e3, Measure::kTimeMs, 1)},
      {"commands that the valve did not follow in time", verdict.stuck_shots}};
  if (const auto& supply = scenario.plant.line.supply) {
    facts.rows.push_back({"vessel at the start", figure(supply->vessel_l, Measure::kVolumeL, 0)});
    facts.rows.push_back({"its pressure", figure(supply->vessel_kpa, Measure::kPressureKpa, 0)});
    facts.rows.push_back(
        {"lost on the way from it", figure(supply->transfer_percent, Measure::kSharePercent, 1)});
  }
  if (const auto& room = scenario.plant.line.room) {
    facts.rows.push_back({"room", figure(room->volume_m3, Measure::kVolumeM3, 0)});
    facts.rows.push_back({"its air changes in an hour", room->air_changes_per_h});
  }
  return facts;
}

TableBlock stops_table(const Verdict& verdict) {
  TableBlock table;
  table.columns = {{"stops at"},
                   {"for"},
                   {"may cost at least", {}, {}, true},
                   {"at most", {}, {}, true},
                   {"did cost", {}, {}, true}};
  for (const StopFigures& stop : verdict.stops) {
    table.rows.push_back(
        {time_s(stop.at), time_s(Instant{} + stop.lasts), stop.least, stop.most, stop.lost});
  }
  return table;
}

SignoffBlock signoff_block(const Scenario& scenario, const Verdict& verdict) {
  SignoffBlock block;
  const auto add = [&](const std::string& key, const std::string& limit, Cell value) {
    SignoffRow row{limit, std::move(value)};
    const auto approval = std::ranges::find(scenario.approvals, key, &Approval::limit);
    if (approval != scenario.approvals.end()) {
      if (approval->owner) row.owner = kLimitOwnerWords[static_cast<std::size_t>(*approval->owner)];
      row.document = approval->document;
      row.date = approval->date;
      row.signature = approval->signature;
    }
    block.rows.push_back(std::move(row));
  };
  const ContainerSpec& container = scenario.plant.container;
  add("rating_kpa", "pressure rating of the container",
      figure(container.rating_kpa, Measure::kPressureKpa, 0));
  add("rating_safety_factor", "safety factor on that rating", container.rating_safety_factor);
  const std::vector<std::string> limits = approvable_limits();
  for (const Finding& finding : verdict.findings) {
    if (std::ranges::find(limits, finding.name) == limits.end()) continue;
    const char* const bound = finding.bound == Bound::kAtLeast ? "at least" : "at most";
    add(finding.name, fmt::format("{}, {}", finding.words, bound),
        finding_cell(finding, finding.allowed));
  }
  return block;
}

}  // namespace rimebench
