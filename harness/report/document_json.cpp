#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "harness/report/document.hpp"

namespace rimebench {

namespace {

using Json = nlohmann::ordered_json;

constexpr auto kQuantityNames =
    std::to_array<const char*>({"pressure_kpa", "mass_mg", "mass_g", "mass_kg", "temperature_c",
                                "length_mm", "length_um", "time_us", "time_ms", "time_s",
                                "volume_ml", "volume_l", "percent", "ppm", "ppb", "speed_per_min"});
static_assert(kQuantityNames.size() == static_cast<std::size_t>(Measure::kCount));

/// JSON has no word for what is no number.
Json number_json(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

struct CellJson {
  Json operator()(std::monostate) const { return nullptr; }
  Json operator()(const std::string& text) const { return text; }
  Json operator()(std::int64_t count) const { return count; }
  Json operator()(double number) const { return number_json(number); }
  Json operator()(const Figure& figure) const {
    return {{"value", number_json(figure.value)}, {"quantity", to_text(figure.quantity)}};
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
    if (column.right) one["align"] = "right";
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

void body_json(Json& json, const LineBlock& line) {
  json["type"] = "line";
  json["stations"] = Json::array();
  for (const LineStation& station : line.stations) {
    json["stations"].push_back({{"name", station.name}, {"at_um", station.at_um}});
  }
  json["nozzle_height_um"] = line.nozzle_height_um;
  Json container{{"diameter_um", line.diameter_um}, {"opening_um", line.opening_um}};
  if (line.height_um > 0) container["height_um"] = line.height_um;
  container["rim_to_drink_um"] = line.rim_to_drink_um;
  json["container"] = std::move(container);
  json["pitch_um"] = line.pitch_um;
  if (line.heads > 0) {
    json["heads"] = line.heads;
    json["group_pitch_um"] = line.group_pitch_um;
  }
  json["queue"] = line.queued;
  json["at_shot"] = {{"speed_um_per_s", number_json(line.speed_um_per_s)},
                     {"container_offset_um", line.offset_at_open_um},
                     {"landing_offset_um", line.offset_at_landing_um},
                     {"fall_us", line.fall_us},
                     {"open_us", line.open_us}};
}

Json limit_json(const ColumnLimit& limit) {
  Json json{{"column", limit.column}, {"name", limit.name}};
  if (limit.least) json["least"] = number_json(*limit.least);
  if (limit.most) json["most"] = number_json(*limit.most);
  put(json, "owner", limit.owner);
  return json;
}

void body_json(Json& json, const ContainersBlock& containers) {
  json["type"] = "containers";
  json["count"] = containers.count;
  json["columns"] = Json::array();
  for (const StoredColumn& column : containers.columns.columns()) {
    Json one{{"name", column.form.name}, {"type", column.type}};
    put(one, "label", column.form.label);
    put(one, "quantity", column.form.quantity);
    if (column.form.scale != 1.0) one["scale"] = column.form.scale;
    if (column.form.delta) one["delta"] = true;
    if (column.has_null) one["null"] = column.null;
    if (!column.form.words.empty()) one["words"] = column.form.words;
    if (!column.form.bits.empty()) one["bits"] = column.form.bits;
    json["columns"].push_back(std::move(one));
  }
  json["limits"] = Json::array();
  for (const ColumnLimit& limit : containers.limits) json["limits"].push_back(limit_json(limit));
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
    json["lanes"].push_back({{"name", lane.name}, {"spans", std::move(spans)}});
  }
  json["end_us"] = lanes.end.us;
}

void body_json(Json& json, const ProfileBlock& profile) {
  json["type"] = "profile";
  json["name"] = profile.name;
  json["quantity"] = to_text(profile.quantity);
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

Json lane_json(const TimingLane& lane) {
  Json stretches = Json::array();
  for (const Stretch& stretch : lane.stretches) {
    Json one{{"from_us", stretch.time.from.us}, {"until_us", stretch.time.until.us}};
    if (stretch.own) one["own"] = true;
    put(one, "label", stretch.label);
    put(one, "before", stretch.before);
    put(one, "after", stretch.after);
    stretches.push_back(std::move(one));
  }
  return {{"kind", kind_text(lane.kind)}, {"name", lane.name}, {"stretches", stretches}};
}

Json picture_json(const ContainerPicture& of) {
  const TimingPicture& picture = of.picture;
  Json json{{"container", of.container},        {"title", picture.title},
            {"subtitle", picture.subtitle},     {"zero_us", picture.zero.us},
            {"from_us", picture.whole.from.us}, {"until_us", picture.whole.until.us}};
  if (picture.has_shot()) {
    json["shot"] = {{"from_us", picture.shot.from.us},
                    {"until_us", picture.shot.until.us},
                    {"zero_us", picture.shot_zero.us}};
  }
  json["lanes"] = Json::array();
  for (const TimingLane& lane : picture.lanes) json["lanes"].push_back(lane_json(lane));
  json["facts"] = Json::array();
  for (const TimingFact& fact : picture.facts) {
    json["facts"].push_back({{"name", fact.name}, {"value", fact.value}});
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
  json["quantity"] = to_text(bars.quantity);
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
    Json one{{"limit", row.limit}, {"value", row.value}};
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
            {"verdict", {{"outcome", document.outcome}, {"why", document.why}}},
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
