#pragma once

/// What the batteries of lockstep and paced nodes share: links to open, checks to run over them,
/// and what a node says of itself.

#include <initializer_list>
#include <memory>
#include <optional>
#include <span>
#include <string>

#include "harness/conformance/battery.hpp"

namespace rimebench {

/// What a check works with: each connection is one Probe over what Open opens.
template <class Probe, class Open>
struct BenchOf {
  Open open;
  Patience patience;

  /// A new connection; it has not said hello yet.
  std::unique_ptr<Probe> connect() const { return std::make_unique<Probe>(open(), patience); }
  /// And now it has.
  std::unique_ptr<Probe> greeted() const {
    auto probe = connect();
    probe->greet();
    return probe;
  }
};

template <class Bench>
struct CheckOf {
  const char* name;
  const char* rule;
  void (*run)(const Bench& bench);  ///< throws CheckFailed or StreamError
};

template <class Bench>
CheckResult result_of(const CheckOf<Bench>& check, const Bench& bench) {
  CheckResult result{check.name, check.rule, CheckOutcome::kPassed, {}};
  try {
    check.run(bench);
  } catch (const CheckFailed& failure) {
    result.outcome = CheckOutcome::kFailed;
    result.why = failure.what();
  } catch (const StreamError& error) {
    result.outcome = CheckOutcome::kNotRun;
    result.why = error.what();
  }
  return result;
}

/// Why no session can be begun; nothing if it can. Fills in what the node says of itself.
template <class Bench>
std::optional<std::string> introduce(const Bench& bench, BatteryReport& report) {
  try {
    const auto probe = bench.connect();
    report.capacity = probe->greet().capacity;
    report.node_name = probe->node_name();
  } catch (const std::runtime_error& error) {
    return error.what();
  }
  return std::nullopt;
}

template <class Bench>
BatteryReport run_checks(const Bench& bench,
                         std::initializer_list<std::span<const CheckOf<Bench>>> lists) {
  BatteryReport report;
  const auto obstacle = introduce(bench, report);
  for (const std::span<const CheckOf<Bench>> checks : lists) {
    for (const CheckOf<Bench>& check : checks) {
      report.results.push_back(
          obstacle ? CheckResult{check.name, check.rule, CheckOutcome::kNotRun, *obstacle}
                   : result_of(check, bench));
    }
  }
  return report;
}

/// `room`: how the page says where the changes have room.
template <class Bench>
void check_hello(const Bench& bench, const std::string& room) {
  const auto probe = bench.connect();
  const HelloReplyMessage reply = probe->greet();
  require(reply.version == kProtocolVersion, "it speaks version " + std::to_string(reply.version) +
                                                 " of the protocol, not " +
                                                 std::to_string(kProtocolVersion));
  require(reply.capacity >= kCapacityMin, "it takes " + std::to_string(reply.capacity) +
                                              " changes " + room + ", at least " +
                                              std::to_string(kCapacityMin) + " are asked for");
}

template <class Bench>
void check_nonce(const Bench& bench) {
  const auto probe = bench.connect();
  for (int i = 0; i < 2; ++i) {
    const HelloReplyMessage reply = probe->greet();
    require(reply.nonce == probe->nonce(),
            "the nonce of the hello was " + std::to_string(probe->nonce()) +
                ", that of the reply is " + std::to_string(reply.nonce));
  }
}

}  // namespace rimebench
