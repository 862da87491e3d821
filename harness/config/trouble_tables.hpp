#pragma once

/// The keys of happens.valve, happens.gate, happens.core_hang, happens.core_restart and
/// happens.link_fault, by kind.

#include <array>

#include "harness/config/rows.hpp"
#include "harness/config/tables.hpp"
#include "plant_model/spec/trouble.hpp"

namespace rimebench {

// clang-format off
inline constexpr auto kValveTroubleWords = std::to_array<const char*>({"slow", "sticks_shut", "sticks_open", "leaks", "iced", "fails_open", "drifts", "deflected"});
static_assert(static_cast<int>(ValveTroubleKind::kDeflected) + 1 == kValveTroubleWords.size());

inline constexpr auto kValveTroubleRows = std::to_array<Row<ValveTrouble>>({
    {"at_us", &ValveTrouble::at, "us", 0, kWeekUs, kMustBeGiven, "it begins"},
    {"for_us", &ValveTrouble::lasts, "us", 1, kWeekUs, kWeekUs, "it lasts so long; default: to the end"},
});
inline constexpr auto kValveSlowRows = std::to_array<Row<ValveTrouble>>({
    {"opens_later_us", &ValveTrouble::opens_later, "us", 0, 1'000'000, 0, "slow: added to the open delay"},
    {"closes_later_us", &ValveTrouble::closes_later, "us", 0, 1'000'000, 0, "slow: added to the close delay"},
    {"grows_us", &ValveTrouble::grows, "us", 0, kWeekUs, 0, "slow: both grow to that within this; 0: at once"},
});
inline constexpr auto kValveSticksRows = std::to_array<Row<ValveTrouble>>({
    {"share_ppm", &ValveTrouble::share_ppm, "ppm", 1, 1'000'000, kMustBeGiven, "sticks_shut, sticks_open: share of the open, of the close commands"},
    {"late_us", &ValveTrouble::late, "us", 0, 10'000'000, 0, "sticks_shut, sticks_open: they take effect so late; 0: not at all"},
});
inline constexpr auto kValveLeaksRows = std::to_array<Row<ValveTrouble>>({
    {"leak_mg_per_s", &ValveTrouble::leak_mg_per_s, "mg/s", 0.01, 100'000, kMustBeGiven, "leaks: it drips so much while it is shut"},
});
inline constexpr auto kValveIcedRows = std::to_array<Row<ValveTrouble>>({
    {"flow_percent", &ValveTrouble::flow_percent, "%", 0, 100, kMustBeGiven, "iced: what is left of its flow"},
});
inline constexpr auto kValveDriftsRows = std::to_array<Row<ValveTrouble>>({
    {"flow_percent", &ValveTrouble::flow_percent, "%", -100, 100, kMustBeGiven, "drifts: what is added to its flow"},
    {"grows_us", &ValveTrouble::grows, "us", 0, kWeekUs, 0, "drifts: it grows to that within this; 0: at once"},
});
inline constexpr auto kValveDeflectedRows = std::to_array<Row<ValveTrouble>>({
    {"lateral_um", &ValveTrouble::lateral_um, "um", -500'000, 500'000, kMustBeGiven, "deflected: the jet lands so far beside at first, falling to nothing at the end"},
});

inline constexpr auto kGateTroubleWords = std::to_array<const char*>({"stuck_in", "stuck_out", "slow", "low_air", "misses", "eye_blind", "bin_emptied"});
static_assert(static_cast<int>(GateTroubleKind::kBinEmptied) + 1 == kGateTroubleWords.size());

inline constexpr auto kGateTroubleRows = std::to_array<Row<GateTrouble>>({
    {"at_us", &GateTrouble::at, "us", 0, kWeekUs, kMustBeGiven, "it begins"},
    {"for_us", &GateTrouble::lasts, "us", 1, kWeekUs, kWeekUs, "it lasts so long; default: to the end"},
});
inline constexpr auto kGateSlowRows = std::to_array<Row<GateTrouble>>({
    {"out_later_us", &GateTrouble::out_later, "us", 0, 10'000'000, 0, "slow: added to gate.delay_us on the way out"},
    {"back_later_us", &GateTrouble::back_later, "us", 0, 10'000'000, 0, "slow: the same on the way back"},
});
inline constexpr auto kGateShareRows = std::to_array<Row<GateTrouble>>({
    {"share_ppm", &GateTrouble::share_ppm, "ppm", 1, 1'000'000, 1'000'000, "low_air, misses: share of its strokes that fail; eye_blind: share of the removals not confirmed"},
});

inline constexpr auto kCoreHangRows = std::to_array<Row<CoreHang>>({
    {"at_us", &CoreHang::at, "us", 1, kWeekUs, kMustBeGiven, "from here on the controller does nothing and its outputs stay as they are"},
    {"watchdog_us", &CoreHang::watchdog, "us", 0, kMinuteUs, 0, "its node's watchdog drops valve, reject, line permit and isolation so long after; 0: it has none"},
});

inline constexpr auto kCoreRestartRows = std::to_array<Row<CoreRestart>>({
    {"at_us", &CoreRestart::at, "us", 1, kWeekUs, kMustBeGiven, "the controller loses its supply: all its wires drop"},
    {"for_us", &CoreRestart::lasts, "us", 1, kWeekUs, kMustBeGiven, "so long after it comes up with nothing in its memory, and gets its inputs and its recipe again; it waits for reset and start"},
});

inline constexpr auto kLinkFaultWords = std::to_array<const char*>({"grant_lost", "grant_damaged", "answer_lost", "answer_damaged", "answer_repeated", "answers_late", "cut"});
static_assert(static_cast<int>(LinkFaultKind::kCut) + 1 == kLinkFaultWords.size());

inline constexpr auto kLinkFaultRows = std::to_array<Row<LinkFault>>({
    {"at_us", &LinkFault::at, "us", 1, kWeekUs, kMustBeGiven, "the first frame from here on meets it, in lockstep; the trace is whole up to here"},
});
inline constexpr auto kLinkLateRows = std::to_array<Row<LinkFault>>({
    {"late_us", &LinkFault::late, "us", 1, kMinuteUs, kMustBeGiven, "answers_late: each is so late on the wall clock; more than --silence-ms and it counts as lost (nobody waits for it)"},
});

inline constexpr auto kInterlockRows = std::to_array<Row<InterlockSpec>>({
    {"chain_us", &InterlockSpec::chain_us, "us", 1, 10'000'000, kMustBeGiven, "from the safety chain's opening to a valve coil without current, whatever the controller does"},
    {"close_us", &InterlockSpec::close_us, "us", 0, 1'000'000, kMustBeGiven, "from there to a valve shut by its spring"},
    {"relay_us", &InterlockSpec::relay_us, "us", 0, kMinuteUs, 0, "a relay cuts off a coil that has been energised so long; 0: there is none"},
});

inline constexpr PlainKey kLinkFaultKindKey{"kind", "grant_lost, grant_damaged, answer_lost, answer_damaged, answer_repeated, answers_late, cut", nullptr, "what goes wrong between bench and controller; the run must end inconclusive (claim: lost), unless answers are only late"};
inline constexpr PlainKey kTroubleKindKey{"kind", "see the list", nullptr, "what is wrong"};
inline constexpr PlainKey kValveTroublesKey{"valve", "a list of {kind: slow, sticks_shut, sticks_open, leaks, iced, fails_open, drifts or deflected; at_us, for_us, ...}", "none", "the valve out of order; troubles of one kind do not overlap"};
inline constexpr PlainKey kGateTroublesKey{"gate", "a list of {kind: stuck_in, stuck_out, slow, low_air, misses, eye_blind or bin_emptied; at_us, for_us, ...}", "none", "the reject gate out of order; troubles of one kind do not overlap"};
// clang-format on

}  // namespace rimebench
