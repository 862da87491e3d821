#include "harness/config/edit_distance.hpp"

#include <algorithm>
#include <cstddef>

namespace rimebench {

int edit_distance(const std::string& a, const std::string& b) {
  const std::size_t width = b.size() + 1;
  std::vector<int> cost((a.size() + 1) * width);
  const auto at = [&](std::size_t i, std::size_t j) -> int& { return cost[i * width + j]; };
  for (std::size_t i = 0; i <= a.size(); ++i) at(i, 0) = static_cast<int>(i);
  for (std::size_t j = 0; j <= b.size(); ++j) at(0, j) = static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const int change = a[i - 1] == b[j - 1] ? 0 : 1;
      int& best = at(i, j);
      best = std::min({at(i - 1, j) + 1, at(i, j - 1) + 1, at(i - 1, j - 1) + change});
      const bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
      if (swapped) best = std::min(best, at(i - 2, j - 2) + 1);
    }
  }
  return cost.back();
}

std::optional<std::string> nearest_word(const std::string& word,
                                        const std::vector<std::string>& candidates) {
  constexpr std::size_t kWordMax = 64;
  std::optional<std::string> nearest;
  if (word.size() > kWordMax) return nearest;
  int best = 1 + std::clamp(static_cast<int>(word.size()) / 3, 1, 3);
  for (const std::string& candidate : candidates) {
    const int distance = edit_distance(word, candidate);
    if (distance < best) {
      best = distance;
      nearest = candidate;
    }
  }
  return nearest;
}

}  // namespace rimebench
