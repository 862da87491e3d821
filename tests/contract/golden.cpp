/// What recipes in the field rest on: a default or a range that changes gives them another meaning.

#include <doctest/doctest.h>

#include <string>

#include "firmware_sim/contract/crc.hpp"
#include "firmware_sim/contract/feedback.hpp"
#include "firmware_sim/contract/parameter_table.hpp"
#include "tests/support/golden.hpp"

using namespace rimebench;

TEST_CASE("contract: every parameter has the place, range and default that recipes rest on") {
  std::string text = "# slot, key, entries, least, most, default\n";
  for (const ParameterRow& row : kParameterTable) {
    const bool required = row.default_value == kRequired;
    text += std::to_string(slot(row.parameter)) + ", " + row.key + ", " +
            std::to_string(row.entries) + ", " + std::to_string(row.min) + ", " +
            std::to_string(row.max) + ", " +
            (required ? "required" : std::to_string(row.default_value)) + "\n";
  }
  CHECK_GOLDEN("parameters.csv", text);
}

TEST_CASE("contract: the commit's checksum is the CRC-32 of Ethernet and zip") {
  // The usual check value of CRC-32/ISO-HDLC, from memory; zlib's crc32 gives the same.
  const std::uint8_t digits[] = {'1', '2', '3', '4', '5', '6', '7', '8', '9'};
  CHECK(crc32(digits) == 0xcbf43926U);
}

TEST_CASE("contract: a set of outputs travels as the mask that it is") {
  OutputSet watched;
  watched.add(Channel::kLinePermit);
  CHECK(watched.mask() == 1U << (number(Channel::kLinePermit) - number(Channel::kValve)));
  CHECK(OutputSet(watched.mask()) == watched);
}

TEST_CASE("contract: the levels among the outputs have a pin of their own, numbers have none") {
  CHECK(number(pin_of(Channel::kValve)) == number(Channel::kPinFirst) + 1);
  CHECK(pin_of(Channel::kSupplyIsolation) == Channel::kSupplyIsolationPin);
  CHECK(pin_of(Channel::kAlarm) == Channel{});
}
