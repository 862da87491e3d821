#include <doctest/doctest.h>

#include <algorithm>
#include <fstream>
#include <iomanip>
#include <sstream>
#include <string>
#include <vector>

#include "firmware_sim/contract/channel_table.hpp"
#include "firmware_sim/contract/fault_table.hpp"
#include "firmware_sim/contract/parameter_table.hpp"
#include "firmware_sim/port/node_session.hpp"
#include "firmware_sim/wire/message.hpp"
#include "firmware_sim/wire/paced_message.hpp"
#include "harness/trace/digest.hpp"
#include "tests/link/echo_controller.hpp"
#include "tests/wire/bytes.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

std::vector<std::string> page() {
  std::ifstream file(REPOSITORY_DIR "/firmware_sim/wire/PROTOCOL.md");
  REQUIRE(file);
  std::vector<std::string> lines;
  for (std::string line; std::getline(file, line);) lines.push_back(line);
  return lines;
}

Bytes bytes_of(const std::string& hex) {
  Bytes bytes;
  std::istringstream text(hex);
  for (std::string two; text >> two;) {
    REQUIRE(two.size() == 2);
    bytes.push_back(static_cast<std::uint8_t>(std::stoi(two, nullptr, 16)));
  }
  return bytes;
}

/// The lines of every fenced block with this info string, from the heading on.
std::vector<std::string> block_lines(const std::string& info, const std::string& heading) {
  std::vector<std::string> found;
  bool below = false;
  bool inside = false;
  for (const std::string& line : page()) {
    if (line.starts_with("## ") || line.starts_with("# ")) below = below || line == heading;
    if (inside && line == "```") {
      inside = false;
    } else if (inside) {
      if (below) found.push_back(line);
    } else {
      inside = line == "```" + info;
    }
  }
  return found;
}

struct PageFrame {
  bool to_node;
  Bytes bytes;
};

std::vector<PageFrame> frames_below(const std::string& heading) {
  std::vector<PageFrame> frames;
  for (const std::string& line : block_lines("hex", heading)) {
    REQUIRE((line.starts_with("> ") || line.starts_with("< ")));
    frames.push_back({line.front() == '>', bytes_of(line.substr(2))});
  }
  return frames;
}

/// Decodes a payload and encodes what it found.
Bytes again(std::span<const std::uint8_t> payload) {
  FrameBuffer frame;
  ChangeBuffer changes;
  std::span<const std::uint8_t> bytes;
  if (const auto hello = decode_hello(payload)) bytes = encode(*hello, frame);
  if (const auto reply = decode_hello_reply(payload)) bytes = encode(*reply, frame);
  if (const auto grant = decode_grant(payload, changes)) bytes = encode(*grant, frame);
  if (const auto reached = decode_reached(payload, changes)) bytes = encode(*reached, frame);
  if (const auto refused = decode_refused(payload)) bytes = encode(*refused, frame);
  if (is_goodbye(payload)) bytes = encode_goodbye(frame);
  if (const auto inputs = decode_inputs(payload, changes)) bytes = encode(*inputs, frame);
  if (const auto taken = decode_taken(payload)) bytes = encode(*taken, frame);
  if (const auto outputs = decode_outputs(payload, changes)) bytes = encode(*outputs, frame);
  return {bytes.begin(), bytes.end()};
}

/// The page has a line that begins so.
void check_line(const std::string& beginning) {
  CAPTURE(beginning);
  bool found = false;
  for (const std::string& line : page()) found = found || line.starts_with(beginning);
  CHECK(found);
}

std::string channel_cell(Channel channel) {
  std::ostringstream text;
  text << "| 0x" << std::hex << std::setfill('0') << std::setw(4) << number(channel) << " | ";
  return text.str();
}

}  // namespace

TEST_CASE("protocol page: every frame on it is one message, to the byte") {
  const auto frames = frames_below("# The link between bench and node");
  CHECK(frames.size() == 19);
  for (const PageFrame& frame : frames) {
    FrameReader reader;
    CHECK(feed(reader, frame.bytes) == std::vector{FrameEvent::kFrame});
    CHECK(again(reader.payload()) == frame.bytes);
  }
}

TEST_CASE("protocol page: a node that is the page's toy answers the session as printed") {
  NodeSession<EchoController> session;
  Bytes answer;
  for (const PageFrame& frame : frames_below("## A whole session")) {
    if (frame.to_node) {
      CHECK(answer.empty());
      for (const std::uint8_t byte : frame.bytes) {
        const auto reply = session.on_byte(byte);
        if (!reply.empty()) answer.assign(reply.begin(), reply.end());
      }
    } else {
      CHECK(answer == frame.bytes);
      answer.clear();
    }
  }
  CHECK(session.ended());
}

TEST_CASE("protocol page: its digest is that of its records, and they are those of its session") {
  std::vector<SignalChange> session;
  for (const PageFrame& frame : frames_below("## A whole session")) {
    FrameReader reader;
    feed(reader, frame.bytes);
    ChangeBuffer changes;
    if (const auto grant = decode_grant(reader.payload(), changes)) {
      session.insert(session.end(), grant->changes.begin(), grant->changes.end());
    } else if (const auto reached = decode_reached(reader.payload(), changes)) {
      std::erase_if(session, [&](const SignalChange& change) {
        return change.at >= reached->at;  // not consumed: it comes again
      });
      session.insert(session.end(), reached->changes.begin(), reached->changes.end());
    }
  }
  std::ranges::sort(session, canonical_before);

  TraceDigest digest;
  std::vector<SignalChange> printed;
  for (const std::string& line : block_lines("records", "## The digest of a run")) {
    const Bytes record = bytes_of(line);
    REQUIRE(record.size() == kRecordBytes);
    printed.push_back(decode_record(record.data()));
    digest.add(printed.back());
  }
  CHECK(printed == session);
  std::ostringstream text;
  text << "The session above has these eight records, and the digest `" << std::hex
       << std::setfill('0') << std::setw(16) << digest.proof(Instant{2'000}).digest << "`:";
  check_line(text.str());
}

TEST_CASE("protocol page: every channel, counter, fault and mode stands there with its number") {
  for (const ChannelRow& row : kChannelTable) {
    check_line(channel_cell(row.channel) + row.name + " | " + row.unit + " |");
  }
  for (const CounterRow& row : kCounterTable) {
    check_line(channel_cell(counter_channel(row.counter)) + row.name + " |");
  }
  for (const FaultRow& row : kFaultTable) {
    check_line("| " + std::to_string(static_cast<int>(row.fault)) + " | " + row.name + " |");
  }
  for (std::size_t mode = 0; mode < kModeNames.size(); ++mode) {
    check_line("| " + std::to_string(mode) + " | " + kModeNames[mode] + " |");
  }
}

TEST_CASE("protocol page: every parameter stands there with its slot and range") {
  for (const ParameterRow& row : kParameterTable) {
    std::ostringstream text;
    text << "| " << slot(row.parameter) << " | " << row.entries << " | " << row.key << " | "
         << row.unit << " | " << row.min << " | " << row.max << " |";
    check_line(text.str());
  }
}

TEST_CASE("protocol page: its recipes have the checksums it prints") {
  RecipeValues values;
  check_line("A recipe has " + std::to_string(kParameterSlots) + " slots");
  check_line("| all " + std::to_string(kParameterSlots) + " slots 0 | " +
             std::to_string(values.commit_value()) + " |");
  values.set(Parameter::kDoseUg, 200'000);
  check_line("| slot " + std::to_string(slot(Parameter::kDoseUg)) +
             " (dose_ug) 200000, the others 0 | " + std::to_string(values.commit_value()) + " |");
}
