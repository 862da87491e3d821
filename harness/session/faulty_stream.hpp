#pragma once

#include <chrono>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "harness/link/byte_stream.hpp"
#include "plant_model/spec/trouble.hpp"

namespace rimebench {

/// A stream that carries what it is given until it is to fail. It waits for nothing: what would
/// come after `patience` counts as silence at once.
class FaultyStream final : public ByteStream {
 public:
  FaultyStream(std::unique_ptr<ByteStream> inner, const LinkFault& fault,
               std::chrono::milliseconds patience)
      : inner_(std::move(inner)), fault_(fault), patience_(patience) {}

  /// The next frame meets the fault.
  void strike() { struck_ = true; }

  std::size_t read(std::span<std::uint8_t> buffer, Deadline deadline) override;
  void write(std::span<const std::uint8_t> bytes, Deadline deadline) override;
  const std::string& name() const override { return name_; }
  bool starts_empty() const override { return inner_->starts_empty(); }

 private:
  bool meets(LinkFaultKind kind) const { return struck_ && fault_.kind == kind; }

  std::unique_ptr<ByteStream> inner_;
  LinkFault fault_;
  std::chrono::milliseconds patience_;
  std::string name_ = "a link that fails (happens.link_fault)";
  std::vector<std::uint8_t> answer_;  ///< the last, as it came
  bool struck_{false};
};

}  // namespace rimebench
