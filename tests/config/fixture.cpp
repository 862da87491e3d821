#include "tests/config/fixture.hpp"

#include <doctest/doctest.h>
#include <stdlib.h>

#include <filesystem>
#include <fstream>
#include <sstream>

namespace rimebench {

namespace {

constexpr const char* kScenario = R"(title: fixture
feed_us: 60000000
container: {from: can.yaml}
product:
  fill_ml: 355
  fill_sd_ml: 1
  fill_temperature_c: 4
  dissolved_oxygen_mg_per_kg: 0.5
  dissolved_nitrogen_mg_per_kg: 3
  rim_to_drink_um: 15000
line: {from: line.yaml}
speed:
  - {at_us: 0, containers_per_min: 300}
  - {at_us: 30000000, containers_per_min: 400}
recipe:
  sensor_to_nozzle_um: 200000
  nozzle_to_seam_um: 600000
  edge_to_centre_um: 33000
  open_curve_ug: [20000, 80000]
  open_curve_us: [8000, 25000]
  dose_ug: 70000
  wait_error_max_us: 400000
expect:
  container: {equilibrium_kpa_min: 160, equilibrium_kpa_max: 250}
)";

constexpr const char* kCan = R"(brimful_ml: 374
compliance_ml_per_mpa: 4
expansion_ppm_per_k: 69.3
opening_um: 52400
body_um: 66100
rating_kpa: 620
rating_safety_factor: 1.25
)";

constexpr const char* kRest = R"(sensor: {on_delay_us: 500, off_delay_us: 500}
valve: {open_delay_us: 8000, close_delay_us: 6000, flow_ug_per_us: 3.5}
nozzle: {height_um: 20000, jet_diameter_um: 1600, jet_speed_um_per_s: 2210000}
losses: {flash_percent: 1, flight_percent: 2, splash_percent: 0}
boil_off: {tau_belt_s: 8, tau_lid_s: 8, reference_mg: 75}
headspace: {sweep_efficiency: 1, cold_gas_k: 210, air_ingress_ml_per_s: 0}
gate: {delay_us: 20000}
controls: {line_pulse_pitch_um: 22500}
)";

constexpr const char* kRotary = R"(transport: locked
filler: {kind: rotary, pitch_um: 90000}
stations:
  sensor_um: 300000
  nozzle_um: 500000
  lid_um: 1000000
  seam_um: 1100000
  discharge_um: 1500000
  gate_um: 2300000
)";

constexpr const char* kQueued = R"(transport: queued
filler:
  kind: inline
  heads: 4
  head_pitch_um: 100000
  group_pitch_um: 600000
stations:
  sensor_um: 250000
  nozzle_um: 400000
  seam_um: 900000
  discharge_um: 1200000
  gate_um: 1800000
seamer:
  cycle_us: 150000
  lid_us: 40000
  seam_us: 80000
  discharge_us: 170000
)";

}  // namespace

Fixture::Fixture() {
  std::string pattern = (std::filesystem::temp_directory_path() / "rimebench_XXXXXX").string();
  REQUIRE(mkdtemp(pattern.data()) != nullptr);
  folder_ = pattern + '/';
  write("scenario.yaml", kScenario);
  write("can.yaml", kCan);
  write("line.yaml", std::string(kRotary) + kRest);
  write("queued.yaml", std::string(kQueued) + kRest);
}

Fixture::~Fixture() {
  std::error_code ignored;
  std::filesystem::remove_all(folder_, ignored);
}

void Fixture::write(const std::string& file, const std::string& text) {
  const std::filesystem::path path = folder_ + file;
  std::filesystem::create_directories(path.parent_path());
  std::ofstream(path, std::ios::binary) << text;
}

std::string Fixture::text_of(const std::string& file) const {
  std::ostringstream text;
  text << std::ifstream(folder_ + file).rdbuf();
  return text.str();
}

void Fixture::edit(const std::string& file, const std::string& from, const std::string& to) {
  std::string text = text_of(file);
  const std::size_t at = text.find(from);
  REQUIRE_MESSAGE(at != std::string::npos, from);
  write(file, text.replace(at, from.size(), to));
}

void Fixture::use_queued_line() { edit("scenario.yaml", "line.yaml", "queued.yaml"); }

std::optional<Scenario> Fixture::load(const std::string& file, const ScenarioOverrides& overrides) {
  Diagnostics diagnostics;
  auto scenario = load_scenario(folder_ + file, overrides, diagnostics);
  for (const Diagnostic& diagnostic : diagnostics) MESSAGE(to_text(diagnostic));
  return scenario;
}

Texts Fixture::problems(const std::string& file) {
  Diagnostics diagnostics;
  const auto scenario = load_scenario(folder_ + file, {}, diagnostics);
  CHECK(scenario.has_value() == diagnostics.empty());
  Texts texts;
  for (const Diagnostic& diagnostic : diagnostics) {
    std::string text = to_text(diagnostic);
    for (std::size_t at = text.find(folder_); at != std::string::npos; at = text.find(folder_)) {
      text.erase(at, folder_.size());
    }
    texts.push_back(text);
  }
  return texts;
}

}  // namespace rimebench
