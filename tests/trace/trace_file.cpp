#include <doctest/doctest.h>

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>

#include "firmware_sim/contract/crc.hpp"
#include "harness/trace/format.hpp"
#include "tests/trace/scratch.hpp"
#include "tests/trace/trace_run.hpp"

using namespace rimebench;

TEST_CASE("trace: a block's CRC-32 is the ISO-HDLC one of its kind, size and payload") {
  Crc32 check;
  for (const char digit : {'1', '2', '3', '4', '5', '6', '7', '8', '9'}) {
    check.add(static_cast<std::uint8_t>(digit));
  }
  REQUIRE(check.value() == 0xCBF43926);  // the catalogue's check value
  const Bytes payload{'r', 'i', 'm', 'e'};
  Crc32 crc;
  crc.add(Bytes{2, 0, 0, 0, 4, 0, 0, 0});
  crc.add(payload);
  CHECK(block_crc(BlockKind::kChanges, payload) == crc.value());
}

TEST_CASE("trace: what was written is read back, over many blocks, with the same proof") {
  const Scratch scratch;
  const RunProof proof = write_made_up_trace(scratch / "run.trace", 20'000);
  TraceReader reader(scratch / "run.trace");
  CHECK(reader.header().seed == kMadeUpSeed);
  CHECK(reader.header().scenario == kMadeUpScenario);
  CHECK(reader.header().channels == every_channel_name());
  const WholeTrace whole = read_all(reader);
  REQUIRE(whole.changes.size() == 20'000);
  for (std::int64_t n = 0; n < 20'000; ++n) {
    REQUIRE(whole.changes[static_cast<std::size_t>(n)] == made_up_change(n));
  }
  REQUIRE(whole.rows.size() == 2000);
  for (std::int64_t n = 0; n < 2000; ++n) {
    REQUIRE(whole.rows[static_cast<std::size_t>(n)] == made_up_row(n + 1));
  }
  CHECK(reader.complete());
  CHECK(reader.footer() == TraceFooter{20'000, 2000, proof, 7});
}

TEST_CASE("trace: a run in which nothing happened is a whole trace") {
  const Scratch scratch;
  write_made_up_trace(scratch / "run.trace", 0);
  TraceReader reader(scratch / "run.trace");
  CHECK(!reader.next());
  CHECK(reader.complete());
}

TEST_CASE("trace: the same run is the same file, byte for byte") {
  const Scratch scratch;
  write_made_up_trace(scratch / "a.trace", 3000);
  write_made_up_trace(scratch / "b.trace", 3000);
  CHECK(content_of(scratch / "a.trace") == content_of(scratch / "b.trace"));
}

TEST_CASE("trace: a file has its name only once it is whole") {
  const Scratch scratch;
  {
    TraceWriter writer(scratch / "run.trace", 1, "");
    writer.add(made_up_change(0));
    CHECK(std::filesystem::exists(scratch / "run.trace.partial"));
    CHECK(!std::filesystem::exists(scratch / "run.trace"));
    writer.close({}, 0);
  }
  CHECK(!std::filesystem::exists(scratch / "run.trace.partial"));
  CHECK(std::filesystem::exists(scratch / "run.trace"));
}

TEST_CASE("trace: a run that broke off leaves all it had, and says that it is not complete") {
  const Scratch scratch;
  {
    TraceWriter writer(scratch / "run.trace", 1, "");
    for (std::int64_t n = 0; n < 5001; ++n) writer.add(made_up_change(n));
    writer.add(made_up_row(1));
  }
  CHECK(!std::filesystem::exists(scratch / "run.trace"));
  TraceReader reader(scratch / "run.trace.partial");
  const WholeTrace whole = read_all(reader);
  CHECK(whole.changes.size() == 5001);
  CHECK(whole.rows.size() == 1);
  CHECK(!reader.complete());
}

TEST_CASE("trace: a file can be read while the run still writes it") {
  const Scratch scratch;
  TraceWriter writer(scratch / "run.trace", 1, "");
  for (std::int64_t n = 0; n < 5000; ++n) writer.add(made_up_change(n));
  TraceReader reader(scratch / "run.trace.partial");
  const WholeTrace whole = read_all(reader);
  CHECK(whole.changes.size() == 4096);
  CHECK(!reader.complete());
  writer.close({}, 0);
}

TEST_CASE("trace: cut anywhere after its header it is read as far as the last whole block") {
  const Scratch scratch;
  write_made_up_trace(scratch / "run.trace", 9000);
  const std::string content = content_of(scratch / "run.trace");
  const std::size_t block = kBlockHeadBytes + 4096 * kRecordBytes;
  const std::size_t first_block = content.find(std::string("\x02\0\0\0\0\0\x01\0", 8));
  REQUIRE(first_block != std::string::npos);
  const auto changes_within = [&](std::size_t bytes) {
    put_content(scratch / "cut.trace", content.substr(0, bytes));
    TraceReader reader(scratch / "cut.trace");
    const std::size_t count = read_all(reader).changes.size();
    CHECK(reader.complete() == (bytes == content.size()));
    return count;
  };
  CHECK(changes_within(first_block) == 0);
  CHECK(changes_within(first_block + 5) == 0);
  CHECK(changes_within(first_block + block - 1) == 0);
  CHECK(changes_within(first_block + block) == 4096);
  CHECK(changes_within(first_block + block + 100) == 4096);
  CHECK(changes_within(content.size() - 1) == 9000);
  CHECK(changes_within(content.size()) == 9000);
}

TEST_CASE("trace: another file, another version, a flipped bit are refused with file and byte") {
  const Scratch scratch;
  write_made_up_trace(scratch / "run.trace", 9000);
  const std::string good = content_of(scratch / "run.trace");
  const std::string name = (scratch / "bad.trace").string();
  const auto refused = [&](const std::string& content) {
    put_content(name, content);
    return error_of([&] {
      TraceReader reader(name);
      read_all(reader);
    });
  };
  CHECK(refused(good).empty());
  CHECK(refused("") == name + ": byte 0: not a trace: it should begin with RIMETRAC");
  CHECK(refused("time_us,channel,value\n1,2,3\n") ==
        name + ": byte 0: not a trace: it should begin with RIMETRAC");
  CHECK(refused(good.substr(0, 40)) == name + ": byte 16: the trace ends within its header");
  std::string bad = good;
  bad[8] = 9;
  CHECK(refused(bad) == name + ": byte 8: trace format version 9; this program reads version 1");
  bad = good;
  bad[60] = static_cast<char>(bad[60] ^ 1);
  CHECK(refused(bad) == name + ": byte 16: damaged: the block's CRC-32 differs");
  bad = good;
  const std::size_t first_block = good.find(std::string("\x02\0\0\0\0\0\x01\0", 8));
  bad[first_block + 500] = static_cast<char>(bad[first_block + 500] ^ 0x40);
  CHECK(refused(bad) ==
        name + ": byte " + std::to_string(first_block) + ": damaged: the block's CRC-32 differs");
  bad = good;
  bad[first_block + 7] = '\x7f';
  CHECK(refused(bad) ==
        name + ": byte " + std::to_string(first_block) + ": damaged: a block of 2130771968 bytes");
  CHECK(refused(good + "x") ==
        name + ": byte " + std::to_string(good.size()) + ": bytes after the footer");
}

TEST_CASE(
    "trace: a flipped bit in any fifth byte of a trace is never read as a whole, different trace") {
  const Scratch scratch;
  write_made_up_trace(scratch / "run.trace", 200);
  const std::string good = content_of(scratch / "run.trace");
  int unnoticed = 0;
  for (std::size_t byte = 0; byte < good.size(); byte += 5) {
    if (byte >= 12 && byte < kPreambleBytes) continue;  // the preamble's spare bytes
    std::string bad = good;
    bad[byte] = static_cast<char>(bad[byte] ^ (1 << (byte % 8)));
    put_content(scratch / "bad.trace", bad);
    bool complete = false;
    const std::string error = error_of([&] {
      TraceReader reader(scratch / "bad.trace");
      read_all(reader);
      complete = reader.complete();
    });
    unnoticed += error.empty() && complete ? 1 : 0;
  }
  CHECK(unnoticed == 0);
}

TEST_CASE("trace: a footer that belongs to another run is refused") {
  const Scratch scratch;
  {
    TraceWriter writer(scratch / "run.trace", 1, "");
    writer.add(made_up_change(0));
    writer.close({}, 0);
  }
  const std::string error = error_of([&] {
    TraceReader reader(scratch / "run.trace");
    read_all(reader);
  });
  CHECK(error.find("the footer's counts or digest are not those of this trace") !=
        std::string::npos);
}

TEST_CASE("trace: a payload that is too short, too long or out of range is not decoded") {
  Bytes rows;
  append(rows, std::uint32_t{1000});
  CHECK(!decode_rows(rows));  // a count that the bytes cannot hold
  LedgerRow row;
  row.cause = static_cast<std::int64_t>(Cause::kCount);
  CHECK(!decode_rows(encode_rows({&row, 1})));  // a cause that does not exist
  Bytes footer = encode_footer({});
  footer.push_back(0);
  CHECK(!decode_footer(footer));
  Bytes header = encode_header(make_trace_header(1, "x"));
  header.pop_back();
  CHECK(!decode_header(header));
}
