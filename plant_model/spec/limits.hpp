#pragma once

#include <cstdint>
#include <limits>

namespace rimebench {

/// What makes a container bad. Pressures are gauge; every limit names which pressure it means.
struct ContainerLimits {
  double judge_c{20.0};  ///< temperature of the equilibrium pressure
  double hot_c{60.0};    ///< temperature of the hot check
  std::int64_t equilibrium_pa_min{std::numeric_limits<std::int64_t>::min()};
  std::int64_t equilibrium_pa_max{std::numeric_limits<std::int64_t>::max()};
  std::int64_t prompt_pa_max{std::numeric_limits<std::int64_t>::max()};
  std::int64_t hot_equilibrium_pa_max{std::numeric_limits<std::int64_t>::max()};
  std::int64_t hot_prompt_pa_max{std::numeric_limits<std::int64_t>::max()};
  std::int64_t captured_ppm_min{0};
  std::int64_t landing_offset_um_max{std::numeric_limits<std::int64_t>::max()};
  std::int64_t oxygen_ppm_max{std::numeric_limits<std::int64_t>::max()};
  std::int64_t tpo_ppb_max{std::numeric_limits<std::int64_t>::max()};
  std::int64_t wait_us_min{0};  ///< of dosed containers
  std::int64_t wait_us_max{std::numeric_limits<std::int64_t>::max()};
};

}  // namespace rimebench
