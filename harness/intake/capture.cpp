#include "harness/intake/capture.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <stdexcept>

#include "harness/intake/csv_fields.hpp"
#include "harness/intake/edge_filter.hpp"
#include "harness/intake/logged_number.hpp"
#include "harness/intake/session_archive.hpp"
#include "harness/intake/text_lines.hpp"
#include "harness/intake/vcd_reader.hpp"
#include "harness/trace/channel_names.hpp"

namespace rimebench {

namespace {

std::optional<Channel> channel_named(const std::string& name) {
  static const std::map<std::string, Channel> kChannels = [] {
    std::map<std::string, Channel> channels;
    for (const ChannelName& row : every_channel_name()) channels[row.name] = row.channel;
    return channels;
  }();
  const auto found = kChannels.find(name);
  return found == kChannels.end() ? std::nullopt : std::optional(found->second);
}

std::string last_part(const std::string& name) { return name.substr(name.rfind('.') + 1); }

bool is_dump(const std::filesystem::path& file) {
  TextLines lines(file, TextLines::guess(file).encoding);
  for (TextLine line; lines.next(line);) {
    const auto text = trimmed(line.text);
    if (!text.empty()) return text.front() == '$';
  }
  throw std::invalid_argument(file.string() + ": there is nothing in it");
}

/// Gives each wire its channel and passes its values on.
class WireBoard {
 public:
  WireBoard(const CaptureOptions& options, std::string file, Capture& capture,
            std::function<void(const SignalChange&)> sink)
      : options_(options),
        file_(std::move(file)),
        capture_(capture),
        filter_(options.debounce, std::move(sink)) {}

  void lay(const std::vector<std::string>& names) {
    for (const std::string& name : names) {
      CapturedWire wire{name, channel_named(last_part(name)), false, 0, 0, 0};
      for (const WireChoice& choice : options_.wires) {
        if (choice.wire != name && choice.wire != last_part(name)) continue;
        wire.channel = choice.channel;
        wire.inverted = choice.inverted;
      }
      capture_.wires.push_back(wire);
    }
    check();
  }

  void value(std::size_t wire_index, Instant at, std::optional<std::int64_t> value) {
    CapturedWire& wire = capture_.wires[wire_index];
    if (!begun_) capture_.begin = at;
    begun_ = true;
    if (!wire.channel) return;
    if (!value) {
      ++wire.no_data;
      return;
    }
    const auto raw = static_cast<std::int32_t>(wire.inverted ? (*value == 0 ? 1 : 0) : *value);
    filter_.take({at, *wire.channel, raw}, wire.bounces);
  }

  void finish() {
    filter_.finish();
    for (CapturedWire& wire : capture_.wires) {
      if (wire.channel) wire.changes = filter_.passed(*wire.channel);
    }
  }

 private:
  void check() const {
    const auto& wires = capture_.wires;
    std::string all;
    for (const CapturedWire& wire : wires) all += (all.empty() ? "" : ", ") + wire.wire;
    for (const WireChoice& choice : options_.wires) {
      if (std::none_of(wires.begin(), wires.end(), [&](const CapturedWire& wire) {
            return wire.wire == choice.wire || last_part(wire.wire) == choice.wire;
          })) {
        throw std::invalid_argument(file_ + ": there is no wire " + choice.wire + "; there are " +
                                    all);
      }
    }
    bool any = false;
    for (std::size_t i = 0; i < wires.size(); ++i) {
      any = any || wires[i].channel.has_value();
      for (std::size_t k = 0; k < i && wires[i].channel; ++k) {
        if (wires[k].channel == wires[i].channel) {
          throw std::invalid_argument(file_ + ": " + wires[k].wire + " and " + wires[i].wire +
                                      " are both the same channel");
        }
      }
    }
    if (!any) {
      throw std::invalid_argument(
          file_ + ": no wire has a channel's name; say --wire WIRE=CHANNEL (wires: " + all + ')');
    }
  }

  const CaptureOptions& options_;
  std::string file_;
  Capture& capture_;
  EdgeFilter filter_;
  bool begun_{false};
};

void take_dump(const std::filesystem::path& file, WireBoard& board, Capture& capture) {
  const VcdDump dump = read_vcd(
      file,
      [&](const VcdDump& header) {
        std::vector<std::string> names;
        for (const VcdVariable& variable : header.variables) names.push_back(variable.name);
        board.lay(names);
      },
      [&](const VcdChange& change) {
        board.value(change.variable, Instant{change.at_us},
                    change.known ? std::optional(change.value) : std::nullopt);
      });
  capture.end = Instant{dump.end_us};
  capture.finer_than_us = dump.finer_than_us;
  if (dump.reals > 0) {
    capture.notes.push_back(std::to_string(dump.reals) + " values of real variables left out");
  }
}

void take_session(const std::filesystem::path& file, WireBoard& board, Capture& capture) {
  const Session session = read_session(
      file, [&](const SessionHeader& header) { board.lay(header.probes); },
      [&](const SessionChange& change) {
        board.value(change.probe, Instant{change.at_us}, change.high ? 1 : 0);
      });
  capture.end = Instant{session.end_us};
  capture.finer_than_us = session.finer_than_us;
  if (session.header.analog > 0) {
    capture.notes.push_back(std::to_string(session.header.analog) + " analogue channels left out");
  }
}

/// Rows of a time in seconds and one level a column, sampled or at changes only.
class TableReader {
 public:
  TableReader(const std::filesystem::path& file, WireBoard& board, Capture& capture)
      : file_(file), board_(board), capture_(capture) {}

  void read() {
    TextLines lines(file_, TextLines::guess(file_).encoding);
    for (TextLine line; lines.next(line);) {
      const auto text = trimmed(line.text);
      if (text.empty() || text.front() == ';' || text.front() == '#') continue;
      if (names_.empty())
        delimiter_ = text.find('\t') != std::string_view::npos  ? '\t'
                     : text.find(';') != std::string_view::npos ? ';'
                                                                : ',';
      split_fields(text, delimiter_, fields_);
      if (names_.empty()) {
        header();
      } else if (line.ended || fields_.size() >= names_.size()) {
        row(line.number);
      }
    }
    if (!any_) throw std::invalid_argument(file_.string() + ": no row with a time and levels");
    capture_.end = Instant{last_us_};
  }

 private:
  void header() {
    names_ = fields_;
    board_.lay({names_.begin() + 1, names_.end()});
  }

  void row(std::int64_t line) {
    const auto seconds = parse_logged(fields_.front(), DecimalMark::kPoint);
    const std::string where = file_.string() + ':' + std::to_string(line) + ": ";
    if (!seconds || std::abs(*seconds) > 1e12) {
      throw std::invalid_argument(where + fields_.front() + " is no time in seconds");
    }
    const double us = *seconds * 1e6;
    if (!any_) capture_.shifted_us = std::min<std::int64_t>(std::llround(us), 0);
    any_ = true;
    const std::int64_t at = std::llround(us) - capture_.shifted_us;
    if (std::abs(us - std::round(us)) > 1e-3) ++capture_.finer_than_us;
    if (at < last_us_) throw std::invalid_argument(where + "the time goes back");
    last_us_ = at;
    for (std::size_t i = 1; i < std::min(fields_.size(), names_.size()); ++i) {
      board_.value(i - 1, Instant{at}, level(fields_[i], where));
    }
  }

  static std::optional<std::int64_t> level(const std::string& field, const std::string& where) {
    if (field.empty() || field == "X" || field == "x" || field == "Z") return std::nullopt;
    const auto value = parse_logged(field, DecimalMark::kPoint);
    if (!value || std::abs(*value) > 2147483647.0 || *value != std::floor(*value)) {
      throw std::invalid_argument(where + field + " is no level");
    }
    return static_cast<std::int64_t>(*value);
  }

  std::filesystem::path file_;
  WireBoard& board_;
  Capture& capture_;
  char delimiter_{','};
  std::vector<std::string> names_;
  std::vector<std::string> fields_;
  std::int64_t last_us_{0};
  bool any_{false};
};

}  // namespace

std::int64_t Capture::changes() const {
  std::int64_t all = 0;
  for (const CapturedWire& wire : wires) all += wire.changes;
  return all;
}

std::optional<WireChoice> parse_wire(const std::string& text, std::string& problem) {
  const std::size_t equals = text.rfind('=');
  if (equals == std::string::npos || equals == 0) {
    problem = text + " is no WIRE=CHANNEL";
    return std::nullopt;
  }
  std::string name = text.substr(equals + 1);
  const bool inverted = name.starts_with('!');
  if (inverted) name.erase(0, 1);
  const auto channel = channel_named(name);
  if (!channel) {
    problem = "there is no channel " + name + " (valid:";
    for (const ChannelName& row : every_channel_name()) {
      if (number(row.channel) < number(Channel::kRecipeFirst)) problem += ' ' + row.name;
    }
    problem += " valve reject line_permit ...)";
    return std::nullopt;
  }
  return WireChoice{text.substr(0, equals), *channel, inverted};
}

Capture take_in_capture(const std::filesystem::path& file, const CaptureOptions& options,
                        const std::function<void(const SignalChange&)>& sink) {
  Capture capture;
  WireBoard board(options, file.string(), capture, sink);
  if (is_session(file)) {
    take_session(file, board, capture);
  } else if (is_dump(file)) {
    take_dump(file, board, capture);
  } else {
    TableReader(file, board, capture).read();
  }
  board.finish();
  return capture;
}

}  // namespace rimebench
