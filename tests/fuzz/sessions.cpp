/// The corpus of whole sessions is what bench and node say to each other today. Written anew, as
/// the golden texts are, where the environment has RIMEBENCH_WRITE_GOLDEN.

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <iterator>

#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/port/node_session.hpp"
#include "harness/link/framed_node.hpp"
#include "tests/support/golden_runs.hpp"
#include "tests/wire/bytes.hpp"

using namespace rimebench;

namespace {

struct Said {
  test::Bytes by_bench;
  test::Bytes by_node{0};  // a polite one: it answers the hello well by itself
};

/// As a fuzz target takes it apart: in a whole frame, so long, these bytes.
void put_piece(test::Bytes& pieces, std::span<const std::uint8_t> payload) {
  pieces.push_back(0);
  pieces.push_back(static_cast<std::uint8_t>(payload.size()));
  pieces.push_back(static_cast<std::uint8_t>(payload.size() >> 8U));
  pieces.insert(pieces.end(), payload.begin(), payload.end());
}

/// A node in memory that writes down what is said.
class Overheard final : public ByteStream {
 public:
  explicit Overheard(Said& said) : said_(said) {}

  void write(std::span<const std::uint8_t> bytes, Deadline) override {
    for (const std::uint8_t byte : bytes) {
      const FrameEvent event = heard_.add(byte);
      if (event == FrameEvent::kFrame) note_bench(heard_.payload());
      const auto reply = session_.on_byte(byte);
      answer_.insert(answer_.end(), reply.begin(), reply.end());
      for (const std::uint8_t answered : reply) {
        if (answers_.add(answered) == FrameEvent::kFrame) note_node(answers_.payload());
      }
    }
  }

  std::size_t read(std::span<std::uint8_t> buffer, Deadline) override {
    const std::size_t size = std::min(buffer.size(), answer_.size());
    std::copy_n(answer_.begin(), size, buffer.begin());
    answer_.erase(answer_.begin(), answer_.begin() + static_cast<std::ptrdiff_t>(size));
    return size;
  }

  const std::string& name() const override { return name_; }

 private:
  void note_bench(std::span<const std::uint8_t> payload) {
    // A hello's nonce is another every time.
    const std::uint8_t hello[] = {1, static_cast<std::uint8_t>(kProtocolVersion), 7};
    put_piece(said_.by_bench, decode_hello(payload) ? std::span(hello) : payload);
  }
  void note_node(std::span<const std::uint8_t> payload) {
    if (!decode_hello_reply(payload)) put_piece(said_.by_node, payload);
  }

  Said& said_;
  NodeSession<DoseController> session_;
  FrameReader heard_, answers_;
  test::Bytes answer_;
  std::string name_{"memory"};
};

Said session_of(const char* scenario, std::int64_t feed_us) {
  Said said;
  FramedNode node(std::make_unique<Overheard>(said));
  test::record(test::plant_of(scenario, feed_us), node, {64, false});
  return said;
}

test::Bytes kept(const std::string& file, const test::Bytes& now) {
  const std::string path = REPOSITORY_DIR "/tests/fuzz/corpus/" + file;
  // NOLINTNEXTLINE(concurrency-mt-unsafe): a test program has one thread
  if (std::getenv("RIMEBENCH_WRITE_GOLDEN") != nullptr) {
    std::ofstream(path, std::ios::binary)
        .write(reinterpret_cast<const char*>(now.data()), static_cast<std::streamsize>(now.size()));
  }
  std::ifstream stream(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), {}};
}

}  // namespace

TEST_CASE("fuzz: the corpus of sessions is what bench and node say today") {
  struct Row {
    const char* scenario;
    std::int64_t feed_us;
  };
  for (const Row& row : {Row{"sticking_valve", 2'000'000}, Row{"inline_ramp", 7'000'000}}) {
    const std::string scenario = row.scenario;
    CAPTURE(scenario);
    const Said said = session_of(row.scenario, row.feed_us);
    CHECK(said.by_bench.size() > 1000);
    CHECK(said.by_bench == kept("messages_node_side/" + scenario, said.by_bench));
    CHECK(said.by_node == kept("messages_bench_side/" + scenario, said.by_node));
  }
}

TEST_CASE("fuzz: every session in the corpus of the node's side begins with a hello of today") {
  for (const char* file : {"page_session", "start_and_belt", "to_the_end_of_time"}) {
    std::ifstream stream(
        std::string(REPOSITORY_DIR "/tests/fuzz/corpus/messages_node_side/") + file,
        std::ios::binary);
    const std::string bytes{std::istreambuf_iterator<char>(stream), {}};
    REQUIRE(bytes.size() > 5);
    CHECK(bytes.substr(0, 5) == std::string("\0\3\0\1", 4) + static_cast<char>(kProtocolVersion));
  }
}
