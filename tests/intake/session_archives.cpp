/// Analyser sessions made here, entry by entry; test_vcd_tools.py has one that sigrok-cli wrote.

#include <doctest/doctest.h>
#include <zip.h>

#include <stdexcept>
#include <utility>

#include "harness/intake/capture.hpp"
#include "tests/intake/log_file.hpp"

using namespace rimebench;

namespace {

using Entries = std::vector<std::pair<std::string, std::string>>;

const std::string kMetadata =
    "[global]\nsigrok version=0.5.2\n\n[device 1]\ncapturefile=logic-1\ntotal probes=3\n"
    "samplerate=2 MHz\ntotal analog=1\nprobe1=container_sensor\nprobe3=valve\nunitsize=1\n";

/// An archive with these entries, in this order.
class SessionFile {
 public:
  explicit SessionFile(const Entries& entries) : file_("") {
    zip_t* const zip = zip_open(file_.path().c_str(), ZIP_CREATE | ZIP_TRUNCATE, nullptr);
    REQUIRE(zip != nullptr);
    for (const auto& [name, content] : entries) {
      zip_source_t* const source = zip_source_buffer(zip, content.data(), content.size(), 0);
      REQUIRE(zip_file_add(zip, name.c_str(), source, 0) >= 0);
    }
    REQUIRE(zip_close(zip) == 0);
  }
  const std::filesystem::path& path() const { return file_.path(); }

 private:
  LogFile file_;
};

std::string levels(int count, char level) {
  return std::string(static_cast<std::size_t>(count), level);
}

}  // namespace

TEST_CASE("session: samples at 2 MHz across two entries, the second stored first") {
  const SessionFile file({{"version", "2"},
                          {"logic-1-2", levels(100, 4) + levels(7, 5)},
                          {"metadata", kMetadata},
                          {"logic-1-1", levels(20, 0) + levels(11, 1) + levels(100, 0)}});
  std::vector<SignalChange> changes;
  const Capture capture = take_in_capture(
      file.path(), {}, [&](const SignalChange& change) { changes.push_back(change); });
  REQUIRE(changes.size() == 4);
  CHECK(changes[0] == SignalChange{Instant{10}, Channel::kContainerSensor, 1});
  CHECK(changes[1] == SignalChange{Instant{16}, Channel::kContainerSensor, 0});  // 15.5 us
  CHECK(changes[2] == SignalChange{Instant{66}, Channel::kValve, 1});            // 65.5 us
  CHECK(changes[3] == SignalChange{Instant{116}, Channel::kContainerSensor, 1});
  CHECK(capture.finer_than_us == 3);
  CHECK(capture.end == Instant{119});  // sample 237
  CHECK(capture.wires[1].wire == "probe2");
  CHECK_FALSE(capture.wires[1].channel);
  REQUIRE(capture.notes.size() == 1);
  CHECK(capture.notes.front() == "1 analogue channels left out");
}

TEST_CASE("session: units of two bytes parted by the end of an entry") {
  std::string metadata = kMetadata;
  metadata.replace(metadata.find("probe3"), 6, "probe9");
  metadata.replace(metadata.find("unitsize=1"), 10, "unitsize=2");
  const SessionFile file({{"metadata", metadata},
                          {"logic-1-1", std::string("\0\0\0\0\0", 5)},
                          {"logic-1-2", std::string("\1\0\1", 3)}});
  std::vector<SignalChange> changes;
  take_in_capture(file.path(), {}, [&](const SignalChange& change) { changes.push_back(change); });
  REQUIRE(changes.size() == 1);
  CHECK(changes[0] == SignalChange{Instant{1}, Channel::kValve, 1});
}

TEST_CASE("session: what is none is refused with what is wrong") {
  const auto refused = [](const Entries& entries, const char* with) {
    const SessionFile file(entries);
    CHECK_THROWS_WITH_AS(take_in_capture(file.path(), {}, [](const SignalChange&) {}),
                         doctest::Contains(with), std::invalid_argument);
  };
  const auto with = [](const std::string& what, const std::string& instead) {
    std::string metadata = kMetadata;
    metadata.replace(metadata.find(what), what.size(), instead);
    return metadata;
  };
  refused({{"other", "x"}}, "it holds no metadata");
  refused({{"metadata", "[global]\n"}}, "no probes");
  refused({{"metadata", kMetadata}}, "no samples in logic-1");
  refused({{"metadata", with("samplerate=2 MHz", "")}}, "no samplerate");
  refused({{"metadata", with("2 MHz", "2 MPH")}}, "2 MPH is no samplerate");
  refused({{"metadata", with("unitsize=1", "unitsize=0")}}, "unitsize does not hold 3 probes");
  refused({{"metadata", with("probe3", "probe99")}}, "probe99 is no probe from 1 to 64");
  const LogFile broken("PK\3\4 and nothing more");
  CHECK_THROWS_WITH_AS(take_in_capture(broken.path(), {}, [](const SignalChange&) {}),
                       doctest::Contains("no zip archive that can be read"), std::invalid_argument);
}
