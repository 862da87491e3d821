#pragma once

/// Signal changes as a value change dump (IEEE 1364-2005, clause 18), for any waveform viewer.

#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>

#include "firmware_sim/contract/signal_change.hpp"
#include "harness/trace/output_file.hpp"

namespace rimebench {

/// Wires are one bit, everything else is a 32-bit vector; timescale 1 us; three scopes: inputs,
/// outputs, witnesses. Read back, it gives the changes it was written from.
class VcdWriter {
 public:
  /// `wires_only`: leaves vectors out, for readers that stop at them.
  VcdWriter(const std::filesystem::path& file, bool wires_only);

  /// In canonical order. What a bit cannot hold on a wire's channel goes as 1.
  void add(const SignalChange& change);
  /// Ends the dump at this instant; nothing may be added after it.
  void close(Instant end);

 private:
  struct Variable {
    std::string code;
    bool wire{};
  };
  void write_header(bool wires_only);
  void advance(Instant to);
  void flush(std::size_t most);

  OutputFile file_;
  std::map<Channel, Variable> variables_;
  std::string text_;
  std::optional<Instant> now_;
};

}  // namespace rimebench
