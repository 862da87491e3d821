#include "harness/config/resolved_text.hpp"

namespace rimebench {

void ResolvedText::value(const std::string& key, const std::string& text) {
  if (in_item_) {
    text_ += (first_ ? "" : ", ") + key + ": " + text;
    first_ = false;
    return;
  }
  text_ += std::string(static_cast<std::size_t>(depth_) * 2, ' ') + key + ": " + text + '\n';
}

void ResolvedText::open(const std::string& key) {
  text_ += std::string(static_cast<std::size_t>(depth_) * 2, ' ') + key + ":\n";
  ++depth_;
}

void ResolvedText::open_item() {
  text_ += std::string(static_cast<std::size_t>(depth_) * 2, ' ') + "- {";
  in_item_ = true;
  first_ = true;
}

void ResolvedText::close_item() {
  text_ += "}\n";
  in_item_ = false;
}

std::string quoted(const std::string& text) {
  std::string result = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') result += '\\';
    result += c;
  }
  return result + '"';
}

std::string flow_list(const std::vector<std::string>& entries) {
  std::string result = "[";
  for (const std::string& entry : entries) {
    if (result.size() > 1) result += ", ";
    result += entry;
  }
  return result + ']';
}

}  // namespace rimebench
