#pragma once

/// Reads a value change dump (IEEE 1364-2005, clause 18) in constant memory.

#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <string>
#include <vector>

namespace rimebench {

struct VcdVariable {
  std::string name;  ///< scopes and name, joined by points
  std::string code;
  int bits{1};
};

/// One value of one variable. What is unknown or high impedance in any bit is no value.
struct VcdChange {
  std::int64_t at_us{};
  std::size_t variable{};  ///< index of the first variable with its code
  std::int64_t value{};
  bool known{true};
};

struct VcdDump {
  std::vector<VcdVariable> variables;
  std::int64_t end_us{};
  std::int64_t timescale_fs{};   ///< femtoseconds of one unit
  std::int64_t finer_than_us{};  ///< changes whose time was rounded to a microsecond
  std::int64_t reals{};          ///< changes of real variables, left out
};

/// `on_header` is called once the variables are known, then `on_change` for each value in file
/// order. Throws std::invalid_argument with file and line for what is no dump.
VcdDump read_vcd(const std::filesystem::path& file,
                 const std::function<void(const VcdDump&)>& on_header,
                 const std::function<void(const VcdChange&)>& on_change);

}  // namespace rimebench
