#pragma once

/// The report as a neutral document: what a feature has to show, and nothing about how it looks. As
/// JSON it follows harness/report/report.schema.json; the page that draws it is built from
/// harness/report/page.

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "harness/report/figure.hpp"
#include "harness/report/packed_columns.hpp"
#include "harness/report/timing_picture.hpp"

namespace rimebench {

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
  std::optional<Measure> quantity{};  ///< of the bare numbers in it
  std::optional<int> digits{};
  bool right{false};   ///< aligned to the right, as numbers are
  std::string kind{};  ///< text, outcome (its cells are pass, fail, ...) or code; empty: text
};
struct TableBlock {
  std::vector<TableColumn> columns;
  std::vector<std::vector<Cell>> rows;
  std::optional<std::size_t> container_column{};  ///< a row leads to the container named there
  std::int64_t total{};                           ///< rows that there were; 0: all are here
};

/// What was expected and what was found.
struct Expectation {
  std::string name;
  std::string outcome;
  std::string bound;  ///< least, most or equals
  Cell allowed;
  Cell measured;  ///< the worst
  std::int64_t looked_at{};
  std::int64_t breaches{};
  std::int64_t first_container{};  ///< 0: none
  std::optional<Instant> first{};
  std::string note{};
};
struct ExpectationsBlock {
  std::vector<Expectation> rows;
};

/// The machine to scale, along the travel.
struct LineStation {
  std::string kind;  ///< filler, sensor, nozzle, lid, seamer, discharge, pressure_check or gate
  std::string name;
  std::int64_t at_um{};
};
struct LineBlock {
  std::vector<LineStation> stations;
  std::int64_t nozzle_height_um{};  ///< above the rim
  std::int64_t jet_diameter_um{};
  std::int64_t diameter_um{};  ///< outer, of the container
  std::int64_t opening_um{};
  double fill_share{};            ///< of the brimful volume
  std::int64_t pitch_um{};        ///< centre to centre at the nozzle
  int heads{0};                   ///< released at once; 0: one stream
  std::int64_t group_pitch_um{};  ///< of such groups
  bool queued{false};             ///< before the seamer
  /// A shot that meets the centre at this speed: where the container's centre is from the nozzle
  /// (negative: it has yet to come) as the valve opens and closes and the shot's middle lands.
  std::int64_t speed_um_per_s{};
  std::int64_t opens_um{};
  std::int64_t closes_um{};
  std::int64_t lands_um{};
  Duration fall{};  ///< from the nozzle to the surface of the drink
  Duration open{};  ///< how long the valve is open
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
  /// What landings are drawn into.
  std::int64_t opening_um{};
  std::int64_t diameter_um{};
  std::int64_t lateral_um{};
  std::int64_t jet_diameter_um{};
};

struct LaneSpan {
  Instant from;
  Instant until;
  std::string label;
};
struct NamedLane {
  std::string name;
  std::string kind;  ///< fault, disturbance, permit or mode
  std::vector<LaneSpan> spans;
  std::int64_t total{};  ///< spans that there were, where neighbours are drawn as one; or 0
};
struct LanesBlock {
  std::vector<NamedLane> lanes;
  Instant end;
};

struct ProfileBlock {
  std::string name;
  Measure quantity{};
  bool step{false};  ///< each value holds until the next; else straight between them
  std::vector<std::pair<Instant, double>> points;
};

struct ContainerPicture {
  std::int64_t container{};
  std::string why;  ///< this one is among those that are drawn
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
  std::string name;  ///< of the result that they change
  Measure quantity{};
  std::optional<int> digits{};
  std::optional<double> base{};
  std::vector<Bar> rows;
};

/// Whose a limit is. What stands empty nobody has said.
struct SignoffRow {
  std::string limit;
  Cell value;
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
  std::variant<FactsBlock, TableBlock, ExpectationsBlock, LineBlock, ContainersBlock, LanesBlock,
               ProfileBlock, TimingBlock, BarsBlock, SignoffBlock>
      body{};
};

struct Document {
  std::string title;
  std::string subtitle;
  std::string kind;              ///< the command: run, plan, suite, audit or compare
  std::string outcome;           ///< pass, fail, inconclusive or none
  std::vector<std::string> why;  ///< the first says it in one sentence
  std::vector<Fact> figures;     ///< up to six, shown beside the verdict
  std::vector<Fact> about;
  std::string repeat;  ///< the command that makes it again
  std::vector<std::string> cautions;
  std::vector<Block> blocks;
};

/// The document alone, one JSON object, ending in a newline. The same document gives the same
/// bytes.
std::string to_json(const Document& document);

}  // namespace rimebench
