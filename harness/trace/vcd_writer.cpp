#include "harness/trace/vcd_writer.hpp"

#include "harness/trace/channel_names.hpp"

namespace rimebench {

namespace {

constexpr std::size_t kBlock = 1U << 16U;
constexpr int kCodeFirst = '!', kCodes = '~' - '!' + 1;

/// The shortest codes go to the channels with the lowest numbers.
std::string code_of(int index) {
  std::string code;
  for (;; index = index / kCodes - 1) {
    code += static_cast<char>(kCodeFirst + index % kCodes);
    if (index < kCodes) return code;
  }
}

const char* scope_of(ChannelClass of) {
  switch (of) {
    case ChannelClass::kToController:
      return "inputs";
    case ChannelClass::kFromController:
      return "outputs";
    case ChannelClass::kWitness:
      return "witnesses";
  }
  return "";
}

void append_vector(std::string& text, std::int32_t value) {
  const auto bits = static_cast<std::uint32_t>(value);
  int bit = 31;
  while (bit > 0 && ((bits >> static_cast<unsigned>(bit)) & 1U) == 0) --bit;
  text += 'b';
  for (; bit >= 0; --bit) text += ((bits >> static_cast<unsigned>(bit)) & 1U) != 0 ? '1' : '0';
}

}  // namespace

VcdWriter::VcdWriter(const std::filesystem::path& file, bool wires_only) : file_(file) {
  write_header(wires_only);
}

void VcdWriter::write_header(bool wires_only) {
  text_ = "$version rimebench $end\n$timescale 1 us $end\n$scope module line $end\n";
  std::optional<ChannelClass> open;
  for (const ChannelName& name : every_channel_name()) {
    const bool wire = name.unit == "level";
    if (wires_only && !wire) continue;
    const ChannelClass scope = class_of(name.channel);
    if (open != scope) {
      if (open) text_ += "$upscope $end\n";
      text_ += std::string("$scope module ") + scope_of(scope) + " $end\n";
      open = scope;
    }
    const std::string code = code_of(static_cast<int>(variables_.size()));
    text_ += std::string("$var ") + (wire ? "wire 1 " : "integer 32 ") + code + ' ' + name.name +
             " $end\n";
    variables_[name.channel] = {code, wire};
  }
  text_ += "$upscope $end\n$upscope $end\n$enddefinitions $end\n#0\n$dumpvars\n";
  for (const auto& [channel, variable] : variables_) {
    text_ += (variable.wire ? "0" : "b0 ") + variable.code + '\n';
  }
  text_ += "$end\n";
  now_ = Instant{0};
}

void VcdWriter::advance(Instant to) {
  if (now_ == to) return;
  now_ = to;
  text_ += '#' + std::to_string(to.us) + '\n';
}

void VcdWriter::flush(std::size_t most) {
  if (text_.size() <= most) return;
  file_.write(text_);
  text_.clear();
}

void VcdWriter::add(const SignalChange& change) {
  const auto variable = variables_.find(change.channel);
  if (variable == variables_.end()) return;
  advance(change.at);
  if (variable->second.wire) {
    text_ += change.value != 0 ? '1' : '0';
  } else {
    append_vector(text_, change.value);
    text_ += ' ';
  }
  text_ += variable->second.code + '\n';
  flush(kBlock);
}

void VcdWriter::close(Instant end) {
  advance(end);
  flush(0);
  file_.close();
}

}  // namespace rimebench
