#pragma once

/// The parts of a run's report that follow from its scenario and its verdict.

#include "harness/judge/verdict.hpp"
#include "harness/report/document.hpp"

namespace rimebench {

/// The first speed of a profile that is not 0; 0 if none is.
double first_running(const SpeedProfile& speed);

/// The line to scale, with a shot that stays open for `opening`.
LineBlock line_block(const LineSpec& line, const ContainerSpec& container,
                     const ProductSpec& product, double containers_per_min, Duration opening);

/// Belt speed as the scenario has it: at most a thousand points, peaks kept.
ProfileBlock profile_block(const PlantSpec& plant);

ExpectationsBlock expectations_block(const Verdict& verdict);
TableBlock places_table(const Verdict& verdict);
/// The first bad containers; each row leads to its container.
TableBlock failures_table(const Verdict& verdict);
/// What passed the gate, and what the controller counted.
FactsBlock gate_facts(const Verdict& verdict);
FactsBlock counter_facts(const Verdict& verdict);
/// Nitrogen used, and what the supply had.
FactsBlock nitrogen_facts(const Scenario& scenario, const Verdict& verdict);
/// The fewest and the most containers that each stop may cost, and what it did cost.
TableBlock stops_table(const Verdict& verdict);
/// Every limit that the scenario sets, and who stands for it.
SignoffBlock signoff_block(const Scenario& scenario, const Verdict& verdict);

}  // namespace rimebench
