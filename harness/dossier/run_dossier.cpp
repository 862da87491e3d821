#include "harness/dossier/run_dossier.hpp"

#include <fmt/format.h>

#include "harness/judge/verdict_json.hpp"

namespace rimebench {

namespace {

std::vector<std::string> why(const Verdict& verdict) {
  if (verdict.outcome == Outcome::kPass) return {"every expectation is met"};
  std::vector<std::string> parts;
  std::size_t from = 0;
  for (std::size_t at = verdict.reason.find("; "); at != std::string::npos;
       at = verdict.reason.find("; ", from)) {
    parts.push_back(verdict.reason.substr(from, at - from));
    from = at + 2;
  }
  parts.push_back(verdict.reason.substr(from));
  return parts;
}

std::vector<Fact> about(const Scenario& scenario, const Verdict& verdict) {
  return {{"scenario", scenario.name},
          {"seed", fmt::format("{}", scenario.plant.seed)},
          {"digest", fmt::format("{:016x}", verdict.digest)},
          {"signal changes", static_cast<std::int64_t>(verdict.signal_changes)},
          {"end of line time", Figure{static_cast<double>(verdict.end.us), Measure::kTimeUs}}};
}

FactsBlock gate_facts(const Verdict& verdict) {
  const auto share = [](const Share& of) {
    return fmt::format("{:.3f} %, 95 % confidence {:.3f} to {:.3f} %", of.percent, of.low_percent,
                       of.high_percent);
  };
  return {{{"containers finished", verdict.containers},
           {"taken out at the gate", verdict.removed},
           {"escapes", verdict.escapes.count, share(verdict.escapes)},
           {"good but taken out", verdict.false_rejects.count, share(verdict.false_rejects)},
           {"never dosed", verdict.undosed},
           {"dosed more than once", verdict.double_dosed},
           {"shots", verdict.shots},
           {"nitrogen through the valve", Figure{verdict.valve_g, Measure::kMassG}}}};
}

}  // namespace

Document run_dossier(const Scenario& scenario, const Verdict& verdict, ContainerLog& log,
                     const std::string& repeat) {
  Document document{scenario.title,
                    scenario.name,
                    "run",
                    to_text(verdict.outcome),
                    why(verdict),
                    about(scenario, verdict),
                    repeat,
                    {},
                    {}};
  document.cautions = {
      "A model proves logic and timing, not a package: the container supplier's rating, local "
      "codes and licensed practice decide.",
      "Liquid nitrogen burns, displaces oxygen and can burst a closed pack."};
  document.blocks.push_back({"gate", "What passed the gate", {}, gate_facts(verdict)});
  document.blocks.push_back({"containers", "Every container", {}, log.finish()});
  return document;
}

}  // namespace rimebench
