#pragma once

#include <optional>
#include <string>
#include <vector>

namespace rimebench {

/// Least number of letters to put in, take out, replace or swap with their neighbour.
int edit_distance(const std::string& a, const std::string& b);

/// The candidate that `word` was probably meant to be; nullopt if none is near.
std::optional<std::string> nearest_word(const std::string& word,
                                        const std::vector<std::string>& candidates);

}  // namespace rimebench
