#include "firmware_sim/core/curve.hpp"

#include "firmware_sim/units/mul_div.hpp"

namespace rimebench {

int rising_entries(const RecipeValues& values, Parameter list) {
  int count = 1;
  while (count < kCurvePoints && values.get(list, count) > values.get(list, count - 1)) ++count;
  return count;
}

Curve::Curve(const RecipeValues& values, Parameter x, Parameter y) {
  const auto rising = static_cast<unsigned>(rising_entries(values, x));
  const bool no_point = rising == 1 && values.get(x) == 0 && values.get(y) == 0;
  size_ = no_point ? 0 : rising;
  for (unsigned i = 0; i < size_; ++i) {
    x_[i] = values.get(x, static_cast<int>(i));
    y_[i] = values.get(y, static_cast<int>(i));
  }
}

bool Curve::spans(std::int64_t x) const {
  DEMAND(!empty());
  return x_[0] <= x && x <= x_[size_ - 1];
}

std::int64_t Curve::at(std::int64_t x) const {
  DEMAND(!empty());
  if (x <= x_[0]) return y_[0];
  for (unsigned i = 1; i < size_; ++i) {
    if (x <= x_[i]) {
      const std::int64_t rise = std::int64_t{y_[i]} - y_[i - 1];
      return y_[i - 1] + mul_div_floor(x - x_[i - 1], rise, std::int64_t{x_[i]} - x_[i - 1]);
    }
  }
  return last();
}

std::int64_t Curve::most() const {
  DEMAND(!empty());
  std::int32_t most = 0;
  for (unsigned i = 0; i < size_; ++i) most = y_[i] > most ? y_[i] : most;
  return most;
}

std::int64_t Curve::last() const {
  DEMAND(!empty());
  return y_[size_ - 1];
}

}  // namespace rimebench
