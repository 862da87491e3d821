#include "harness/intake/text_lines.hpp"

#include <array>
#include <stdexcept>

#include "harness/config/text_file.hpp"
#include "harness/intake/input_file.hpp"

namespace rimebench {

namespace {

constexpr std::size_t kBlock = 1U << 16U;
constexpr std::uint32_t kReplacement = 0xFFFD;
constexpr std::uint32_t kByteOrderMark = 0xFEFF;

/// Windows code page 1252, its 0x80 to 0x9F (the table of the WHATWG encoding standard); the rest
/// is Latin-1.
constexpr std::array<std::uint16_t, 32> kWindows1252{
    0x20AC, 0x0081, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0x008D, 0x017D, 0x008F, 0x0090, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0x009D, 0x017E, 0x0178};

bool is_utf8(const std::string& bytes) {
  for (std::size_t at = 0; at < bytes.size();) {
    const std::size_t length = utf8_length(bytes, at);
    // The sample may end inside a character.
    if (length == 0) return at + 3 >= bytes.size() && bytes.size() == kBlock;
    at += length;
  }
  return true;
}

void append(std::string& text, std::uint32_t c) {
  const auto put = [&](std::uint32_t byte) { text += static_cast<char>(byte); };
  if (c < 0x80) {
    put(c);
  } else if (c < 0x800) {
    put(0xC0U | (c >> 6U));
    put(0x80U | (c & 0x3FU));
  } else if (c < 0x10000) {
    put(0xE0U | (c >> 12U));
    put(0x80U | ((c >> 6U) & 0x3FU));
    put(0x80U | (c & 0x3FU));
  } else {
    put(0xF0U | (c >> 18U));
    put(0x80U | ((c >> 12U) & 0x3FU));
    put(0x80U | ((c >> 6U) & 0x3FU));
    put(0x80U | (c & 0x3FU));
  }
}

}  // namespace

EncodingGuess TextLines::guess(const std::filesystem::path& file) {
  std::ifstream stream = open_input(file);
  std::string head(kBlock, '\0');
  stream.read(head.data(), static_cast<std::streamsize>(head.size()));
  head.resize(static_cast<std::size_t>(stream.gcount()));
  if (head.starts_with("\xEF\xBB\xBF")) return {Encoding::kUtf8, "its byte order mark"};
  if (head.starts_with("\xFF\xFE")) return {Encoding::kUtf16Le, "its byte order mark"};
  if (head.starts_with("\xFE\xFF")) return {Encoding::kUtf16Be, "its byte order mark"};
  std::array<std::size_t, 2> zeros{};
  for (std::size_t i = 0; i < head.size(); ++i) zeros[i % 2] += head[i] == '\0' ? 1 : 0;
  if (zeros[1] * 3 > head.size()) return {Encoding::kUtf16Le, "every second byte is 0"};
  if (zeros[0] * 3 > head.size()) return {Encoding::kUtf16Be, "every second byte is 0"};
  if (is_utf8(head)) return {Encoding::kUtf8, "all its first bytes are UTF-8"};
  return {Encoding::kWindows1252, "some bytes are no UTF-8; only names can be read wrong"};
}

TextLines::TextLines(const std::filesystem::path& file, Encoding encoding)
    : name_(file.string()), file_(open_input(file)), encoding_(encoding), block_(kBlock) {
  if (encoding_ == Encoding::kUtf8) skip_utf8_mark();
  held_ = character();
  if (held_ == kByteOrderMark) held_ = character();
}

void TextLines::skip_utf8_mark() {
  if (!byte()) return;
  at_ = std::string_view(block_.data(), size_).starts_with("\xEF\xBB\xBF") ? 3 : 0;
}

std::optional<std::uint8_t> TextLines::byte() {
  if (at_ == size_) {
    file_.read(block_.data(), static_cast<std::streamsize>(block_.size()));
    if (file_.bad()) throw std::invalid_argument(name_ + ": reading it failed");
    size_ = static_cast<std::size_t>(file_.gcount());
    at_ = 0;
    if (size_ == 0) return std::nullopt;
  }
  return static_cast<std::uint8_t>(block_[at_++]);
}

std::optional<std::uint32_t> TextLines::unit() {
  const auto first = byte();
  if (!first || encoding_ == Encoding::kUtf8 || encoding_ == Encoding::kWindows1252) return first;
  const auto second = byte();
  if (!second) return kReplacement;
  const bool little = encoding_ == Encoding::kUtf16Le;
  return little ? *first | (*second << 8U) : *second | (*first << 8U);
}

/// UTF-8 passes byte by byte: what is wrong in it stays in names.
std::optional<std::uint32_t> TextLines::character() {
  const auto c = unit();
  if (!c) return c;
  if (encoding_ == Encoding::kWindows1252 && *c >= 0x80 && *c < 0xA0) {
    return kWindows1252[*c - 0x80];
  }
  const bool wide = encoding_ == Encoding::kUtf16Le || encoding_ == Encoding::kUtf16Be;
  if (!wide || *c < 0xD800 || *c > 0xDFFF) return c;
  const auto low = *c < 0xDC00 ? unit() : std::nullopt;
  if (!low || *low < 0xDC00 || *low > 0xDFFF) return kReplacement;
  return 0x10000U + ((*c - 0xD800U) << 10U) + (*low - 0xDC00U);
}

bool TextLines::next(TextLine& line) {
  if (!held_) return false;
  line = {{}, ++number_, false, false};
  while (held_) {
    const std::uint32_t c = *held_;
    held_ = character();
    if (c == '\n' || c == '\r') {
      if (c == '\r' && held_ == std::uint32_t{'\n'}) held_ = character();
      line.ended = true;
      break;
    }
    if (line.text.size() >= kBytesMax) {
      line.cut = true;
    } else if (encoding_ == Encoding::kUtf8) {
      line.text += static_cast<char>(c);
    } else {
      append(line.text, c);
    }
  }
  return true;
}

}  // namespace rimebench
