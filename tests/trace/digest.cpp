#include "harness/trace/digest.hpp"

#include <doctest/doctest.h>

#include <cstdint>
#include <vector>

using namespace rimebench;

TEST_CASE("digest: a run without a change has the published XXH64 of nothing, EF46DB3751D8E999") {
  // Seed 0, empty input; the first line of every published XXH64 vector table.
  CHECK(TraceDigest().proof(Instant{7}) == RunProof{0xEF46DB3751D8E999u, 0, Instant{7}});
}

TEST_CASE("digest: a record is at, channel, zero, value in little-endian order") {
  std::array<std::uint8_t, kRecordBytes> record{};
  encode_record(record.data(), {Instant{0x0102030405060708}, Channel::kValve, -2});
  CHECK(record == std::array<std::uint8_t, kRecordBytes>{0x08, 0x07, 0x06, 0x05, 0x04, 0x03, 0x02,
                                                         0x01, 0x01, 0x20, 0x00, 0x00, 0xfe, 0xff,
                                                         0xff, 0xff});
  CHECK(decode_record(record.data()) ==
        SignalChange{Instant{0x0102030405060708}, Channel::kValve, -2});
}

TEST_CASE("digest: it is the XXH64 of all records of inputs and outputs end to end") {
  TraceDigest digest;
  std::vector<std::uint8_t> all;
  for (std::int32_t i = 0; i < 5000; ++i) {
    const SignalChange change{Instant{i * 250}, i % 3 == 0 ? Channel::kValve : Channel::kLinePulse,
                              i};
    digest.add(change);
    all.resize(all.size() + kRecordBytes);
    encode_record(all.data() + all.size() - kRecordBytes, change);
    if (i % 1000 == 0) {
      REQUIRE(digest.proof(change.at).digest == XXH64(all.data(), all.size(), 0));
    }
  }
  CHECK(digest.proof(Instant{1'250'000}) ==
        RunProof{XXH64(all.data(), all.size(), 0), 5000, Instant{1'250'000}});
}

TEST_CASE("digest: what only the bench can see does not change it") {
  TraceDigest with;
  TraceDigest without;
  const SignalChange open{Instant{10}, Channel::kValve, 1};
  with.add(open);
  without.add(open);
  with.add({Instant{11}, Channel::kValveActual, 1});
  CHECK(with.proof(Instant{20}) == without.proof(Instant{20}));
}

TEST_CASE("digest: a change one microsecond later is another run") {
  TraceDigest early;
  TraceDigest late;
  early.add({Instant{10}, Channel::kValve, 1});
  late.add({Instant{11}, Channel::kValve, 1});
  CHECK(early.proof(Instant{20}).digest != late.proof(Instant{20}).digest);
}
