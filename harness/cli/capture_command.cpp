#include "harness/cli/capture_command.hpp"

#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "harness/cli/captured_file.hpp"
#include "harness/cli/change_text.hpp"
#include "harness/intake/capture.hpp"
#include "harness/trace/change_cursor.hpp"
#include "harness/trace/vcd_writer.hpp"
#include "harness/trace/writer.hpp"

namespace rimebench {

namespace {

std::string to_terminal(const Capture& capture, const RunProof& proof, const std::string& file) {
  const ChangeText text;
  std::string lines =
      fmt::format("{}: {:.6f} s, {} signal changes\n\n  {:<32} {:<28} {:>10} {:>9} {:>8}\n", file,
                  static_cast<double>(capture.end.us) * 1e-6, capture.changes(), "wire", "channel",
                  "changes", "bounces", "no data");
  int still = 0;
  for (const CapturedWire& wire : capture.wires) {
    if (wire.channel && wire.changes + wire.bounces + wire.no_data == 0) {
      ++still;
      continue;
    }
    const std::string channel =
        wire.channel ? (wire.inverted ? "!" : "") + text.name(*wire.channel) : "(not used)";
    lines += fmt::format("  {:<32} {:<28} {:>10} {:>9} {:>8}\n", wire.wire, channel, wire.changes,
                         wire.bounces, wire.no_data);
  }
  if (still > 0) lines += fmt::format("  and {} that never change\n", still);
  if (capture.shifted_us != 0) {
    lines += fmt::format("instant 0 is the file's {} us\n", capture.shifted_us);
  }
  if (capture.finer_than_us > 0) {
    lines += fmt::format("{} changes were rounded to a microsecond\n", capture.finer_than_us);
  }
  for (const std::string& note : capture.notes) lines += "note: " + note + '\n';
  return lines +
         fmt::format("proof: digest {:016x} of {} signal changes\n", proof.digest, proof.changes);
}

std::string to_json(const Capture& capture, const RunProof& proof, const std::string& file) {
  const ChangeText text;
  nlohmann::ordered_json json;
  json["file"] = file;
  json["end_us"] = capture.end.us;
  json["digest"] = fmt::format("{:016x}", proof.digest);
  json["signal_changes"] = proof.changes;
  json["shifted_us"] = capture.shifted_us;
  json["rounded"] = capture.finer_than_us;
  json["wires"] = nlohmann::ordered_json::array();
  for (const CapturedWire& wire : capture.wires) {
    nlohmann::ordered_json row;
    row["wire"] = wire.wire;
    row["channel"] = wire.channel ? nlohmann::ordered_json(text.name(*wire.channel)) : nullptr;
    row["inverted"] = wire.inverted;
    row["changes"] = wire.changes;
    row["bounces"] = wire.bounces;
    row["no_data"] = wire.no_data;
    json["wires"].push_back(row);
  }
  json["notes"] = capture.notes;
  return json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + '\n';
}

}  // namespace

ExitCode intake_capture_command(const IntakeCaptureOptions& options, std::ostream& out,
                                std::ostream& err) {
  const auto choices = capture_options(options.wires, options.debounce_us, err);
  if (!choices) return ExitCode::kBadInput;
  // Looked through first, so that a mistake far down leaves no half trace.
  TraceDigest digest;
  const Capture capture = take_in_capture(options.file, *choices,
                                          [&](const SignalChange& change) { digest.add(change); });
  const Instant end = capture.end + Duration{1};
  if (!options.trace.empty()) {
    TraceWriter writer(options.trace, 0, "");
    take_in_capture(options.file, *choices,
                    [&](const SignalChange& change) { writer.add(change); });
    writer.close(digest.proof(end), 0);
  }
  const RunProof proof = digest.proof(end);
  if (!options.json.empty() && options.json != "-") {
    write_whole_file(options.json, to_json(capture, proof, options.file));
  }
  out << (options.json == "-" ? to_json(capture, proof, options.file)
                              : to_terminal(capture, proof, options.file));
  if (!options.trace.empty() && options.json != "-") {
    out << fmt::format("written: {}\n", options.trace);
  }
  return ExitCode::kPass;
}

ExitCode export_command(const ExportOptions& options, std::ostream& out) {
  TraceReader reader(options.trace);
  ChangeCursor cursor(reader);
  VcdWriter vcd(options.vcd, options.wires_only);
  Instant last{};
  while (const auto change = cursor.next()) {
    vcd.add(*change);
    last = change->at;
  }
  vcd.close(reader.complete() ? reader.footer()->proof.end : last);
  out << fmt::format("written: {}\n", options.vcd);
  if (reader.complete()) return ExitCode::kPass;
  out << fmt::format("the trace has no end: it is good up to {} us\n", last.us);
  return ExitCode::kInconclusive;
}

}  // namespace rimebench
