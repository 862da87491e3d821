#pragma once

#include <memory>
#include <string>

#include "harness/link/byte_stream.hpp"
#include "harness/link/paced_node.hpp"

namespace rimebench {

/// A real stream and the steady clock of this machine.
std::unique_ptr<PacedWire> make_paced(std::unique_ptr<ByteStream> stream);

/// Keeps the bench's memory from being paged out. Returns why not, in words; empty if it worked.
std::string lock_memory();

/// Puts the bench before everything that is not real-time too. Returns as lock_memory.
std::string take_realtime_priority();

}  // namespace rimebench
