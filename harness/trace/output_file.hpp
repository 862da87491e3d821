#pragma once

#include <cstdint>
#include <filesystem>
#include <span>
#include <string_view>

#include "harness/trace/stream.hpp"
#include "harness/trace/trace_error.hpp"

namespace rimebench {

/// A file that is only there once it is whole: it grows as FILE.partial and takes its name on
/// close(). What is never closed stays behind as FILE.partial. Every failure is a TraceError with
/// the file's name and the system's reason. Each write goes to the system at once: gather before.
/// What is there and is no plain file, as a pipe or /dev/null, is written straight.
class OutputFile {
 public:
  /// Begins FILE.partial anew.
  explicit OutputFile(std::filesystem::path file);

  void write(std::span<const std::uint8_t> bytes);
  void write(std::string_view text);

  /// Renames FILE.partial to FILE, replacing what was there. Nothing may be written after it.
  void close();

 private:
  std::filesystem::path file_;
  std::filesystem::path partial_;
  Stream stream_;
};

/// Writes a whole file at once: to FILE.partial, then renamed, so that no reader sees half of it.
void write_whole_file(const std::filesystem::path& file, std::string_view text);

}  // namespace rimebench
