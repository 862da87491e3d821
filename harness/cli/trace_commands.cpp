#include "harness/cli/trace_commands.hpp"

#include <fmt/format.h>

#include <ostream>

#include "harness/cli/change_text.hpp"
#include "harness/config/load.hpp"
#include "harness/judge/judge.hpp"
#include "harness/judge/verdict_json.hpp"
#include "harness/trace/difference.hpp"
#include "harness/trace/reader.hpp"

namespace rimebench {

namespace {

RunEnd end_of(const TraceReader& reader, const TraceDigest& digest, Instant last) {
  if (reader.complete()) {
    const TraceFooter& footer = *reader.footer();
    return {footer.proof.digest, footer.proof.changes, footer.exchanges, footer.proof.end, ""};
  }
  const RunProof proof = digest.proof(last);
  return {proof.digest, proof.changes, 0, last,
          fmt::format("the trace has no end: it is good up to {} us", last.us)};
}

}  // namespace

ExitCode judge_command(const std::string& trace, std::ostream& out, std::ostream& err) {
  TraceReader reader(trace);
  Diagnostics diagnostics;
  const auto scenario = parse_resolved(reader.header().scenario, diagnostics);
  for (const Diagnostic& diagnostic : diagnostics) err << to_text(diagnostic) << "\n";
  if (!scenario) return ExitCode::kBadInput;
  Judge judge(*scenario);
  TraceDigest digest;
  Instant last{};
  while (reader.next()) {
    for (const SignalChange& change : reader.changes()) {
      judge.on_change(change);
      digest.add(change);
      last = change.at;
    }
    for (const LedgerRow& row : reader.rows()) judge.on_row(row);
  }
  const Verdict verdict = judge.finish(end_of(reader, digest, last));
  out << to_json(*scenario, verdict);
  return exit_code(verdict.outcome);
}

ExitCode diff_command(const std::string& a, const std::string& b, std::ostream& out) {
  TraceReader reader_a(a);
  TraceReader reader_b(b);
  const auto difference = first_difference(reader_a, reader_b);
  if (!difference) {
    out << "the traces hold the same signal changes\n";
    return ExitCode::kPass;
  }
  const ChangeText text;
  out << fmt::format("the first {} signal changes agree; the last of them:\n", difference->agreed);
  for (const SignalChange& change : difference->before) {
    out << "    " << text.line(change) << "\n";
  }
  out << "then they differ:\n";
  const auto side = [&](const std::optional<SignalChange>& change) {
    return change ? text.line(*change) : std::string("(the trace ends)");
  };
  out << "  A " << side(difference->in_a) << "\n  B " << side(difference->in_b) << "\n";
  return ExitCode::kFail;
}

}  // namespace rimebench
