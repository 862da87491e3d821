#pragma once

#include <string>
#include <vector>

namespace rimebench {

/// A place in a file of the user's.
struct Where {
  std::string file;
  int line{};    ///< from 1; 0: the file as a whole
  int column{};  ///< from 1, counted in bytes
  std::string
      key;  ///< dotted, list entries counted from 1, e.g. happens.stops[2].for_us; may be empty
};

/// A mistake in a file of the user's.
struct Diagnostic {
  Where where;
  std::string problem;
};
using Diagnostics = std::vector<Diagnostic>;

/// `file:line:column: key: problem`, without the parts that are not known.
std::string to_text(const Diagnostic& diagnostic);

}  // namespace rimebench
