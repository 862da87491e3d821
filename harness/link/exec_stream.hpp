#pragma once

#include <memory>
#include <string>

#include "harness/link/byte_stream.hpp"

namespace rimebench {

/// Starts a node and talks to it over its standard input and output; its standard error stays the
/// bench's. `command` is one simple command in the words of sh. Throws StreamError if the system
/// has no process to give; a command that does not run shows as a stream that was closed, with how
/// its process ended.
///
/// The process never outlives the stream: when that is destroyed its socket closes, which ends most
/// nodes; one that still runs after a moment is asked to end, then killed. Nor does it outlive the
/// bench, however that dies: the system kills it when the thread that started it is gone.
std::unique_ptr<ByteStream> start_node(const std::string& command);

}  // namespace rimebench
