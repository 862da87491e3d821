#include "harness/intake/choices_file.hpp"

#include <nlohmann/json.hpp>

#include <optional>

#include "harness/config/findings.hpp"
#include "harness/config/text_file.hpp"
#include "harness/config/tree.hpp"

namespace rimebench {

void read_choices(const std::filesystem::path& file, Choices& choices, Diagnostics& diagnostics) {
  std::string problem;
  const auto text = read_text_file(file.string(), problem);
  if (!text) {
    diagnostics.push_back({{file.string(), 0, 0, ""}, problem});
    return;
  }
  Findings findings;
  const auto tree = parse_yaml(*text, findings.add_file(file.string()), "", findings);
  if (tree) {
    for (const Value& item : tree->items) {
      if (item.kind != Value::Kind::kScalar) {
        findings.add(item.mark, item.key,
                     std::string("not a plain value but ") + kind_name(item.kind));
      } else if (!choices.set(item.key, item.text, problem)) {
        findings.add(item.mark, item.key, problem);
      }
    }
  }
  for (const Diagnostic& diagnostic : findings.in_order()) diagnostics.push_back(diagnostic);
}

std::string choices_text(const std::string& log, const Choices& choices,
                         const std::vector<Decision>& decisions) {
  std::string text = "# How " + log + " is to be read.\n";
  for (int i = 0; i < static_cast<int>(Choice::kCount); ++i) {
    const auto choice = static_cast<Choice>(i);
    std::optional<std::string> value = choices.text(choice);
    std::string why;
    for (const Decision& decision : decisions) {
      if (decision.choice != choice || value) continue;
      value = decision.value;
      why = "  # " + decision.why;
    }
    if (value)
      text += std::string(row_of(choice).key) + ": " + nlohmann::json(*value).dump() + why + '\n';
  }
  return text;
}

}  // namespace rimebench
