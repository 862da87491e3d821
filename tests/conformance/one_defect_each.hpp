#pragma once

#include <doctest/doctest.h>

#include <set>
#include <string>

#include "harness/conformance/battery.hpp"

namespace rimebench::test {

inline std::set<std::string> failed(const BatteryReport& report) {
  std::set<std::string> names;
  for (const CheckResult& result : report.results) {
    if (result.outcome != CheckOutcome::kPassed) names.insert(result.name);
  }
  return names;
}

/// Each of these nodes, named after a check, fails that one and no other.
template <class Defects, class ReportOn>
void each_fails_its_own(const Defects& defects, ReportOn report_on) {
  for (const auto& broken : defects) {
    const std::string& name = broken.first;
    CAPTURE(name);
    const BatteryReport report = report_on(broken.second);
    CHECK(failed(report) == std::set{name});
    CHECK(report.count(CheckOutcome::kFailed) == 1);
    for (const CheckResult& result : report.results) {
      CHECK(result.why.empty() == (result.name != name));
    }
  }
}

/// No check of this report is without such a node.
template <class Defects>
void each_has_one(const BatteryReport& report, const Defects& defects) {
  for (const CheckResult& result : report.results) {
    CAPTURE(result.name);
    CHECK(defects.contains(result.name));
  }
}

}  // namespace rimebench::test
