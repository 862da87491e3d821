#pragma once

#include <algorithm>
#include <string>

namespace rimebench {

/// A name of a table as people write it: "no_dose" becomes "no dose", "fallen+stop" "fallen, stop".
inline std::string in_words(const std::string& name) {
  std::string words;
  for (const char c : name) {
    if (c == '+') {
      words += ", ";
    } else {
      words += c == '_' ? ' ' : c;
    }
  }
  return words;
}

}  // namespace rimebench
