#include "harness/judge/verdict_json.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <string_view>

#include "firmware_sim/contract/channel_table.hpp"

#include "harness/config/words.hpp"
#include "harness/judge/sensed.hpp"
#include "plant_model/spec/befell.hpp"

namespace rimebench {

namespace {

using Json = nlohmann::ordered_json;

Json share_json(const Share& share) {
  return {{"count", share.count},
          {"of", share.of},
          {"percent", share.percent},
          {"percent_95_low", share.low_percent},
          {"percent_95_high", share.high_percent}};
}

const char* to_text(Bound bound) {
  switch (bound) {
    case Bound::kAtLeast:
      return "at_least";
    case Bound::kAtMost:
      return "at_most";
    case Bound::kEquals:
      return "equals";
  }
  return "";
}

Json first_json(const Breach& first) {
  Json json{{"at_us", first.at.us}};
  if (first.container > 0) {
    json["container"] = first.container;
    json["place"] = first.place;
    json["cause"] = kCauseNames[static_cast<std::size_t>(first.cause)];
  }
  if (first.measured) json["measured"] = *first.measured;
  return json;
}

/// Where nothing was measured there is no figure to give: null.
Json finding_json(const Finding& finding) {
  Json json{{"name", finding.name},         {"outcome", to_text(finding.outcome)},
            {"measured", finding.measured}, {"limit", to_text(finding.bound)},
            {"allowed", finding.allowed},   {"unit", finding.unit}};
  if (finding.outcome == Outcome::kInconclusive) json["measured"] = nullptr;
  if (finding.looked_at > 0) {
    json["looked_at"] = finding.looked_at;
    json["breaches"] = finding.breaches;
  }
  if (finding.first) json["first"] = first_json(*finding.first);
  return json;
}

Json row_json(const PlantSpec& plant, const LedgerRow& row) {
  Json json = Json::object();
  for (const LedgerColumn& column : kLedgerColumns) json[column.name] = row.*column.value;
  json["befell"] = befell_text(row.befell);
  json["cause"] = kCauseNames[static_cast<std::size_t>(row.cause)];
  json["sensed"] = sensed(row, plant);
  return json;
}

Json places_json(const Verdict& verdict) {
  Json places = Json::array();
  for (const auto& [number, place] : verdict.places) {
    places.push_back({{"place", number},
                      {"containers", place.containers},
                      {"equilibrium_kpa_mean", place.mean_kpa},
                      {"equilibrium_kpa_sd", place.sd_kpa},
                      {"equilibrium_kpa_least", place.least_kpa},
                      {"equilibrium_kpa_most", place.most_kpa},
                      {"dosed", place.dosed},
                      {"dose_error_percent_mean", place.dose_error_mean_percent},
                      {"dose_error_percent_worst", place.dose_error_worst_percent}});
  }
  return places;
}

Json stops_json(const Verdict& verdict) {
  Json stops = Json::array();
  for (const StopFigures& stop : verdict.stops) {
    stops.push_back({{"at_us", stop.at.us},
                     {"for_us", stop.lasts.raw},
                     {"costs_least", stop.least},
                     {"costs_most", stop.most},
                     {"cost", stop.lost}});
  }
  return stops;
}

Json causes_json(const Verdict& verdict) {
  Json causes = Json::object();
  for (std::size_t i = 1; i < verdict.bad_by_cause.size(); ++i) {
    if (verdict.bad_by_cause[i] > 0) causes[kCauseNames[i]] = verdict.bad_by_cause[i];
  }
  return causes;
}

/// Named as their channels, without the part that they share.
Json paced_json(const PacedFigures& paced) {
  constexpr std::string_view kShared = "paced_";
  Json json = Json::object();
  for (const ChannelRow& row : kChannelTable) {
    if (!PacedFigures::holds(row.channel)) continue;
    json[std::string(std::string_view(row.name).substr(kShared.size()))] = paced[row.channel];
  }
  return json;
}

}  // namespace

const char* to_text(Outcome outcome) {
  switch (outcome) {
    case Outcome::kPass:
      return "pass";
    case Outcome::kFail:
      return "fail";
    case Outcome::kInconclusive:
      return "inconclusive";
  }
  return "";
}

std::string to_json(const Scenario& scenario, const Verdict& verdict) {
  Json json{{"scenario", scenario.name},
            {"title", scenario.title},
            {"claim", kClaimWords[static_cast<std::size_t>(scenario.claim)]},
            {"seed", scenario.plant.seed},
            {"verdict", to_text(verdict.outcome)},
            {"reason", verdict.reason},
            {"digest", fmt::format("{:016x}", verdict.digest)},
            {"signal_changes", verdict.signal_changes},
            {"exchanges", verdict.exchanges},
            {"end_us", verdict.end.us},
            {"containers", verdict.containers},
            {"unfinished", verdict.unfinished},
            {"removed", verdict.removed},
            {"escapes", share_json(verdict.escapes)},
            {"escapes_sensed", share_json(verdict.escapes_sensed)},
            {"escapes_unsensed", share_json(verdict.escapes_unsensed)},
            {"escapes_missed_by_gate", verdict.escapes_missed_by_gate},
            {"false_rejects", share_json(verdict.false_rejects)},
            {"causes", causes_json(verdict)},
            {"undosed", verdict.undosed},
            {"double_dosed", verdict.double_dosed},
            {"exposed", verdict.exposed},
            {"recipes_taken", verdict.recipes_taken},
            {"recipes_refused", verdict.recipes_refused},
            {"shots", verdict.shots},
            {"nozzle_g", verdict.nozzle_g},
            {"valve_g", verdict.valve_g},
            {"longest_open_us", verdict.longest_open_us},
            {"stuck_shots", verdict.stuck_shots},
            {"hot_prompt_kpa_most", static_cast<double>(verdict.hot_most_pa) / 1'000.0},
            {"hot_prompt_over", share_json(verdict.hot_over)},
            {"alarm", verdict.alarm},
            {"faults", verdict.faults},
            {"counters", verdict.counters},
            {"stops", stops_json(verdict)},
            {"places", places_json(verdict)}};
  if (verdict.paced) json["paced"] = paced_json(*verdict.paced);
  json["expectations"] = Json::array();
  for (const Finding& finding : verdict.findings) {
    json["expectations"].push_back(finding_json(finding));
  }
  json["bad_rows"] = Json::array();
  for (const LedgerRow& row : verdict.bad_rows)
    json["bad_rows"].push_back(row_json(scenario.plant, row));
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace rimebench
