#include <algorithm>
#include <cmath>
#include <string_view>

#include "harness/config/number.hpp"
#include "harness/config/reader.hpp"
#include "harness/config/references.hpp"
#include "harness/config/tables.hpp"
#include "harness/config/text_file.hpp"

namespace rimebench {

namespace {

constexpr std::string_view kHeader = "time_s,speed_per_min";
constexpr int kProblemsMax = 20;

std::string_view take_line(std::string_view& rest) {
  const std::size_t end = std::min(rest.find('\n'), rest.size());
  std::string_view line = rest.substr(0, end);
  rest.remove_prefix(std::min(end + 1, rest.size()));
  if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
  return line;
}

struct SpeedLogRow {
  SpeedKnot knot;
  std::string speed_text;  ///< as written
};

/// Strict CSV: `time_s,speed_per_min`, decimal points, times rising from 0. At most 20 mistakes of
/// one log are reported.
class LogParser {
 public:
  LogParser(int file, Findings& findings) : file_(file), findings_(findings) {}

  /// No rows after a mistake.
  std::vector<SpeedLogRow> parse(std::string_view text) {
    if (take_line(text) != kHeader) {
      problem(1, "the first line is not " + std::string(kHeader));
      return {};
    }
    while (!text.empty() && problems_ <= kProblemsMax) {
      ++line_;
      parse_row(take_line(text));
    }
    if (rows_.empty() && problems_ == 0) problem(1, "no speeds");
    if (problems_ > 0) rows_.clear();
    return std::move(rows_);
  }

 private:
  void problem(std::size_t column, std::string text) {
    if (++problems_ > kProblemsMax) text = "more mistakes below are not shown";
    findings_.add({file_, line_, static_cast<int>(column)}, kSpeedKey.key, std::move(text));
  }

  /// A number of the row; `column` counts from 1.
  std::optional<double> field(std::string_view text, std::size_t column, double max) {
    std::string why;
    const std::optional<double> value = parse_real(text, why);
    if (!value) {
      problem(column, text.empty() ? "an empty field" : why);
    } else if (!(0 <= *value && *value <= max)) {
      problem(column, std::string(text) + " is out of range (valid: 0.." + number_text(max) + ')');
      return std::nullopt;
    }
    return value;
  }

  void parse_row(std::string_view row) {
    const std::size_t comma = row.find(',');
    if (comma == std::string_view::npos || row.find(',', comma + 1) != std::string_view::npos) {
      problem(1, "not two fields with one comma between them");
      return;
    }
    const NumberKey speed_key = number_key(kSpeedRows[1]);
    const auto time = field(row.substr(0, comma), 1, kWeekUs / kMicrosPerSecond);
    const auto speed = field(row.substr(comma + 1), comma + 2, speed_key.max);
    if (!time || !speed) return;
    const Instant at{std::llround(*time * kMicrosPerSecond)};
    if (at <= last_) {
      problem(1, "time does not rise: " + std::string(row.substr(0, comma)));
    } else if (rows_.empty() && at != Instant{0}) {
      problem(1, "the first time is not 0");
    }
    last_ = at;
    rows_.push_back({{at, *speed}, std::string(row.substr(comma + 1))});
  }

  int file_;
  Findings& findings_;
  int line_{1};
  int problems_{0};
  Instant last_{-1};
  std::vector<SpeedLogRow> rows_;
};

void read_knots(Section& scenario, SpeedProfile& speed) {
  Reading& reading = scenario.reading();
  speed = read_list(scenario, kSpeedKey, kSpeedRows);
  for (std::size_t i = 0; i < speed.size(); ++i) {
    const std::string path = "speed[" + std::to_string(i + 1) + "].at_us";
    if (!reading.good({path.c_str()})) continue;
    const std::int64_t at = speed[i].at.us;
    if (i == 0 && at != 0) {
      reading.problem_at(path, "the first is not 0");
    } else if (i > 0 && speed[i - 1].at.us >= at) {
      reading.problem_at(path, std::to_string(at) + " does not rise above " +
                                   std::to_string(speed[i - 1].at.us) + " before it");
    }
  }
}

void read_log(Section& scenario, const Value& value, SpeedProfile& speed) {
  Reading& reading = scenario.reading();
  Findings& findings = reading.findings();
  Section section(reading, value, scenario.path_of("speed"));
  const Value* const log = section.find(kSpeedLogKey.key, true);
  section.close();
  if (log == nullptr) return;
  if (log->kind != Value::Kind::kScalar || log->text.empty()) {
    findings.add(log->mark, "speed.log", std::string("not ") + kSpeedLogKey.valid);
    return;
  }
  const std::string path = relative_to_file(log->text, findings.file_name(log->mark.file));
  std::string why;
  const std::optional<std::string> text = read_text_file(path, why);
  if (!text) {
    findings.add(log->mark, "speed.log", path + ": " + why);
    return;
  }
  const auto rows = LogParser(findings.add_file(path), findings).parse(*text);
  reading.remember("speed", value.mark, !rows.empty());
  reading.resolved().open("speed");
  for (const SpeedLogRow& row : rows) {
    speed.push_back(row.knot);
    reading.resolved().open_item();
    reading.resolved().value("at_us", std::to_string(row.knot.at.us));
    reading.resolved().value("containers_per_min", row.speed_text);
    reading.resolved().close_item();
  }
  reading.resolved().close();
}

}  // namespace

void read_speed(Section& scenario, SpeedProfile& speed, bool logs) {
  const Value* const value = scenario.find(kSpeedKey.key, true);
  if (value == nullptr) return;
  if (value->kind == Value::Kind::kMap && logs) {
    read_log(scenario, *value, speed);
  } else {
    read_knots(scenario, speed);
  }
  Reading& reading = scenario.reading();
  if (speed.empty() && reading.good({"speed"})) reading.problem_at("speed", "an empty list");
}

}  // namespace rimebench
