#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "harness/cli/audit_text.hpp"
#include "harness/cli/change_text.hpp"
#include "harness/judge/verdict_json.hpp"

namespace rimebench {

namespace {

using Json = nlohmann::ordered_json;

Json estimate(const Estimate& e) { return {{"value", e.value}, {"low", e.low}, {"high", e.high}}; }

Json measured(const Measured& m) {
  return {{"count", m.count},     {"outliers", m.outliers}, {"median", m.median}, {"sd", m.sd},
          {"mean", m.mean.value}, {"low", m.mean.low},      {"high", m.mean.high}};
}

Json faults(const std::vector<ShotFault>& all) {
  Json json = Json::array();
  for (const ShotFault& fault : all) {
    Json row;
    row["at_us"] = fault.at_us;
    row["container"] = fault.container > 0 ? Json(fault.container) : Json(nullptr);
    json.push_back(row);
  }
  return json;
}

Json pulses_json(const PulseAudit& pulses) {
  Json json;
  json["pulses"] = pulses.pulses;
  json["lost"] = pulses.lost;
  json["extra"] = pulses.extra;
  json["standstills"] = pulses.standstills;
  json["jitter_us"] = pulses.jitter_us;
  json["slowest_um_per_us"] = pulses.slowest_um_per_us;
  json["fastest_um_per_us"] = pulses.fastest_um_per_us;
  json["faults"] = Json::array();
  for (const PulseFault& fault : pulses.faults) {
    json["faults"].push_back({{"at_us", fault.at_us}, {"pulses", fault.pulses}});
  }
  return json;
}

const char* kind_key(DelayKind kind) {
  constexpr const char* kKeys[] = {"cannot_tell", "time", "distance", "neither"};
  return kKeys[static_cast<std::size_t>(kind)];
}

Json law_json(const DelayLaw& law) {
  Json json;
  json["kind"] = kind_key(law.kind);
  json["points"] = law.points;
  json["outliers"] = law.outliers;
  json["speed_range"] = law.speed_range;
  json["time_us"] = estimate(law.time_us);
  json["distance_um"] = estimate(law.distance_um);
  json["time_leaves_us"] = law.time_spread_us;
  json["distance_leaves_us"] = law.distance_spread_us;
  json["likelier_log10"] = law.surer;
  json["both_time_us"] = estimate(law.both_time_us);
  json["both_distance_um"] = estimate(law.both_distance_um);
  json["time_chance"] = law.time_chance;
  json["distance_chance"] = law.distance_chance;
  return json;
}

Json places_json(const AuditReport& report) {
  Json json = Json::array();
  for (const auto& [place, row] : report.places) {
    Json one;
    one["place"] = place;
    one["length_us"] = measured(row.length_us);
    one["asked_us"] = row.asked_us ? Json(*row.asked_us) : Json(nullptr);
    one["off_us"] = row.asked_us ? measured(row.off_us) : Json(nullptr);
    json.push_back(one);
  }
  return json;
}

Json latencies_json(const AuditReport& report) {
  const ChangeText names;
  Json json;
  json["valve"] = nullptr;
  if (report.valve) {
    Json valve;
    valve["wire"] = names.name(report.valve->wire);
    valve["taken_off_us"] = report.valve->taken_off_us;
    valve["no_answer"] = report.valve->no_answer;
    valve["open_us"] = measured(report.valve->open_us);
    valve["close_us"] = measured(report.valve->close_us);
    json["valve"] = valve;
  }
  json["sensor"] = nullptr;
  if (report.sensor) {
    Json sensor;
    sensor["containers"] = report.sensor->containers;
    sensor["outliers"] = report.sensor->outliers;
    sensor["residual_um"] = report.sensor->residual_um;
    sensor["latency_us"] = estimate(report.sensor->latency_us);
    sensor["pulse_pitch_um"] = estimate(report.sensor->pulse_pitch_um);
    json["sensor"] = sensor;
  }
  json["not_told"] = not_told(report);
  return json;
}

Json change(const std::optional<SignalChange>& one) {
  if (!one) return nullptr;
  const ChangeText names;
  return {{"at_us", one->at.us}, {"channel", names.name(one->channel)}, {"value", one->value}};
}

Json core_json(const AuditReport& report) {
  const ChangeText names;
  Json json;
  json["own_start"] = report.core.own_start;
  json["before_us"] = report.core.start.before.raw;
  json["given"] = Json::array();
  for (const Channel channel : report.core.start.given)
    json["given"].push_back(names.name(channel));
  json["fault"] = static_cast<int>(report.core.fault);
  json["compared"] = report.comparison.has_value();
  if (!report.comparison) return json;
  json["from_us"] = report.comparison->from_us;
  json["within_us"] = report.comparison->within_us;
  json["channels"] = Json::array();
  for (const ChannelComparison& row : report.comparison->channels) {
    Json one;
    one["channel"] = names.name(row.channel);
    one["captured"] = row.captured;
    one["agreed"] = row.agreed;
    one["only_controller"] = row.only_core;
    one["later_us"] = measured(row.later_us);
    json["channels"].push_back(one);
  }
  json["first_difference"] = nullptr;
  if (!report.comparison->first) return json;
  json["first_difference"] = {{"captured", change(report.comparison->first->recorded)},
                              {"controller", change(report.comparison->first->replayed)}};
  return json;
}

Json corrections_json(const AuditReport& report) {
  Json json = Json::array();
  for (const Correction& one : report.corrections) {
    Json row;
    row["key"] = one.key;
    row["old"] = one.old_value;
    row["new"] = one.new_value;
    row["measured"] = estimate(one.measured);
    row["landing_um"] = one.landing_um;
    json.push_back(row);
  }
  return json;
}

}  // namespace

std::string audit_json(const AuditReport& report, const AuditContext& context) {
  Json json;
  json["file"] = context.file;
  json["line"] = context.line;
  json["recipe"] = context.recipe;
  json["verdict"] = to_text(outcome_of(report));
  json["reasons"] = Json::array();
  for (const AuditReason reason : report.reasons) {
    json["reasons"].push_back(
        {{"reason", reason_key(reason)}, {"text", reason_text(report, reason)}});
  }
  json["begin_us"] = report.begin.us;
  json["end_us"] = report.end.us;
  json["containers"] = report.containers.size();
  json["shots"] = report.shots.size();
  json["pulses"] = pulses_json(report.pulses);
  json["delay_us"] = measured(report.delay_us);
  json["late_us"] = measured(report.late_us);
  json["late_um"] = measured(report.late_um);
  json["matched_by_time"] = report.matched_by_time;
  json["law"] = report.law ? law_json(*report.law) : Json(nullptr);
  json["places"] = places_json(report);
  json["missing"] = faults(report.missing);
  json["double"] = faults(report.doubles);
  json["orphan"] = faults(report.orphans);
  json["refused"] = faults(report.refused);
  json["latencies"] = latencies_json(report);
  json["controller"] = core_json(report);
  json["corrections"] = corrections_json(report);
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + '\n';
}

}  // namespace rimebench
