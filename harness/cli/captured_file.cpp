#include "harness/cli/captured_file.hpp"

#include <algorithm>
#include <array>
#include <ostream>

#include "harness/intake/input_file.hpp"
#include "harness/trace/change_cursor.hpp"
#include "harness/trace/channel_names.hpp"

namespace rimebench {

namespace {

bool is_trace(const std::string& path) {
  std::array<char, kTraceMagic.size()> begin{};
  std::ifstream file = open_input(path);
  file.read(begin.data(), static_cast<std::streamsize>(begin.size()));
  return std::equal(begin.begin(), begin.end(), kTraceMagic.begin(), [](char a, auto b) {
    return static_cast<std::uint8_t>(a) == static_cast<std::uint8_t>(b);
  });
}

CapturedLine from_trace(const std::string& path) {
  CapturedLine line;
  TraceReader reader(path);
  ChangeCursor cursor(reader);
  while (const auto change = cursor.next()) {
    line.wires.insert(change->channel);
    line.end = change->at;
    line.changes.push_back(*change);
  }
  line.complete = reader.complete();
  if (line.complete) line.end = reader.footer()->proof.end;
  if (!line.has_own_start()) {
    if (!line.changes.empty()) line.begin = line.changes.front().at;
    return line;
  }
  // A run of the bench keeps all that its controller put out: what never changed stayed at 0.
  for (const ChannelName& row : every_channel_name()) {
    if (class_of(row.channel) == ChannelClass::kFromController) line.wires.insert(row.channel);
  }
  return line;
}

CapturedLine from_capture(const std::string& path, const CaptureOptions& options) {
  CapturedLine line;
  const Capture capture = take_in_capture(
      path, options, [&](const SignalChange& change) { line.changes.push_back(change); });
  for (const CapturedWire& wire : capture.wires) {
    if (wire.channel) line.wires.insert(*wire.channel);
  }
  line.begin = capture.begin;
  line.end = capture.end;
  return line;
}

}  // namespace

std::optional<CaptureOptions> capture_options(const std::vector<std::string>& wires,
                                              std::int64_t debounce_us, std::ostream& err) {
  CaptureOptions options{{}, Duration{debounce_us}};
  bool good = true;
  for (const std::string& text : wires) {
    std::string problem;
    if (const auto wire = parse_wire(text, problem)) {
      options.wires.push_back(*wire);
    } else {
      err << "--wire: " << problem << "\n";
      good = false;
    }
  }
  if (!good) return std::nullopt;
  return options;
}

CapturedLine load_captured_line(const std::string& file, const CaptureOptions& options) {
  return is_trace(file) ? from_trace(file) : from_capture(file, options);
}

}  // namespace rimebench
