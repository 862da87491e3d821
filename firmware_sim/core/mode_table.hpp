#pragma once

/// The modes of the controller and what moves it between them: a table, its safety rules proved at
/// compile time. Mode names follow the open packaging-machine state model (ISA-TR88.00.02).
///
///   Stopped --reset--> Idle --start--> Starting --ready--> Suspended <--run permit--> Execute
///   stop leads back to Stopped, a fault to Aborted; Aborted --reset--> Stopped.

#include <array>
#include <cstddef>
#include <cstdint>

#include "firmware_sim/contract/fault.hpp"

namespace rimebench {

enum class ModeEvent : std::uint8_t {
  kReset,  ///< by the operator, with a recipe accepted and every fault's cause gone
  kStart,
  kReady,        ///< the start is over: dry, cold and tested as far as the recipe asks
  kPermitGiven,  ///< the run permit is there; Suspended waits for it
  kPermitLost,
  kStop,
  kFault,
  kCount,
};

struct ModeRow {
  Mode mode;
  ModeEvent event;
  Mode next;
};

/// No row, no transition.
inline constexpr auto kModeTable = std::to_array<ModeRow>({
    {Mode::kStopped, ModeEvent::kReset, Mode::kIdle},
    {Mode::kStopped, ModeEvent::kFault, Mode::kAborted},
    {Mode::kIdle, ModeEvent::kStart, Mode::kStarting},
    {Mode::kIdle, ModeEvent::kStop, Mode::kStopped},
    {Mode::kIdle, ModeEvent::kFault, Mode::kAborted},
    {Mode::kStarting, ModeEvent::kReady, Mode::kSuspended},
    {Mode::kStarting, ModeEvent::kStop, Mode::kStopped},
    {Mode::kStarting, ModeEvent::kFault, Mode::kAborted},
    {Mode::kSuspended, ModeEvent::kPermitGiven, Mode::kExecute},
    {Mode::kSuspended, ModeEvent::kStop, Mode::kStopped},
    {Mode::kSuspended, ModeEvent::kFault, Mode::kAborted},
    {Mode::kExecute, ModeEvent::kPermitLost, Mode::kSuspended},
    {Mode::kExecute, ModeEvent::kStop, Mode::kStopped},
    {Mode::kExecute, ModeEvent::kFault, Mode::kAborted},
    {Mode::kAborted, ModeEvent::kReset, Mode::kStopped},
});

/// The table's answer to every event in every mode.
inline constexpr auto kNextMode = [] {
  std::array<std::array<Mode, static_cast<std::size_t>(ModeEvent::kCount)>,
             static_cast<std::size_t>(Mode::kCount)>
      next{};
  for (std::size_t mode = 0; mode < next.size(); ++mode) {
    next[mode].fill(static_cast<Mode>(mode));
  }
  for (const ModeRow& row : kModeTable) {
    next[static_cast<std::size_t>(row.mode)][static_cast<std::size_t>(row.event)] = row.next;
  }
  return next;
}();

constexpr Mode next_mode(Mode mode, ModeEvent event) {
  return kNextMode[static_cast<std::size_t>(mode)][static_cast<std::size_t>(event)];
}

/// The only mode in which the dosing valve may be open.
constexpr bool may_dose(Mode mode) { return mode == Mode::kExecute; }
/// Modes in which containers are dosed as soon as the line runs.
constexpr bool in_production(Mode mode) {
  return mode == Mode::kExecute || mode == Mode::kSuspended;
}
/// Modes in which liquid may be let to the head and a lost interlock is a fault.
constexpr bool in_use(Mode mode) {
  return mode == Mode::kIdle || mode == Mode::kStarting || in_production(mode);
}

namespace mode_proof {

template <class Rule>
consteval bool every_row(Rule rule) {
  for (const ModeRow& row : kModeTable) {
    if (!rule(row)) return false;
  }
  return true;
}
template <class Rule>
consteval bool every_mode(Rule rule) {
  for (int mode = 0; mode < static_cast<int>(Mode::kCount); ++mode) {
    if (!rule(static_cast<Mode>(mode))) return false;
  }
  return true;
}
consteval bool answered_once(const ModeRow& asked) {
  int answers = 0;
  for (const ModeRow& row : kModeTable) {
    if (row.mode == asked.mode && row.event == asked.event) ++answers;
  }
  return answers == 1;
}

static_assert(every_row(answered_once), "one answer to one event");
static_assert(every_row([](ModeRow row) { return row.next != row.mode; }));
static_assert(every_row([](ModeRow row) {
                return row.mode != Mode::kExecute || !may_dose(row.next);
              }),
              "every exit from Execute closes the valve");
static_assert(every_row([](ModeRow row) {
                return row.next != Mode::kExecute ||
                       (row.mode == Mode::kSuspended && row.event == ModeEvent::kPermitGiven);
              }),
              "dosing starts only from Suspended and with the run permit");
static_assert(every_row([](ModeRow row) {
                return row.next != Mode::kSuspended || row.mode == Mode::kExecute ||
                       (row.mode == Mode::kStarting && row.event == ModeEvent::kReady);
              }),
              "no way around the start");
static_assert(next_mode(Mode::kExecute, ModeEvent::kPermitLost) == Mode::kSuspended);
static_assert(every_mode([](Mode mode) {
                return next_mode(mode, ModeEvent::kFault) == Mode::kAborted;
              }),
              "a fault aborts from everywhere");
static_assert(every_mode([](Mode mode) {
                return mode == Mode::kAborted ||
                       next_mode(mode, ModeEvent::kStop) == Mode::kStopped;
              }),
              "stop stops from everywhere but Aborted");
static_assert(every_row([](ModeRow row) {
                return row.mode != Mode::kAborted ||
                       (row.event == ModeEvent::kReset && row.next == Mode::kStopped);
              }),
              "Aborted is left only by reset, and only to Stopped");
static_assert(every_mode([](Mode mode) { return !may_dose(mode) || in_use(mode); }));
static_assert(!in_use(Mode::kStopped) && !in_use(Mode::kAborted), "no liquid at rest");

}  // namespace mode_proof
}  // namespace rimebench
