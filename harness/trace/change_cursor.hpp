#pragma once

#include <cstddef>
#include <optional>

#include "harness/trace/reader.hpp"

namespace rimebench {

/// The changes of a trace one by one, across blocks.
class ChangeCursor {
 public:
  /// `reader` must outlive it.
  explicit ChangeCursor(TraceReader& reader) : reader_(reader) {}

  /// Nothing after the last one.
  std::optional<SignalChange> next() {
    while (index_ == reader_.changes().size()) {
      index_ = 0;
      if (!reader_.next()) return std::nullopt;
    }
    return reader_.changes()[index_++];
  }

 private:
  TraceReader& reader_;
  std::size_t index_ = 0;
};

}  // namespace rimebench
