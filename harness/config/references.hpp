#pragma once

/// `from: relative/path.yaml` in any map: the map of that file, with the keys beside `from` merged
/// over it. Maps merge key by key; scalars, lists and maps with a `from` of their own replace.

#include <optional>
#include <string>

#include "harness/config/findings.hpp"
#include "harness/config/tree.hpp"

namespace rimebench {

/// Reads a file and all that it refers to, as one tree without `from`. Every mistake of form in any
/// of the files goes to `findings`; nullopt if the file itself gives no tree.
std::optional<Value> load_tree(const std::string& path, Findings& findings);

/// The path of a file named in another file: relative to the folder of that other one.
std::string relative_to_file(const std::string& path, const std::string& referring_file);

}  // namespace rimebench
