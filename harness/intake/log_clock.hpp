#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "harness/intake/log_form.hpp"

namespace rimebench {

/// The time of a log's rows, made to run on: daylight saving, midnight, stamps that repeat or go
/// back.
class LogClock {
 public:
  enum class Step : std::uint8_t {
    kFirst,
    kOn,
    kClockBack,     ///< and on, with the hour added
    kClockForward,  ///< and on, with the hour taken off
    kMidnight,      ///< and on, with a day added
    kSame,          ///< not after the row before
    kBack,          ///< before the row before
  };

  LogClock(const LogForm& form, const Choices& choices, std::vector<Question>& questions);

  /// The next row's stamp.
  Step step(std::int64_t stamp_us, std::int64_t line);
  /// Of the last row that went on.
  std::int64_t now_us() const { return now_us_; }

 private:
  bool about_an_hour(std::int64_t us) const;
  void ask(const char* why, std::int64_t line);
  Step go(Step step, std::int64_t us);

  bool local_;  ///< a wall clock that may be set
  bool clock_only_;
  std::optional<int> change_;
  std::int64_t slack_us_;
  std::vector<Question>& questions_;
  bool started_{false};
  std::int64_t now_us_{0};
  std::int64_t offset_us_{0};
};

}  // namespace rimebench
