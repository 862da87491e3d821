#pragma once

/// A controller in C as a node on this machine.

#include "firmware_sim/core/rimebench_core.h"

#ifdef __cplusplus
extern "C" {
#endif

/// The whole main of a node:
///   --listen HOST:PORT   a TCP port, 0 for a free one; or unix:PATH, a socket file
///   --once               end after the first bench has left
/// Prints "listening on ADDRESS", then serves one bench after another; each begins with the
/// controller's start. One controller a process: `controller` must outlive the call.
///
/// Returns what main is to return: 0 when done, 3 if the options or the address are no good, with a
/// line on standard error. A controller that breaks the contract of rimebench_core.h (an output out
/// of order, at another instant or on no output channel; a next_wake that does not move on) ends
/// the process with code 4 and the line of c_controller.hpp that it fell over.
int rimebench_serve(const rimebench_controller* controller, int argc, char** argv);

#ifdef __cplusplus
}
#endif
