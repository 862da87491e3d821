#include "harness/intake/speed_intake.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "harness/intake/csv_fields.hpp"
#include "harness/intake/log_clock.hpp"
#include "harness/intake/profile_builder.hpp"
#include "harness/intake/value_watch.hpp"

namespace rimebench {

namespace {

constexpr double kSpeedMaxPerMin = 3000.0;
constexpr std::size_t kExampleBytes = 40;

class SpeedReader {
 public:
  SpeedReader(const Choices& choices, SpeedIntake& result, const KnotSink& sink)
      : choices_(choices),
        result_(result),
        form_(result.form.form),
        speed_max_(choices.number(Choice::kSpeedMaxPerMin).value_or(kSpeedMaxPerMin)),
        clock_(form_, choices, result.form.questions),
        watch_(choices, form_.hold),
        profile_(form_, choices, result, sink) {}

  void take(const TextLine& line) {
    line_ = line.number;
    const std::string_view text = trimmed(line.text);
    if (text.empty()) return left_out("empty lines", "");
    if (!form_.header.empty() && text == trimmed(form_.header)) {
      return left_out("the header once more", "");
    }
    if (line.cut) return left_out("lines beyond 65 536 bytes", text.substr(0, kExampleBytes));
    if (!line.ended) return left_out("a last line without its end: it may be cut", text);
    split_fields(line.text, form_.delimiter, fields_);
    take_row();
  }

  void finish() {
    profile_.finish();
    watch_.finish(result_);
  }

 private:
  void count(const std::string& what, std::string_view example, bool used) {
    for (Tally& tally : result_.tallies) {
      if (tally.what == what) {
        ++tally.count;
        return;
      }
    }
    result_.tallies.push_back(
        {what, 1, line_, std::string(example.substr(0, kExampleBytes)), used});
  }
  void left_out(const std::string& what, std::string_view example) { count(what, example, false); }

  void take_row() {
    const auto us = form_.time_us(fields_);
    if (!us) return left_out("rows without a time", field_at(fields_, form_.time_column));
    if (form_.quality_column != kNoColumn) {
      const std::string mark = lowered(field_at(fields_, form_.quality_column));
      if (std::find(form_.good.begin(), form_.good.end(), mark) == form_.good.end()) {
        return left_out("rows not marked good", mark);
      }
    }
    const std::string& text = field_at(fields_, form_.speed_column);
    const auto number = form_.number(fields_);
    if (!number)
      return left_out("rows without a number for a speed", text.empty() ? "(empty)" : text);
    switch (clock_.step(*us, line_)) {
      case LogClock::Step::kFirst:
      case LogClock::Step::kOn:
        break;
      case LogClock::Step::kClockBack:
        count("the clock set back one hour: the later times go on", text, true);
        break;
      case LogClock::Step::kClockForward:
        count("the clock set forward one hour: no gap", text, true);
        break;
      case LogClock::Step::kMidnight:
        count("midnight passed", text, true);
        break;
      case LogClock::Step::kSame:
        return left_out(last_number_ == *number ? "rows that repeat a time and its speed"
                                                : "rows that repeat a time with another speed",
                        text);
      case LogClock::Step::kBack:
        return left_out("rows earlier than the one before", field_at(fields_, form_.time_column));
    }
    last_number_ = *number;
    take_number(*number, text);
  }

  void take_number(double number, const std::string& text) {
    const auto per_min =
        is_count(form_.unit) ? from_count(number) : std::optional(number * form_.per_min);
    if (!per_min) return;
    double speed = *per_min;
    if (speed < 0.0) {
      const auto chosen = choices_.word(Choice::kNegative);
      if (!chosen) ask_negative(text);
      if (chosen == 2) return left_out("rows with a negative speed", text);
      count("negative speeds", text, true);
      speed = chosen == 1 ? -speed : 0.0;
    }
    if (speed > speed_max_) {
      return left_out(fmt::format("rows above {:g} containers a minute", speed_max_), text);
    }
    ++result_.rows;
    if (result_.rows == 1) result_.start_us = clock_.now_us();
    watch_.see(clock_.now_us(), speed, line_);
    profile_.take(clock_.now_us() - result_.start_us, speed, line_);
  }

  void ask_negative(const std::string& text) {
    for (const Question& question : result_.form.questions) {
      if (question.choice == Choice::kNegative) return;
    }
    result_.form.questions.push_back({Choice::kNegative, text + " is a negative speed", line_});
  }

  /// The mean speed since the last total, which may have wrapped once.
  std::optional<double> from_count(double total) {
    const double wrap = form_.unit == SpeedUnit::kCount16 ? 65'536.0 : 4'294'967'296.0;
    const auto before = std::exchange(last_total_, std::pair(clock_.now_us(), total));
    if (!before) return std::nullopt;
    double pulses = total - before->second;
    if (pulses < 0.0) {
      pulses += wrap;
      count("totals that wrapped", fmt::format("{:g}", total), true);
    }
    const double minutes = static_cast<double>(clock_.now_us() - before->first) / 60e6;
    return pulses * form_.per_min / minutes;
  }

  const Choices& choices_;
  SpeedIntake& result_;
  const LogForm& form_;
  double speed_max_;
  LogClock clock_;
  ValueWatch watch_;
  ProfileBuilder profile_;
  std::vector<std::string> fields_;
  std::int64_t line_{0};
  std::optional<double> last_number_;
  std::optional<std::pair<std::int64_t, double>> last_total_;
};

}  // namespace

void SpeedPlot::mark(double at_s, double value) {
  auto index = static_cast<std::size_t>(at_s / bin_s);
  while (index >= kBins) {
    for (std::size_t i = 0; i < bins.size(); i += 2) {
      SpeedBin bin = bins[i];
      if (i + 1 < bins.size() && !bins[i + 1].empty) {
        const SpeedBin& next = bins[i + 1];
        bin = bin.empty
                  ? next
                  : SpeedBin{std::min(bin.least, next.least), std::max(bin.most, next.most), false};
      }
      bins[i / 2] = bin;
    }
    bins.resize((bins.size() + 1) / 2);
    bin_s *= 2.0;
    index = static_cast<std::size_t>(at_s / bin_s);
  }
  if (bins.size() <= index) bins.resize(index + 1);
  SpeedBin& bin = bins[index];
  bin = bin.empty ? SpeedBin{value, value, false}
                  : SpeedBin{std::min(bin.least, value), std::max(bin.most, value), false};
}

void SpeedPlot::add(double from_s, double until_s, double from_value, double until_value) {
  mark(from_s, from_value);
  mark(until_s, until_value);
  for (double edge = (std::floor(from_s / bin_s) + 1.0) * bin_s; edge < until_s; edge += bin_s) {
    const double share = (edge - from_s) / (until_s - from_s);
    mark(edge, from_value + share * (until_value - from_value));
  }
}

SpeedIntake take_in_speed(const std::filesystem::path& file, const Choices& choices,
                          const KnotSink& sink) {
  SpeedIntake result;
  result.form = infer_form(file, choices);
  if (!result.answered()) return result;
  SpeedReader reader(choices, result, sink);
  TextLines lines(file, result.form.form.encoding);
  for (TextLine line; lines.next(line);) {
    if (line.number >= result.form.form.first_row) reader.take(line);
  }
  if (result.rows < 2) {
    throw std::invalid_argument(file.string() + ": fewer than two rows that can be used");
  }
  reader.finish();
  return result;
}

}  // namespace rimebench
