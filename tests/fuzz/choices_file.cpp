#include "harness/intake/choices_file.hpp"

#include "tests/fuzz/memory_file.hpp"
#include "tests/fuzz/targets.hpp"

namespace rimebench::fuzz {

/// A text is choices, which then read back as themselves, or at least one mistake is told.
void choices_file(Input bytes) {
  const MemoryFile file(bytes);
  Choices choices;
  Diagnostics diagnostics;
  read_choices(file.path(), choices, diagnostics);
  for (const Diagnostic& diagnostic : diagnostics) DEMAND(!to_text(diagnostic).empty());
  if (!diagnostics.empty()) return;
  const std::string text = choices_text("log.csv", choices, {});
  const MemoryFile again({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
  Choices back;
  read_choices(again.path(), back, diagnostics);
  DEMAND(diagnostics.empty());
  for (int i = 0; i < static_cast<int>(Choice::kCount); ++i) {
    const auto choice = static_cast<Choice>(i);
    DEMAND(back.text(choice) == choices.text(choice));
  }
}

}  // namespace rimebench::fuzz
