/// Twenty-odd ways in which real loggers are unkind, after the troubles that published exports show
/// (encodings, locales, historians, encoder counts). The rows themselves are invented.

#include <doctest/doctest.h>

#include <stdexcept>

#include "tests/intake/log_file.hpp"

using namespace rimebench;

namespace {

/// As UTF-16, little or big end first, with its byte order mark.
std::string utf16(std::string_view text, bool little) {
  std::string wide = little ? "\xFF\xFE" : "\xFE\xFF";
  for (const char c : text) {
    if (little) wide += c;
    wide += '\0';
    if (!little) wide += c;
  }
  return wide;
}

std::string joined(const std::vector<std::string>& rows) {
  std::string text;
  for (const std::string& row : rows) text += row + '\n';
  return text;
}

const Chosen kPerMin{{"speed_unit", "containers_per_min"}};

}  // namespace

TEST_CASE("the mildest log: a header, elapsed seconds, containers a minute") {
  const auto log = take_in("time_s,speed_per_min\n0,600\n1,601.5\n2,600\n3,590\n");
  REQUIRE(log.intake.answered());
  CHECK(log.intake.rows == 4);
  CHECK(log.knots.size() == 4);
  CHECK(log.knots[1].at == Instant{1'000'000});
  CHECK(log.knots[1].containers_per_min == 601.5);
  CHECK(log.decided(Choice::kTimeUnitS) == "1");
  CHECK(log.decided(Choice::kBetweenRows) == "straight");
}

TEST_CASE("1: UTF-16 of either kind and a byte order mark before UTF-8 read the same") {
  const std::string text = "time_s;speed_per_min\r\n0;600\r\n1;602\r\n2;609\r\n3;601\r\n";
  for (const std::string& form :
       {utf16(text, true), utf16(text, false), "\xEF\xBB\xBF" + text, text}) {
    const auto log = take_in(form);
    REQUIRE(log.intake.answered());
    REQUIRE(log.knots.size() == 4);
    CHECK(log.knots[2].containers_per_min == 609);
  }
  CHECK(take_in(utf16(text, true)).decided(Choice::kEncoding) == "utf16le");
}

TEST_CASE("2: bytes that are no UTF-8 stand in names only") {
  const auto log = take_in("Zeit [s];Geschw\xFC[1/min]\n0;600\n1;601\n2;602\n");
  CHECK(log.decided(Choice::kEncoding) == "windows1252");
  CHECK(log.intake.rows == 3);
}

TEST_CASE("3: semicolons with decimal commas, some rows with points") {
  const auto log = take_in("time_s;v [1/min]\n0;600,5\n1;601,25\n2;602.5\n3;600,1\n");
  CHECK(log.decided(Choice::kDelimiter) == "semicolon");
  CHECK(log.decided(Choice::kDecimal) == "both");
  REQUIRE(log.knots.size() == 4);
  CHECK(log.knots[1].containers_per_min == 601.25);
  CHECK(log.knots[2].containers_per_min == 602.5);
}

TEST_CASE("4: 1,234 is one thousand or one and a bit: it is asked") {
  const std::string text = "time_s;rate [1/h]\n0;1,234\n1;1,236\n2;1,240\n";
  CHECK(take_in(text).asks(Choice::kDecimal));
  const auto comma = take_in(text, {{"decimal", "comma"}});
  CHECK(comma.knots.front().containers_per_min == doctest::Approx(1.234 / 60.0));
  const auto point = take_in(text, {{"decimal", "point"}});
  CHECK(point.knots.front().containers_per_min == doctest::Approx(1234.0 / 60.0));
}

TEST_CASE("5: 03/04 is 3 April or 4 March: it is asked, with its line; 13/04 tells") {
  const std::string head = "timestamp,speed_per_min\n";
  const auto asked = take_in(head + "03/04/2026 06:00:00,600\n03/04/2026 06:00:01,601\n");
  REQUIRE(asked.asks(Choice::kDateOrder));
  CHECK(asked.intake.form.questions.front().line == 2);
  const auto told = take_in(head + "13/04/2026 06:00:00,600\n13/04/2026 06:00:01,601\n");
  CHECK(told.decided(Choice::kDateOrder) == "day_month");
  const auto month = take_in(head + "04/13/2026 06:00:00,600\n04/13/2026 06:00:01,601\n");
  CHECK(month.decided(Choice::kDateOrder) == "month_day");
  CHECK(told.intake.start_us == month.intake.start_us);
}

TEST_CASE("6: PM is not lost, and 12 AM is midnight") {
  const auto log = take_in(
      "timestamp,speed_per_min\n13/04/2026 11:59:59 AM,600\n13/04/2026 12:00:00 PM,601\n"
      "13/04/2026 1:00:01 PM,602\n",
      {{"clock_change", "none"}, {"between_rows", "hold"}});
  CHECK(log.intake.length_s == doctest::Approx(3602.0));
  const auto night = take_in(
      "timestamp,speed_per_min\n13/04/2026 12:00:00 AM,600\n"
      "13/04/2026 12:00:01 AM,601\n13/04/2026 12:00:02 AM,605\n");
  CHECK(night.intake.start_us % 86'400'000'000 == 0);
}

TEST_CASE("7: milliseconds behind a comma are kept") {
  const auto log = take_in(
      "stamp;speed [1/min]\n2026-03-04 12:00:00,125;600\n"
      "2026-03-04 12:00:00,250;601\n2026-03-04 12:00:00,375;602\n");
  REQUIRE(log.knots.size() >= 2);
  CHECK(log.intake.length_s == doctest::Approx(0.25));
}

TEST_CASE("8: date and time in two columns; ISO 8601 with a zone; epoch seconds: one moment") {
  const auto two =
      take_in("Datum;Zeit;v [1/min]\n04.03.2026;06:00:00;600\n04.03.2026;06:00:01;601\n");
  const auto zone =
      take_in("t;v [1/min]\n2026-03-04T07:00:00+01:00;600\n2026-03-04T07:00:01+01:00;601\n",
              {{"time_column", "1"}});
  const auto epoch = take_in("time;v [1/min]\n1772604000;600\n1772604001;601\n");
  CHECK(two.intake.start_us == 1'772'604'000'000'000);
  CHECK(zone.intake.start_us == two.intake.start_us);
  CHECK(epoch.intake.start_us == two.intake.start_us);
  CHECK(epoch.decided(Choice::kTimeForm) == "epoch_s");
}

TEST_CASE("9: a spreadsheet's serial days") {
  // 46085.25 is 2026-03-04 06:00 (day 25569 is 1970-01-01).
  const auto log =
      take_in("time,v [1/min]\n46085.25,600\n46085.2500115741,601\n46085.2500231481,602\n");
  CHECK(log.decided(Choice::kTimeForm) == "spreadsheet_days");
  CHECK(log.intake.start_us == 1'772'604'000'000'000);
  CHECK(log.intake.length_s == doctest::Approx(2.0).epsilon(0.001));
}

TEST_CASE("10: elapsed times in a unit that nobody names are asked, and may be any") {
  const std::string text = "time,v [1/min]\n0,600\n11.574,601\n23.148,602\n";
  CHECK(take_in(text).asks(Choice::kTimeUnitS));
  // Millionths of a day.
  const auto log = take_in(text, {{"time_unit_s", "0.0864"}});
  CHECK(log.intake.length_s == doctest::Approx(2.0).epsilon(0.001));
}

TEST_CASE("11: a night in autumn: the hour that comes twice is asked, then runs on") {
  std::string text = "stamp,v [1/min]\n";
  for (const char* hour : {"02", "02", "03"}) {
    for (int minute = 0; minute < 60; ++minute) {
      text += "2026-10-25 " + std::string(hour) + (minute < 10 ? ":0" : ":") +
              std::to_string(minute) + ":00,600\n";
    }
  }
  CHECK(take_in(text).asks(Choice::kClockChange));
  const auto log = take_in(text, {{"clock_change", "repeats"}});
  REQUIRE(log.intake.answered());
  CHECK(log.intake.rows == 180);
  CHECK(log.intake.length_s == doctest::Approx(179 * 60.0));
  CHECK(log.tally("set back one hour") == 1);
  const auto none = take_in(text, {{"clock_change", "none"}});
  CHECK(none.tally("earlier than the one before") == 59);
  CHECK(none.tally("repeat a time") == 1);
}

TEST_CASE("12: a night in spring: a missing hour is a gap or the clock: it is asked") {
  std::string text = "stamp,v [1/min]\n";
  for (const char* hour : {"01", "03"}) {
    for (int minute = 0; minute < 60; ++minute) {
      text += "2026-03-29 " + std::string(hour) + (minute < 10 ? ":0" : ":") +
              std::to_string(minute) + ":00,600\n";
    }
  }
  CHECK(take_in(text).asks(Choice::kClockChange));
  CHECK(take_in(text, {{"clock_change", "skips"}}).intake.length_s == doctest::Approx(119 * 60.0));
  CHECK(take_in(text, {{"clock_change", "none"}}).intake.length_s == doctest::Approx(179 * 60.0));
}

TEST_CASE("13: a preamble, sections in brackets, a row of units") {
  const auto log = take_in(
      "Export of the line log\n[Channels]\nStation;7\n\nTime;Line;Batch\ns;1/min;\n"
      "0;600;A\n1;601;A\n2;602;A\n3;603;A\n");
  CHECK(log.decided(Choice::kHeaderLine) == "5");
  CHECK(log.decided(Choice::kSpeedUnit) == "containers_per_min");
  CHECK(log.intake.rows == 4);
}

TEST_CASE("14: no header at all: what the numbers are is asked, not guessed") {
  const std::string text =
      "2026-03-04 06:00:00,600\n2026-03-04 06:00:01,601\n2026-03-04 06:00:02,602\n";
  CHECK(take_in(text).asks(Choice::kSpeedUnit));
  CHECK(take_in(text, kPerMin).intake.rows == 3);
}

TEST_CASE("15: trailing delimiters, blank lines, the header again after a restart") {
  const auto log =
      take_in("time_s;v [1/min];\n0;600;\n1;601;\n\ntime_s;v [1/min];\n2;602;\n3;603;\n");
  CHECK(log.intake.rows == 4);
  CHECK(log.tally("header once more") == 1);
  CHECK(log.tally("empty lines") == 1);
}

TEST_CASE("16: BAD, NODATA, a dash and an empty field are no speeds, and are counted") {
  const auto log =
      take_in("time_s,v [1/min]\n0,600\n1,BAD\n2,NODATA\n3,-\n4,\n5,nan\n6,603\n7,604\n");
  CHECK(log.intake.rows == 3);
  CHECK(log.tally("without a number") == 5);
}

TEST_CASE("17: a quality column: known marks are taken, unknown ones are asked") {
  const auto log = take_in("time_s,v [1/min],quality\n0,600,192\n1,9,0\n2,602,192\n");
  CHECK(log.intake.rows == 2);
  CHECK(log.tally("not marked good") == 1);
  const std::string odd = "time_s,v [1/min],status\n0,600,1\n1,9,7\n2,602,1\n";
  CHECK(take_in(odd).asks(Choice::kQualityGood));
  CHECK(take_in(odd, {{"quality_good", "1"}}).intake.rows == 2);
  CHECK(take_in(odd, {{"quality_column", "none"}}).intake.rows == 3);
}

TEST_CASE("18: stamps that repeat or go back are left out under their names") {
  const auto log = take_in("time_s,v [1/min]\n0,600\n1,601\n1,601\n1,650\n0.5,640\n2,602\n3,603\n");
  CHECK(log.tally("repeat a time and its speed") == 1);
  CHECK(log.tally("with another speed") == 1);
  CHECK(log.tally("earlier than the one before") == 1);
  CHECK(log.intake.rows == 4);
}

TEST_CASE("19: a gap holds the speed before it, or as chosen; the figures follow") {
  std::string text = "time_s,v [1/min]\n";
  for (int s = 0; s <= 60; ++s) text += std::to_string(s) + ",600\n";
  for (int s = 660; s <= 720; ++s) text += std::to_string(s) + ",600\n";
  const auto held = take_in(text);
  CHECK(held.decided(Choice::kGap) == "hold");
  CHECK(held.intake.containers == doctest::Approx(7200.0));
  const auto stopped = take_in(text, {{"gap", "stopped"}});
  CHECK(stopped.intake.containers == doctest::Approx(1200.0).epsilon(0.01));
  CHECK(stopped.intake.stopped_s == doctest::Approx(600.0).epsilon(0.01));
}

TEST_CASE("20: a log of changes holds each speed: a straight line would invent speeds") {
  const auto log = take_in("time_s,v [1/min]\n0,600\n100,0\n130,600\n400,300\n");
  CHECK(log.decided(Choice::kBetweenRows) == "hold");
  CHECK(log.intake.containers == doctest::Approx(1000.0 + 2700.0).epsilon(0.001));
  CHECK(log.intake.stopped_s == doctest::Approx(29.9));
  CHECK(take_in("time_s,v [1/min]\n0,600\n100,0\n130,0\n400,300\n").asks(Choice::kBetweenRows));
}

TEST_CASE("21: belt speeds need the pitch, pulse rates the pulses of a container") {
  const std::string belt = "time_s,belt mm/s\n0,600\n1,600\n2,600\n";
  CHECK(take_in(belt).asks(Choice::kPitchUm));
  const auto log = take_in(belt, {{"pitch_um", "90000"}});
  CHECK(log.knots.front().containers_per_min == doctest::Approx(400.0));
  const std::string pulses = "time_s,encoder [Hz]\n0,80\n1,80\n2,80\n";
  CHECK(take_in(pulses).asks(Choice::kPulsesPerContainer));
  CHECK(take_in(pulses, {{"pulses_per_container", "12"}}).knots.front().containers_per_min ==
        doctest::Approx(400.0));
}

TEST_CASE("22: a 16-bit total of pulses that wraps") {
  const auto log = take_in(
      "time_s,total count\n0,65000\n1,65080\n2,65160\n3,65240\n4,65320\n5,65400\n"
      "6,65480\n7,24\n8,104\n",
      {{"speed_unit", "count_16bit"}, {"pulses_per_container", "12"}});
  CHECK(log.tally("wrapped") == 1);
  CHECK(log.intake.least_per_min == doctest::Approx(400.0));
  CHECK(log.intake.most_per_min == doctest::Approx(400.0));
}

TEST_CASE("23: negative speeds are asked; impossible ones are left out") {
  const std::string text = "time_s,v [1/min]\n0,600\n1,-4\n2,600\n3,99999\n4,601\n";
  CHECK(take_in(text).asks(Choice::kNegative));
  const auto stopped = take_in(text, {{"negative", "stopped"}});
  CHECK(stopped.intake.least_per_min == 0.0);
  CHECK(stopped.tally("above 3000") == 1);
  CHECK(take_in(text, {{"negative", "left_out"}}).intake.rows == 3);
}

TEST_CASE("24: a last line that was cut is not a speed") {
  const auto log = take_in("time_s,v [1/min]\n0,600\n1,601\n2,602\n3,60");
  CHECK(log.intake.rows == 3);
  CHECK(log.tally("may be cut") == 1);
}

TEST_CASE("25: an unclosed quote costs its own line, never those below") {
  const auto log = take_in("time_s,v [1/min]\n0,\"600\"\n1,\"60\n2,602\n3,603\n4,604\n");
  CHECK(log.intake.rows == 5);
  CHECK(take_in("time_s,v [1/min]\n0,600\n\"1,601\n2,602\n3,603\n").intake.rows == 3);
}

TEST_CASE("26: lines that end with CR alone") {
  CHECK(take_in("time_s,v [1/min]\r0,600\r1,601\r2,602\r").intake.rows == 3);
}

TEST_CASE("27: a stuck or coarse instrument is pointed out") {
  std::string stuck = "time_s,v [1/min]\n";
  for (int i = 0; i < 2000; ++i) {
    stuck += std::to_string(i) + ',' + (i < 800 || i > 1500 ? std::to_string(600 + i % 7) : "611") +
             '\n';
  }
  const auto log = take_in(stuck);
  REQUIRE_FALSE(log.intake.notes.empty());
  CHECK(log.intake.notes.front().find("stuck") != std::string::npos);
  std::string coarse = "time_s,v [1/min]\n";
  for (int i = 0; i < 400; ++i) {
    coarse += std::to_string(i) + ',' + std::to_string(600 + 12 * (i % 6)) + '\n';
  }
  REQUIRE(take_in(coarse).intake.notes.size() == 1);
  CHECK(take_in(coarse).intake.notes.front().find("steps of 12") != std::string::npos);
}

TEST_CASE("28: an empty file, a file without rows, a folder: each says so") {
  CHECK_THROWS_WITH_AS(take_in(""), doctest::Contains("nothing in it"), std::invalid_argument);
  CHECK_THROWS_WITH_AS(take_in("no rows here\nnor here\n"), doctest::Contains("no row with a time"),
                       std::invalid_argument);
  CHECK_THROWS_AS(infer_form(std::filesystem::temp_directory_path(), {}), std::invalid_argument);
}

TEST_CASE("29: several columns could be the speed: it is asked, with their names") {
  const std::string text = joined({"time_s,speed A [1/min],speed B [1/min]", "0,600,0", "1,601,0"});
  const auto log = take_in(text);
  REQUIRE(log.asks(Choice::kSpeedColumn));
  CHECK(log.intake.form.questions.front().why.find("speed B") != std::string::npos);
  CHECK(take_in(text, {{"speed_column", "speed a [1/min]"}}).intake.rows == 2);
  CHECK(take_in(text, {{"speed_column", "9"}}).asks(Choice::kSpeedColumn));
}

TEST_CASE("30: a clock without dates passes midnight") {
  const auto log =
      take_in("time;v [1/min]\n23:59:58;600\n23:59:59;601\n00:00:00;602\n00:00:01;603\n");
  CHECK(log.intake.length_s == doctest::Approx(3.0));
  CHECK(log.tally("midnight") == 1);
}
