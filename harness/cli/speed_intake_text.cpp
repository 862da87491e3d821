#include "harness/cli/speed_intake_text.hpp"

#include <fmt/format.h>

#include <chrono>
#include <nlohmann/json.hpp>

#include "harness/config/number.hpp"

namespace rimebench {

namespace {

/// The log's own clock: a date where it has one.
std::string moment_text(const SpeedIntake& intake, double after_s) {
  const TimeForm form = intake.form.form.time_form;
  const auto us = intake.start_us + static_cast<std::int64_t>(after_s * 1e6);
  if (form == TimeForm::kElapsed || form == TimeForm::kElapsedClock) {
    return fmt::format("{:.3f} s", static_cast<double>(us) * 1e-6);
  }
  const std::chrono::sys_time<std::chrono::microseconds> at{std::chrono::microseconds{us}};
  const auto day = std::chrono::floor<std::chrono::days>(at);
  const std::chrono::year_month_day date{day};
  const auto s = std::chrono::duration_cast<std::chrono::seconds>(at - day).count();
  return fmt::format("{:04}-{:02}-{:02} {:02}:{:02}:{:02}", static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                     s / 3600, s / 60 % 60, s % 60);
}

std::string length_text(double s) {
  const auto whole = static_cast<std::int64_t>(s + 0.5);
  if (whole < 60) return fmt::format("{:.1f} s", s);
  if (whole < 3600) return fmt::format("{} min {} s", whole / 60, whole % 60);
  return fmt::format("{} h {} min", whole / 3600, whole / 60 % 60);
}

std::string how_to_answer(const Question& question) {
  const ChoiceRow& row = row_of(question.choice);
  const bool number_or_text = *row.words == '\0';
  return fmt::format("--choose {}={}", row.key,
                     number_or_text ? fmt::format("... ({})", row.doc) : row.words);
}

}  // namespace

std::string questions_text(const SpeedIntake& intake, const std::string& file) {
  std::string text;
  for (const Question& question : intake.form.questions) {
    text += question.line > 0 ? fmt::format("{}:{}: ", file, question.line) : file + ": ";
    text += fmt::format("{}: {}\n    choose: {}\n", row_of(question.choice).key, question.why,
                        how_to_answer(question));
  }
  return text;
}

std::string to_terminal(const SpeedIntake& intake, const std::string& file) {
  std::string text =
      fmt::format("{}: {} rows used, {} to {} ({})\n", file, intake.rows, moment_text(intake, 0.0),
                  moment_text(intake, intake.length_s), length_text(intake.length_s));
  text += fmt::format(
      "speed   {:.1f} to {:.1f} containers a minute, {:.1f} over the time; stopped {}\n"
      "profile {} knots; {:.0f} containers in all\n\n",
      intake.least_per_min, intake.most_per_min, intake.mean_per_min, length_text(intake.stopped_s),
      intake.knots, intake.containers);
  text += to_rows(speed_picture(intake, file));
  text += "\ndecided\n";
  for (const Decision& decision : intake.form.decisions) {
    text += fmt::format("  {:<20} {:<20} {}\n", row_of(decision.choice).key, decision.value,
                        decision.why);
  }
  for (const bool used : {false, true}) {
    bool any = false;
    for (const Tally& tally : intake.tallies) {
      if (tally.used != used) continue;
      if (!any) text += used ? "corrected\n" : "left out\n";
      any = true;
      text += fmt::format("  {:>8}  {}; first at line {}{}\n", tally.count, tally.what,
                          tally.first_line, tally.example.empty() ? "" : ": " + tally.example);
    }
  }
  for (const std::string& note : intake.notes) text += "note: " + note + '\n';
  return text;
}

std::string to_json(const SpeedIntake& intake, const std::string& file) {
  nlohmann::ordered_json json;
  json["file"] = file;
  json["rows"] = intake.rows;
  json["start_us"] = intake.start_us;
  json["length_s"] = intake.length_s;
  json["least_per_min"] = intake.least_per_min;
  json["most_per_min"] = intake.most_per_min;
  json["mean_per_min"] = intake.mean_per_min;
  json["stopped_s"] = intake.stopped_s;
  json["containers"] = intake.containers;
  json["knots"] = intake.knots;
  json["decisions"] = nlohmann::ordered_json::array();
  for (const Decision& decision : intake.form.decisions) {
    json["decisions"].push_back(
        {{"key", row_of(decision.choice).key}, {"value", decision.value}, {"why", decision.why}});
  }
  json["questions"] = nlohmann::ordered_json::array();
  for (const Question& question : intake.form.questions) {
    json["questions"].push_back(
        {{"key", row_of(question.choice).key}, {"why", question.why}, {"line", question.line}});
  }
  json["tallies"] = nlohmann::ordered_json::array();
  for (const Tally& tally : intake.tallies) {
    json["tallies"].push_back({{"what", tally.what},
                               {"count", tally.count},
                               {"first_line", tally.first_line},
                               {"example", tally.example},
                               {"used", tally.used}});
  }
  json["notes"] = intake.notes;
  return json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + '\n';
}

SeriesPicture speed_picture(const SpeedIntake& intake, const std::string& file) {
  SeriesPicture picture;
  picture.title = "Line speed of " + file;
  picture.subtitle = fmt::format("{} to {}; {} rows used", moment_text(intake, 0.0),
                                 moment_text(intake, intake.length_s), intake.rows);
  picture.unit = "containers a minute";
  picture.band_s = intake.plot.bin_s;
  for (const SpeedBin& bin : intake.plot.bins) {
    picture.bands.push_back({bin.least, bin.most, bin.empty});
  }
  return picture;
}

}  // namespace rimebench
