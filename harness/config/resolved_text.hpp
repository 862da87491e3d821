#pragma once

#include <string>
#include <vector>

namespace rimebench {

/// Writes the resolved scenario: nested maps in block style, one line a key; list entries that are
/// maps on one line each.
class ResolvedText {
 public:
  void value(const std::string& key, const std::string& text);
  void open(const std::string& key);
  void close() { --depth_; }
  void open_item();
  void close_item();

  const std::string& text() const { return text_; }

 private:
  std::string text_;
  int depth_{0};
  bool in_item_{false};
  bool first_{false};
};

/// In double quotes, so that YAML reads back the same text.
std::string quoted(const std::string& text);

/// `[a, b, c]`.
std::string flow_list(const std::vector<std::string>& entries);

}  // namespace rimebench
