#include "harness/config/reader.hpp"
#include "harness/config/tables.hpp"
#include "harness/config/words.hpp"

namespace rimebench {

namespace {

void read_filler(Section& line, FillerSpec& filler) {
  std::optional<Section> section = line.child("filler", true);
  if (!section) return;
  const std::optional<int> kind = section->choice(kFillerKindKey, kFillerKindWords, false);
  if (!kind) {
    section->leave_the_rest();  // which keys belong here depends on the kind
  } else {
    filler.kind = static_cast<FillerKind>(*kind);
    if (filler.kind == FillerKind::kRotary) {
      read_rows(*section, kRotaryRows, filler);
    } else {
      read_rows(*section, kInlineRows, filler);
    }
  }
  section->close();
}

/// A section that must not be there, because of what the rest of the line says.
void refuse(Section& line, const char* key, const char* why) {
  if (const Value* const value = line.find(key, false)) {
    line.reading().problem(value->key_mark, line.path_of(key), why);
  }
}

void read_seamer(Section& line, SeamerSpec& seamer, Transport transport) {
  switch (transport) {
    case Transport::kQueued:
      return read_section(line, "seamer", kSeamerRows, seamer);
    case Transport::kLocked:
      return refuse(line, "seamer", "only a queued line has a seamer of its own pace");
  }
}

void read_gate(Section& line, GateSpec& gate, bool present) {
  if (present) return read_section(line, "gate", kGateRows, gate);
  refuse(line, "gate", "stations.gate_um says that there is no gate");
}

}  // namespace

void read_line(Section& scenario, LineSpec& line) {
  std::optional<Section> section = scenario.child("line", true);
  if (!section) return;
  const std::optional<int> transport = section->choice(kLineTransportKey, kTransportWords, false);
  if (transport) line.transport = static_cast<Transport>(*transport);
  read_filler(*section, line.filler);
  read_section(*section, "stations", kStationRows, line.stations);
  if (transport) {
    read_seamer(*section, line.seamer, line.transport);
  } else {
    section->find("seamer", false);
  }
  read_section(*section, "sensor", kSensorRows, line.sensor);
  read_section(*section, "valve", kValveRows, line.valve);
  read_section(*section, "nozzle", kNozzleRows, line.nozzle);
  read_section(*section, "losses", kLossesRows, line.losses);
  read_section(*section, "boil_off", kBoilOffRows, line.boil_off);
  read_section(*section, "headspace", kHeadspaceRows, line.headspace);
  if (section->reading().good({"line.stations.gate_um"})) {
    read_gate(*section, line.gate, line.stations.gate_um > 0);
  } else {
    section->find("gate", false);
  }
  read_controls(*section, line);
  read_supply(*section, line);
  section->close();
}

}  // namespace rimebench
