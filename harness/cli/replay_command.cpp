#include "harness/cli/replay_command.hpp"

#include <fmt/format.h>

#include <ostream>

#include "harness/audit/replay.hpp"
#include "harness/cli/change_text.hpp"
#include "harness/cli/node_option.hpp"

namespace rimebench {

namespace {

void show(const Replay& replay, std::ostream& out) {
  const ChangeText text;
  const ReplayDifference& difference = *replay.difference;
  out << fmt::format("the first {} outputs agree; before the difference:\n", replay.agreed);
  for (const SignalChange& change : difference.before) {
    const bool input = class_of(change.channel) == ChannelClass::kToController;
    out << (input ? "  in  " : "  out ") << text.line(change) << "\n";
  }
  const auto side = [&](const std::optional<SignalChange>& change) {
    return change ? text.line(*change) : std::string("(no such output)");
  };
  out << "then they differ:\n  recorded " << side(difference.recorded) << "\n  replayed "
      << side(difference.replayed) << "\n";
}

}  // namespace

ExitCode replay_command(const std::string& trace, const std::string& node, std::ostream& out,
                        std::ostream& err) {
  TraceReader reader(trace);
  try {
    const auto controller = open_node(node);
    const Replay result = replay(reader, *controller);
    if (result.difference) {
      show(result, out);
      return ExitCode::kFail;
    }
    out << fmt::format("{} inputs, {} outputs: all the same, to {:.3f} s\n", result.inputs,
                       result.agreed, static_cast<double>(result.end.us) * 1e-6);
    if (result.complete) return ExitCode::kPass;
    out << "the trace has no end: nothing is known about what came after\n";
  } catch (const LinkError& error) {
    err << error.what() << "\n";
  }
  return ExitCode::kInconclusive;
}

}  // namespace rimebench
