#pragma once

/// The report as a neutral document: what a feature has to show, and nothing about how it looks. As
/// JSON it follows harness/report/report.schema.json; the page that draws it is built from
/// harness/report/page.

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "harness/report/packed_columns.hpp"
#include "harness/report/timing_picture.hpp"

namespace rimebench {

/// What a number measures and in what unit; the page shows it in the unit that its reader chose.
enum class Measure : std::uint8_t {
  kPressureKpa,  ///< gauge
  kMassMg,
  kMassG,
  kMassKg,
  kTemperatureC,
  kLengthMm,
  kLengthUm,
  kTimeUs,
  kTimeMs,
  kTimeS,
  kVolumeMl,
  kVolumeL,
  kPercent,
  kPpm,
  kPpb,
  kSpeedPerMin,
  kCount,
};
const char* to_text(Measure quantity);

struct Figure {
  double value{};  ///< not finite: shown as none
  Measure quantity{};
};

/// Nothing, a text, a plain count or number, or a figure with its unit.
using Cell = std::variant<std::monostate, std::string, std::int64_t, double, Figure>;

struct Fact {
  std::string name;
  Cell value;
  std::string note{};
};
struct FactsBlock {
  std::vector<Fact> rows;
};

struct TableColumn {
  std::string name;
  std::optional<Measure> quantity{};
  bool right{false};  ///< aligned to the right, as numbers are
};
struct TableBlock {
  std::vector<TableColumn> columns;
  std::vector<std::vector<Cell>> rows;
  std::optional<std::size_t> container_column{};  ///< a row leads to the container named there
  std::int64_t total{};                           ///< rows that there were; 0: all are here
};

/// The machine to scale, along the travel.
struct LineStation {
  std::string name;
  std::int64_t at_um{};
};
struct LineBlock {
  std::vector<LineStation> stations;
  std::int64_t nozzle_height_um{};  ///< above the rim
  std::int64_t diameter_um{};       ///< outer, of the container
  std::int64_t height_um{};         ///< of the container; 0: not known
  std::int64_t opening_um{};
  std::int64_t rim_to_drink_um{};
  std::int64_t pitch_um{};  ///< centre to centre; inline: from head to head
  int heads{0};             ///< released at once; 0: one stream
  std::int64_t group_pitch_um{};
  bool queued{false};  ///< before the seamer
  /// At the speed of the profile's first running knot, a shot that meets the centre: where the
  /// container's centre is from the nozzle (negative: before it) as the valve opens and as the
  /// middle of the liquid lands.
  double speed_um_per_s{};
  std::int64_t offset_at_open_um{};
  std::int64_t offset_at_landing_um{};
  std::int64_t fall_us{};  ///< from the nozzle to the surface of the drink
  std::int64_t open_us{};  ///< how long the valve is open
};

/// A limit on a column of the containers.
struct ColumnLimit {
  std::string column;
  std::string name;
  std::optional<double> least{};
  std::optional<double> most{};
  std::string owner{};  ///< empty: nobody has approved it
};
struct ContainersBlock {
  std::int64_t count{};
  PackedColumns columns;
  std::vector<ColumnLimit> limits;
};

struct LaneSpan {
  Instant from;
  Instant until;
  std::string label;
};
struct NamedLane {
  std::string name;
  std::vector<LaneSpan> spans;
};
struct LanesBlock {
  std::vector<NamedLane> lanes;
  Instant end;
};

struct ProfileBlock {
  std::string name;
  Measure quantity{};
  std::vector<std::pair<Instant, double>> points;
};

struct ContainerPicture {
  std::int64_t container{};
  TimingPicture picture;
};
struct TimingBlock {
  std::vector<ContainerPicture> pictures;
};

struct Bar {
  std::string name;
  double low{};
  double high{};
  std::optional<double> base{};
  std::string note{};
};
struct BarsBlock {
  Measure quantity{};
  std::vector<Bar> rows;
};

/// Whose a limit is. What stands empty nobody has said.
struct SignoffRow {
  std::string limit;
  std::string value;
  std::string owner{};
  std::string document{};
  std::string date{};
  std::string signature{};
};
struct SignoffBlock {
  std::vector<SignoffRow> rows;
};

struct Block {
  std::string id;
  std::string heading;
  std::string note{};
  std::variant<FactsBlock, TableBlock, LineBlock, ContainersBlock, LanesBlock, ProfileBlock,
               TimingBlock, BarsBlock, SignoffBlock>
      body;
};

struct Document {
  std::string title;
  std::string subtitle;
  std::string kind;     ///< the command: run, plan, suite, audit or compare
  std::string outcome;  ///< pass, fail, inconclusive or none
  std::vector<std::string> why;
  std::vector<Fact> about;
  std::string repeat;  ///< the command that makes it again
  std::vector<std::string> cautions;
  std::vector<Block> blocks;
};

/// The document alone, one JSON object, ending in a newline. The same document gives the same
/// bytes.
std::string to_json(const Document& document);

}  // namespace rimebench
