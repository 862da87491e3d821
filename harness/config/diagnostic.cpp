#include "harness/config/diagnostic.hpp"

namespace rimebench {

std::string to_text(const Diagnostic& diagnostic) {
  const Where& where = diagnostic.where;
  std::string text = where.file;
  if (where.line > 0) {
    text += ':' + std::to_string(where.line) + ':' + std::to_string(where.column);
  }
  if (!where.key.empty()) text += ": " + where.key;
  return text + ": " + diagnostic.problem;
}

}  // namespace rimebench
