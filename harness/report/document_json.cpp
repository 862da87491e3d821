#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "harness/report/document.hpp"

namespace rimebench {

namespace {

using Json = nlohmann::ordered_json;

constexpr auto kQuantityNames = std::to_array<const char*>(
    {"pressure_kpa", "mass_mg",      "mass_g",        "mass_kg",       "temperature_c",
     "length_mm",    "length_um",    "time_us",       "time_ms",       "time_s",
     "time_min",     "volume_ml",    "volume_l",      "volume_m3",     "speed_mm_per_s",
     "rate_per_min", "flow_g_per_s", "flow_kg_per_h", "share_percent", "tpo_ppb"});
static_assert(kQuantityNames.size() == static_cast<std::size_t>(Measure::kCount));

/// JSON has no word for what is no number. To a millionth: nothing is known better, and the last
/// bit of an exponential differs between processors.
Json number_json(double value) {
  return std::isfinite(value) ? Json(std::round(value * 1e6) / 1e6) : Json(nullptr);
}

struct CellJson {
  Json operator()(std::monostate) const { return nullptr; }
  Json operator()(const std::string& text) const { return text; }
  Json operator()(std::int64_t count) const { return count; }
  Json operator()(double number) const { return number_json(number); }
  Json operator()(const Figure& figure) const {
    Json json{{"value", number_json(figure.value)}, {"quantity", to_text(figure.quantity)}};
    if (figure.digits) json["digits"] = *figure.digits;
    return json;
  }
};

Json cell_json(const Cell& cell) { return std::visit(CellJson{}, cell); }

void put(Json& json, const char* key, const std::string& text) {
  if (!text.empty()) json[key] = text;
}

Json facts_json(const std::vector<Fact>& facts) {
  Json rows = Json::array();
  for (const Fact& fact : facts) {
    Json row{{"name", fact.name}, {"value", cell_json(fact.value)}};
    put(row, "note", fact.note);
    rows.push_back(std::move(row));
  }
  return rows;
}

void body_json(Json& json, const FactsBlock& facts) {
  json["type"] = "facts";
  json["rows"] = facts_json(facts.rows);
}

void body_json(Json& json, const TableBlock& table) {
  json["type"] = "table";
  json["columns"] = Json::array();
  for (const TableColumn& column : table.columns) {
    Json one{{"name", column.name}};
    if (column.quantity) one["quantity"] = to_text(*column.quantity);
    if (column.digits) one["digits"] = *column.digits;
    if (column.right) one["align"] = "right";
    put(one, "kind", column.kind);
    json["columns"].push_back(std::move(one));
  }
  json["rows"] = Json::array();
  for (const auto& row : table.rows) {
    Json cells = Json::array();
    for (const Cell& cell : row) cells.push_back(cell_json(cell));
    json["rows"].push_back(std::move(cells));
  }
  if (table.container_column) json["container_column"] = *table.container_column;
  if (table.total > 0) json["total"] = table.total;
}

Json expectation_json(const Expectation& row) {
  Json json{{"name", row.name}, {"outcome", row.outcome}};
  put(json, "bound", row.bound);
  json["allowed"] = cell_json(row.allowed);
  json["measured"] = cell_json(row.measured);
  if (row.looked_at > 0) {
    json["looked_at"] = row.looked_at;
    json["breaches"] = row.breaches;
  }
  if (row.first_container > 0) json["first_container"] = row.first_container;
  if (row.first) json["first_us"] = row.first->us;
  put(json, "note", row.note);
  return json;
}

void body_json(Json& json, const ExpectationsBlock& expectations) {
  json["type"] = "expectations";
  json["rows"] = Json::array();
  for (const Expectation& row : expectations.rows) json["rows"].push_back(expectation_json(row));
}

void body_json(Json& json, const LineBlock& line) {
  json["type"] = "line";
  json["stations"] = Json::array();
  for (const LineStation& station : line.stations) {
    json["stations"].push_back(
        {{"kind", station.kind}, {"name", station.name}, {"at_um", station.at_um}});
  }
  json["nozzle_height_um"] = line.nozzle_height_um;
  json["jet_diameter_um"] = line.jet_diameter_um;
  json["container"] = {{"diameter_um", line.diameter_um},
                       {"opening_um", line.opening_um},
                       {"fill_share", number_json(line.fill_share)}};
  json["pitch_um"] = line.pitch_um;
  if (line.heads > 0) {
    json["heads"] = line.heads;
    json["group_pitch_um"] = line.group_pitch_um;
  }
  json["queue"] = line.queued;
  json["at_shot"] = {{"opens_um", line.opens_um}, {"closes_um", line.closes_um},
                     {"lands_um", line.lands_um}, {"fall_us", line.fall.raw},
                     {"open_us", line.open.raw},  {"speed_um_per_s", line.speed_um_per_s}};
}

Json limit_json(const ColumnLimit& limit) {
  Json json{{"column", limit.column}, {"name", limit.name}};
  if (limit.least) json["least"] = number_json(*limit.least);
  if (limit.most) json["most"] = number_json(*limit.most);
  json["owner"] = limit.owner.empty() ? Json(nullptr) : Json(limit.owner);
  return json;
}

Json column_json(const StoredColumn& column) {
  Json json{{"name", column.form.name}, {"label", column.form.label}, {"type", column.type}};
  put(json, "quantity", column.form.quantity);
  if (column.form.digits) json["digits"] = *column.form.digits;
  if (column.form.scale != 1.0) json["scale"] = column.form.scale;
  if (column.form.delta) json["delta"] = true;
  if (column.has_null) {
    json["null"] = column.null;
    put(json, "null_means", column.form.null_means);
  }
  if (!column.form.words.empty()) json["words"] = column.form.words;
  if (!column.form.bits.empty()) json["bits"] = column.form.bits;
  return json;
}

void body_json(Json& json, const ContainersBlock& containers) {
  json["type"] = "containers";
  json["count"] = containers.count;
  json["columns"] = Json::array();
  for (const StoredColumn& column : containers.columns.columns()) {
    json["columns"].push_back(column_json(column));
  }
  json["limits"] = Json::array();
  for (const ColumnLimit& limit : containers.limits) json["limits"].push_back(limit_json(limit));
  json["landing"] = {{"opening_um", containers.opening_um},
                     {"diameter_um", containers.diameter_um},
                     {"lateral_um", containers.lateral_um},
                     {"jet_diameter_um", containers.jet_diameter_um}};
  json["data"] = containers.columns.data();
}

void body_json(Json& json, const LanesBlock& lanes) {
  json["type"] = "lanes";
  json["lanes"] = Json::array();
  for (const NamedLane& lane : lanes.lanes) {
    Json spans = Json::array();
    for (const LaneSpan& span : lane.spans) {
      spans.push_back(Json::array({span.from.us, span.until.us, span.label}));
    }
    Json one{{"name", lane.name}, {"kind", lane.kind}, {"spans", std::move(spans)}};
    if (lane.total > 0) one["total"] = lane.total;
    json["lanes"].push_back(std::move(one));
  }
  json["end_us"] = lanes.end.us;
}

void body_json(Json& json, const ProfileBlock& profile) {
  json["type"] = "profile";
  json["name"] = profile.name;
  json["quantity"] = to_text(profile.quantity);
  json["step"] = profile.step;
  json["points"] = Json::array();
  for (const auto& [at, value] : profile.points) {
    json["points"].push_back(Json::array({at.us, number_json(value)}));
  }
}

const char* kind_text(LaneKind kind) {
  switch (kind) {
    case LaneKind::kSensor:
      return "sensor";
    case LaneKind::kLinePulse:
      return "line_pulse";
    case LaneKind::kCommand:
      return "command";
    case LaneKind::kValve:
      return "valve";
    case LaneKind::kLanding:
      return "landing";
    case LaneKind::kClosing:
      return "closing";
  }
  return "";
}

/// Its texts only where there are any. Times count from `zero`, which keeps them short.
Json stretch_json(const Stretch& stretch, Instant zero) {
  Json json = Json::array(
      {(stretch.time.from - zero).raw, (stretch.time.until - zero).raw, stretch.own ? 1 : 0});
  if (stretch.label.empty() && stretch.before.empty() && stretch.after.empty()) return json;
  json.push_back(stretch.label);
  json.push_back(stretch.before);
  json.push_back(stretch.after);
  return json;
}

Json lane_json(const TimingLane& lane, Instant zero) {
  Json stretches = Json::array();
  for (const Stretch& stretch : lane.stretches) stretches.push_back(stretch_json(stretch, zero));
  return {{"kind", kind_text(lane.kind)}, {"name", lane.name}, {"stretches", stretches}};
}

Json picture_json(const ContainerPicture& of) {
  const TimingPicture& picture = of.picture;
  const auto span = [&](const TimeSpan& time) {
    return Json::array({(time.from - picture.zero).raw, (time.until - picture.zero).raw});
  };
  Json json{{"container", of.container},  {"why", of.why},
            {"title", picture.title},     {"subtitle", picture.subtitle},
            {"zero_us", picture.zero.us}, {"whole_us", span(picture.whole)}};
  if (picture.has_shot()) {
    json["shot_us"] = span(picture.shot);
    json["shot_zero_us"] = (picture.shot_zero - picture.zero).raw;
  }
  json["lanes"] = Json::array();
  for (const TimingLane& lane : picture.lanes) {
    json["lanes"].push_back(lane_json(lane, picture.zero));
  }
  json["facts"] = Json::array();
  for (const TimingFact& fact : picture.facts) {
    const Cell value = fact.figure ? Cell{*fact.figure} : Cell{fact.value};
    json["facts"].push_back({{"name", fact.name}, {"value", cell_json(value)}});
  }
  return json;
}

void body_json(Json& json, const TimingBlock& timing) {
  json["type"] = "timing";
  json["pictures"] = Json::array();
  for (const ContainerPicture& one : timing.pictures) {
    json["pictures"].push_back(picture_json(one));
  }
}

void body_json(Json& json, const BarsBlock& bars) {
  json["type"] = "bars";
  put(json, "name", bars.name);
  json["quantity"] = to_text(bars.quantity);
  if (bars.digits) json["digits"] = *bars.digits;
  if (bars.base) json["base"] = number_json(*bars.base);
  json["rows"] = Json::array();
  for (const Bar& bar : bars.rows) {
    Json row{{"name", bar.name}, {"low", number_json(bar.low)}, {"high", number_json(bar.high)}};
    if (bar.base) row["base"] = number_json(*bar.base);
    put(row, "note", bar.note);
    json["rows"].push_back(std::move(row));
  }
}

void body_json(Json& json, const SignoffBlock& signoff) {
  json["type"] = "signoff";
  json["rows"] = Json::array();
  for (const SignoffRow& row : signoff.rows) {
    Json one{{"limit", row.limit}, {"value", cell_json(row.value)}};
    one["owner"] = row.owner.empty() ? Json(nullptr) : Json(row.owner);
    put(one, "document", row.document);
    put(one, "date", row.date);
    put(one, "signature", row.signature);
    json["rows"].push_back(std::move(one));
  }
}

}  // namespace

const char* to_text(Measure quantity) { return kQuantityNames[static_cast<std::size_t>(quantity)]; }

std::string to_json(const Document& document) {
  Json json{{"format", "rimebench report 1"},
            {"title", document.title},
            {"subtitle", document.subtitle},
            {"kind", document.kind},
            {"verdict",
             {{"outcome", document.outcome},
              {"why", document.why},
              {"figures", facts_json(document.figures)}}},
            {"about", facts_json(document.about)},
            {"repeat", document.repeat},
            {"cautions", document.cautions}};
  json["blocks"] = Json::array();
  for (const Block& block : document.blocks) {
    Json one{{"id", block.id}, {"heading", block.heading}};
    put(one, "note", block.note);
    std::visit([&one](const auto& body) { body_json(one, body); }, block.body);
    json["blocks"].push_back(std::move(one));
  }
  return json.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace rimebench
