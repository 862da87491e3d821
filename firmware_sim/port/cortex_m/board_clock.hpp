#pragma once

/// The clock of a paced node, its timer compare, and the watchdog.

#include "firmware_sim/units/quantity.hpp"

namespace rimebench {

/// After this without a kick the watchdog interrupts, which closes the valve; after as long again,
/// because interrupts are masked or the handler hangs too, it resets the machine, which closes it.
#ifdef RIMEBENCH_WATCHDOG_MS
inline constexpr Duration kWatchdog{RIMEBENCH_WATCHDOG_MS * 1'000};
#else
inline constexpr Duration kWatchdog = 1_s;
#endif

/// The clock starts at 0, and the watchdog runs from here on.
void open_clock();

/// It never runs back. Resolution 0.08 us, rounded down.
Instant clock_now();

/// Interrupts once, as the clock comes to `at` or shortly after; at once if it has. The last call
/// counts.
void arm_timer(Instant at);

void kick_watchdog();

}  // namespace rimebench
