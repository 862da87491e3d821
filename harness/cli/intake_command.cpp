#include "harness/cli/intake_command.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <optional>
#include <ostream>

#include "harness/cli/speed_intake_text.hpp"
#include "harness/config/number.hpp"
#include "harness/intake/choices_file.hpp"
#include "harness/intake/speed_intake.hpp"
#include "harness/trace/output_file.hpp"

namespace rimebench {

namespace {

constexpr std::size_t kBlockBytes = 1U << 16U;

/// The strict form that a scenario's speed: {log: FILE} takes.
class ProfileFile {
 public:
  explicit ProfileFile(const std::string& file) {
    if (!file.empty()) file_.emplace(file);
    text_ = "time_s,speed_per_min\n";
  }
  void add(const SpeedKnot& knot) {
    if (!file_) return;
    text_ += fmt::format("{}.{:06},{}\n", knot.at.us / 1'000'000, knot.at.us % 1'000'000,
                         number_text(knot.containers_per_min));
    if (text_.size() < kBlockBytes) return;
    file_->write(text_);
    text_.clear();
  }
  void close() {
    if (!file_) return;
    file_->write(text_);
    file_->close();
  }

 private:
  std::optional<OutputFile> file_;
  std::string text_;
};

bool read_all_choices(const IntakeSpeedOptions& options, Choices& choices, std::ostream& err) {
  Diagnostics diagnostics;
  const std::filesystem::path beside = options.file + ".choices.yaml";
  if (std::filesystem::exists(beside)) read_choices(beside, choices, diagnostics);
  for (const std::string& text : options.choices) {
    const std::size_t equals = text.find('=');
    std::string problem = text + " is no KEY=VALUE";
    if (equals == std::string::npos ||
        !choices.set(text.substr(0, equals), text.substr(equals + 1), problem)) {
      Diagnostic& mistake = diagnostics.emplace_back();
      mistake.where.file = "--choose";
      mistake.problem = problem;
    }
  }
  for (const Diagnostic& diagnostic : diagnostics) err << to_text(diagnostic) << '\n';
  return diagnostics.empty();
}

void write_reports(const IntakeSpeedOptions& options, const Choices& choices,
                   const SpeedIntake& intake, std::ostream& out) {
  if (!options.choices_file.empty()) {
    write_whole_file(options.choices_file,
                     choices_text(options.file, choices, intake.form.decisions));
  }
  if (!options.svg.empty()) {
    write_whole_file(options.svg, to_svg(speed_picture(intake, options.file)));
  }
  if (options.json == "-") {
    out << to_json(intake, options.file);
    return;
  }
  if (!options.json.empty()) write_whole_file(options.json, to_json(intake, options.file));
  out << to_terminal(intake, options.file);
  for (const std::string& file : {options.profile, options.choices_file, options.svg}) {
    if (!file.empty()) out << fmt::format("written: {}\n", file);
  }
}

}  // namespace

ExitCode intake_speed_command(const IntakeSpeedOptions& options, std::ostream& out,
                              std::ostream& err) {
  if (options.keys) {
    out << describe_choices();
    return ExitCode::kPass;
  }
  Choices choices;
  if (!read_all_choices(options, choices, err)) return ExitCode::kBadInput;
  // Looked through first: while a question is left nothing is written, to a pipe either.
  const SpeedIntake look = take_in_speed(options.file, choices, [](const SpeedKnot&) {});
  if (!look.answered()) {
    if (options.json == "-") out << to_json(look, options.file);
    err << questions_text(look, options.file);
    return ExitCode::kBadInput;
  }
  if (!options.profile.empty()) {
    ProfileFile profile(options.profile);
    take_in_speed(options.file, choices, [&](const SpeedKnot& knot) { profile.add(knot); });
    profile.close();
  }
  write_reports(options, choices, look, out);
  return ExitCode::kPass;
}

}  // namespace rimebench
