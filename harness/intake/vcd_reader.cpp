#include "harness/intake/vcd_reader.hpp"

#include <algorithm>
#include <charconv>
#include <cstring>
#include <fstream>
#include <optional>
#include <stdexcept>

#include "harness/intake/input_file.hpp"

namespace rimebench {

namespace {

constexpr std::int64_t kMicroFs = 1'000'000'000;
constexpr std::size_t kWordMax = 4096;
constexpr std::int64_t kMostUs = INT64_MAX / 4;

/// Words parted by white space, with the line they stand in.
class Words {
 public:
  explicit Words(const std::filesystem::path& file) : name_(file.string()), in_(open_input(file)) {}

  bool next(std::string& word) {
    word.clear();
    for (int c = in_.get();; c = in_.get()) {
      const bool end = c == std::char_traits<char>::eof();
      const bool blank = end || c == ' ' || c == '\t' || c == '\r' || c == '\n';
      if (!blank) {
        if (word.size() == kWordMax) refuse("a word of more than 4096 letters");
        word += static_cast<char>(c);
        continue;
      }
      if (!word.empty()) {
        if (c == '\n') in_.unget();
        return true;
      }
      if (end) return false;
      if (c == '\n') ++line_;
    }
  }
  std::string must(const char* what) {
    std::string word;
    if (!next(word)) refuse(std::string("it ends where ") + what + " should follow");
    return word;
  }
  void skip_to_end() {
    while (must("$end") != "$end") {
    }
  }
  [[noreturn]] void refuse(const std::string& problem) const {
    throw std::invalid_argument(name_ + ':' + std::to_string(line_) + ": " + problem);
  }
  std::int64_t number(std::string_view text, const char* what) const {
    std::int64_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size() || value < 0) {
      refuse(std::string(text) + " is no " + what);
    }
    return value;
  }

 private:
  std::string name_;
  std::ifstream in_;
  int line_{1};
};

std::optional<std::int64_t> unit_fs(const std::string& unit) {
  struct Row {
    const char* unit;
    std::int64_t fs;
  };
  for (const Row& row :
       {Row{"s", 1'000'000 * kMicroFs}, Row{"ms", 1'000 * kMicroFs}, Row{"us", kMicroFs},
        Row{"ns", 1'000'000}, Row{"ps", 1'000}, Row{"fs", 1}}) {
    if (unit == row.unit) return row.fs;
  }
  return std::nullopt;
}

class VcdParser {
 public:
  VcdParser(const std::filesystem::path& file, const std::function<void(const VcdDump&)>& on_header,
            const std::function<void(const VcdChange&)>& on_change)
      : words_(file), on_header_(on_header), on_change_(on_change) {}

  VcdDump parse() {
    while (!defined_) declaration(words_.must("$enddefinitions"));
    if (dump_.timescale_fs == 0) words_.refuse("no $timescale");
    on_header_(dump_);
    for (std::string word; words_.next(word);) value(word);
    return std::move(dump_);
  }

 private:
  void declaration(const std::string& word) {
    if (word == "$timescale") return timescale();
    if (word == "$scope") {
      words_.must("a kind of scope");
      scopes_.push_back(words_.must("a scope's name"));
    } else if (word == "$upscope") {
      if (scopes_.empty()) words_.refuse("$upscope without a scope");
      scopes_.pop_back();
    } else if (word == "$var") {
      return variable();
    } else if (word == "$enddefinitions") {
      defined_ = true;
    } else if (word.front() != '$') {
      words_.refuse(word + " stands where a declaration should: this is no value change dump");
    }
    words_.skip_to_end();
  }

  /// 1 us, 10ns; number and unit may stand apart.
  void timescale() {
    std::string text;
    for (std::string word = words_.must("$end"); word != "$end"; word = words_.must("$end")) {
      text += word;
    }
    const std::size_t digits = text.find_first_not_of("0123456789");
    const auto unit = digits == std::string::npos ? std::nullopt : unit_fs(text.substr(digits));
    if (!unit || digits == 0)
      words_.refuse(text + " is no timescale (valid: 1, 10 or 100 of s to fs)");
    const std::int64_t count = words_.number(text.substr(0, digits), "timescale");
    if (count != 1 && count != 10 && count != 100) {
      words_.refuse(text + " is no timescale (valid: 1, 10 or 100 of s to fs)");
    }
    dump_.timescale_fs = count * *unit;
  }

  void variable() {
    words_.must("a variable's kind");
    const std::int64_t bits = words_.number(words_.must("a size"), "size");
    VcdVariable variable;
    variable.code = words_.must("a code");
    for (const std::string& scope : scopes_) variable.name += scope + '.';
    variable.name += words_.must("a name");
    variable.bits = static_cast<int>(std::min<std::int64_t>(bits, 1 << 20));
    words_.skip_to_end();  // an index such as [7:0] is no part of the name
    codes_.emplace(variable.code, dump_.variables.size());
    dump_.variables.push_back(std::move(variable));
  }

  void value(const std::string& word) {
    const char first = word.front();
    if (first == '#') return time(word);
    if (first == '$') {
      if (word == "$comment") words_.skip_to_end();
      return;  // $dumpvars, $dumpoff, $dumpon, $dumpall and their $end
    }
    if (first == 'r' || first == 'R') {
      words_.must("a code");
      ++dump_.reals;
      return;
    }
    const bool vector = first == 'b' || first == 'B';
    const std::string digits = vector ? word.substr(1) : word.substr(0, 1);
    const std::string code = vector ? words_.must("a code") : word.substr(1);
    const auto found = codes_.find(code);
    if (found == codes_.end()) words_.refuse(code + " is the code of no variable");
    emit(found->second, digits);
  }

  void emit(std::size_t variable, const std::string& digits) {
    VcdChange change{at_us_, variable, 0, true};
    if (digits.empty() || digits.size() > 64) words_.refuse("a vector of 0 or more than 64 bits");
    std::uint64_t bits = 0;
    for (const char c : digits) {
      bits = bits << 1U | (c == '1' ? 1U : 0U);
      if (c == '0' || c == '1') continue;
      if (std::strchr("xXzZ", c) == nullptr) words_.refuse(digits + " is no value");
      change.known = false;
    }
    const int size = dump_.variables[variable].bits;
    const bool negative = size == 32 && digits.size() == 32 && digits.front() == '1';
    change.value = negative ? static_cast<std::int32_t>(static_cast<std::uint32_t>(bits))
                            : static_cast<std::int64_t>(bits);
    if (rounded_) ++dump_.finer_than_us;
    on_change_(change);
  }

  void time(const std::string& word) {
    const std::int64_t count = words_.number(std::string_view(word).substr(1), "time");
    const std::int64_t per = dump_.timescale_fs;
    std::int64_t us = 0;
    if (per >= kMicroFs) {
      if (count > kMostUs / (per / kMicroFs)) words_.refuse(word + " is too late a time");
      us = count * (per / kMicroFs);
      rounded_ = false;
    } else {
      const std::int64_t per_us = kMicroFs / per;
      us = count / per_us + (count % per_us * 2 >= per_us ? 1 : 0);
      rounded_ = count % per_us != 0;
    }
    if (count < count_) words_.refuse("the time goes back to " + word);
    count_ = count;
    at_us_ = us;
    dump_.end_us = us;
  }

  Words words_;
  const std::function<void(const VcdDump&)>& on_header_;
  const std::function<void(const VcdChange&)>& on_change_;
  VcdDump dump_;
  std::vector<std::string> scopes_;
  std::map<std::string, std::size_t> codes_;
  bool defined_{false};
  bool rounded_{false};
  std::int64_t count_{0};
  std::int64_t at_us_{0};
};

}  // namespace

VcdDump read_vcd(const std::filesystem::path& file,
                 const std::function<void(const VcdDump&)>& on_header,
                 const std::function<void(const VcdChange&)>& on_change) {
  return VcdParser(file, on_header, on_change).parse();
}

}  // namespace rimebench
