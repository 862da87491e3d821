#pragma once

/// A text file of any size, line by line, as UTF-8, in constant memory.

#include <cstdint>
#include <filesystem>
#include <fstream>
#include <optional>
#include <string>
#include <vector>

namespace rimebench {

enum class Encoding : std::uint8_t { kUtf8, kUtf16Le, kUtf16Be, kWindows1252, kCount };

/// What the first bytes of a file say about its encoding, and in words why.
struct EncodingGuess {
  Encoding encoding{};
  std::string why;
};

struct TextLine {
  std::string text;       ///< UTF-8, without its line end
  std::int64_t number{};  ///< from 1
  bool ended{};           ///< a line end followed; false only for the last line of a cut file
  bool cut{};             ///< longer than TextLines::kBytesMax: the rest is left out
};

/// Lines end with LF, CR LF or CR alone.
class TextLines {
 public:
  static constexpr std::size_t kBytesMax = 65'536;

  /// Guesses from the first bytes; throws std::invalid_argument if the file cannot be read.
  static EncodingGuess guess(const std::filesystem::path& file);

  /// Throws std::invalid_argument if the file cannot be read.
  TextLines(const std::filesystem::path& file, Encoding encoding);

  /// False after the last line. Throws std::invalid_argument when reading fails.
  bool next(TextLine& line);

 private:
  void skip_utf8_mark();
  std::optional<std::uint8_t> byte();
  std::optional<std::uint32_t> unit();
  std::optional<std::uint32_t> character();

  std::string name_;
  std::ifstream file_;
  Encoding encoding_;
  std::vector<char> block_;
  std::size_t at_{0};
  std::size_t size_{0};
  std::int64_t number_{0};
  std::optional<std::uint32_t> held_;  ///< read ahead of its turn
};

}  // namespace rimebench
