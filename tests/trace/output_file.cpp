#include "harness/trace/output_file.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <string>

#include "harness/trace/ledger_csv.hpp"
#include "plant_model/spec/befell.hpp"
#include "tests/trace/scratch.hpp"
#include "tests/trace/trace_run.hpp"

using namespace rimebench;

TEST_CASE("output: a whole file replaces the one before it and leaves nothing beside it") {
  const Scratch scratch;
  write_whole_file(scratch / "report.json", "old");
  write_whole_file(scratch / "report.json", "new\n");
  CHECK(content_of(scratch / "report.json") == "new\n");
  CHECK(!std::filesystem::exists(scratch / "report.json.partial"));
}

TEST_CASE("output: a folder that does not exist is refused by name") {
  const Scratch scratch;
  const std::filesystem::path file = scratch / "nowhere/report.json";
  CHECK(error_of([&] { write_whole_file(file, "x"); }) ==
        file.string() + ".partial: cannot be written: No such file or directory");
}

TEST_CASE("output: a name that is a folder's is refused before anything is written") {
  const Scratch scratch;
  std::filesystem::create_directories(scratch / "taken/inside");
  const std::filesystem::path file = scratch / "taken";
  CHECK(error_of([&] { OutputFile output(file); }) ==
        file.string() + ": cannot be written: Is a directory");
}

TEST_CASE("output: a device is written straight and never replaced by a file") {
  const Scratch scratch;
  std::filesystem::create_symlink("/dev/null", scratch / "nothing");
  write_whole_file(scratch / "nothing", "x");
  CHECK(std::filesystem::is_character_file(scratch / "nothing"));
  CHECK(!std::filesystem::exists(scratch / "nothing.partial"));
}

TEST_CASE("ledger: CSV of a run that broke off holds every row as FILE.partial") {
  const Scratch scratch;
  { LedgerCsvWriter(scratch / "ledger.csv").add(LedgerRow{}); }
  CHECK(!std::filesystem::exists(scratch / "ledger.csv"));
  CHECK(content_of(scratch / "ledger.csv.partial").ends_with(",none\n"));
}

TEST_CASE("output: a full disk is refused by name, and the run that met it can still be left") {
  const Scratch scratch;
  const std::filesystem::path file = scratch / "run.trace";
  // The device that is always full stands in for the disk.
  std::filesystem::create_symlink("/dev/full", scratch / "run.trace.partial");
  const std::string full =
      file.string() + ".partial: cannot be written further: No space left on device";
  CHECK(error_of([&] { TraceWriter(file, 1, ""); }) == full);
  CHECK(error_of([&] { write_whole_file(file, "x"); }) == full);
  CHECK(error_of([&] { LedgerCsvWriter(file).close(); }) == full);
  CHECK(!std::filesystem::exists(file));
}

TEST_CASE("ledger: CSV has the columns of the table, one line a container, the cause by its name") {
  const Scratch scratch;
  LedgerCsvWriter writer(scratch / "ledger.csv");
  LedgerRow row;
  row.container = 41;
  row.landing_offset_um = -3200;
  row.bad = 1;
  row.cause = static_cast<std::int64_t>(Cause::kLanding);
  row.befell = befell_bit(Befell::kStop) | befell_bit(Befell::kFallen);
  writer.add(row);
  row = {};
  row.container = 42;
  writer.add(row);
  CHECK(std::filesystem::exists(scratch / "ledger.csv.partial"));
  writer.close();
  std::string header;
  for (const LedgerColumn& column : kLedgerColumns) header += std::string(column.name) + ",";
  header.back() = '\n';
  CHECK(content_of(scratch / "ledger.csv") ==
        header + "41,0,0,0,0,0,0,0,0,0,0,-3200,0,0,0,0,0,0,0,0,0,0,0,0,0,1,landing,fallen+stop\n" +
            "42,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,none,none\n");
}

TEST_CASE(
    "ledger: CSV holds every row of a long run and the least and greatest numbers there are") {
  const Scratch scratch;
  LedgerCsvWriter writer(scratch / "ledger.csv");
  for (std::int64_t n = 1; n <= 5000; ++n) writer.add(made_up_row(n));
  writer.close();
  const std::string text = content_of(scratch / "ledger.csv");
  CHECK(std::count(text.begin(), text.end(), '\n') == 5001);
  CHECK(text.find(",-9223372036854775808,") != std::string::npos);
  CHECK(text.find(",9223372036854775807,") != std::string::npos);
}
