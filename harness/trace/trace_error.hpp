#pragma once

#include <stdexcept>

namespace rimebench {

/// A file of this room cannot be written or is not what it should be: the disk is full, the folder
/// is missing, a block is damaged. The text names the file and, for damage, the byte offset.
class TraceError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

}  // namespace rimebench
