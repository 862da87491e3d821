#include <algorithm>
#include <array>
#include <map>

#include "firmware_sim/contract/parameter_table.hpp"
#include "harness/conformance/checks.hpp"
#include "harness/conformance/exercise.hpp"

namespace rimebench {

namespace {

/// A recipe must be answered within this.
constexpr Duration kAnswerMax{1'000'000};

std::string text(const SignalChange& change) {
  return "channel " + std::to_string(number(change.channel)) + " to " +
         std::to_string(change.value) + " at " + std::to_string(change.at.us) + " us";
}

void outputs(const Bench& bench) {
  const auto probe = bench.greeted();
  const Changes inputs = exercise();
  std::span<const SignalChange> left = inputs;
  std::map<Channel, std::int32_t> present;
  while (probe->reached() < kExerciseEnd) {
    const Instant from = probe->reached();
    while (!left.empty() && left.front().at < from) left = left.subspan(1);
    const Instant until = earlier(kExerciseEnd, from + Duration{100'000});
    std::size_t count = 0;
    while (count < left.size() && left[count].at < until) ++count;
    const Came came = probe->grant(until, left.first(count));
    const SignalChange* last = nullptr;
    for (const SignalChange& change : came.outputs) {
      require(class_of(change.channel) == ChannelClass::kFromController,
              text(change) + ": that channel is no output");
      require(change.at >= from && change.at < came.at,
              text(change) + ": that is outside the time it ran, from " + std::to_string(from.us) +
                  " to " + std::to_string(came.at.us) + " us");
      require(last == nullptr || canonical_before(*last, change), text(change) + ": out of order");
      require(change.value != present[change.channel], text(change) + ": that is no change");
      present[change.channel] = change.value;
      last = &change;
    }
  }
}

void lookahead(const Bench& bench) {
  const auto probe = bench.greeted();
  const Changes inputs = recipe_changes(Instant{500}, sound_recipe());
  std::span<const SignalChange> left = inputs;
  const Duration ahead{300};
  bool seen = false;
  while (probe->reached() < Instant{2'000'000}) {
    while (!left.empty() && left.front().at < probe->reached()) left = left.subspan(1);
    const Came came = probe->grant(Instant{2'000'000}, left, ahead);
    if (came.outputs.empty()) continue;
    seen = true;
    require(came.at <= came.outputs.front().at + ahead,
            "with a lookahead of 300 us it ran to " + std::to_string(came.at.us) +
                " us, past its first output at " + std::to_string(came.outputs.front().at.us) +
                " us");
  }
  require(seen, "it put out nothing, though a recipe was committed");
}

/// The first output in which two runs part.
std::string difference(const Changes& expected, const Changes& found) {
  const auto [a, b] = std::ranges::mismatch(expected, found);
  return (a == expected.end() ? std::string("nothing more") : text(*a)) + " against " +
         (b == found.end() ? std::string("nothing more") : text(*b));
}

void cuts(const Bench& bench) {
  const Changes inputs = exercise();
  auto probe = bench.greeted();
  const Changes whole = probe->run({kExerciseEnd, inputs});
  const auto same = [&](const RunPlan& plan, const std::function<Instant()>& cut,
                        const std::string& how) {
    probe.reset();
    probe = bench.greeted();
    const Changes found = probe->run(plan, cut);
    require(found == whole,
            "cut " + how + ", the outputs differ: in long grants " + difference(whole, found));
  };
  same(
      {kExerciseEnd, inputs}, [&] { return probe->reached() + Duration{9'999}; }, "every 9999 us");
  std::uint32_t state = 7;
  same(
      {kExerciseEnd, inputs},
      [&] {
        state = state * 1'664'525U + 1'013'904'223U;
        return probe->reached() + Duration{1 + (state >> 8U) % 50'000};
      },
      "at random");
  same(
      {kExerciseEnd, inputs},
      [&] {
        const auto next = std::ranges::find_if(
            inputs, [&](const SignalChange& change) { return change.at >= probe->reached(); });
        return next == inputs.end() ? kExerciseEnd : next->at + Duration{1};
      },
      "behind every input");
}

void resumed(const Bench& bench) {
  const Changes inputs = exercise();
  auto probe = bench.greeted();
  const Changes whole = probe->run({kExerciseEnd, inputs});
  // A lookahead of a microsecond makes it stop at every instant with an output.
  for (const Duration ahead : {Duration{1}, Duration{1'700}}) {
    probe.reset();
    probe = bench.greeted();
    const Changes found = probe->run({kExerciseEnd, inputs, ahead});
    require(found == whole, "stopped " + std::to_string(ahead.raw) +
                                " us after each output and resumed, the outputs differ: " +
                                difference(whole, found));
  }
}

/// It is told of a guard that opens behind an output at which it stops; then that it was not so.
void forgotten(const Bench& bench) {
  const Changes inputs = exercise();
  auto probe = bench.greeted();
  Changes expected = probe->run({kExerciseEnd, inputs});
  const auto stop = std::ranges::find_if(expected, [](const SignalChange& output) {
    return output.at > Instant{20'000} && number(output.channel) < number(Channel::kCounterFirst);
  });
  require(stop != expected.end(), "it put out nothing, though it was started");
  const Instant opened = stop->at + Duration{20'000};
  probe.reset();
  probe = bench.greeted();
  probe->run({stop->at, inputs});
  Changes doubtful;
  for (const SignalChange& input : inputs) {
    if (input.at >= stop->at && input.at < opened) doubtful.push_back(input);
  }
  doubtful.push_back({opened, Channel::kSafetyChain, 0});
  const Instant reached = probe->grant(opened + Duration{1}, doubtful, Duration{1}).at;
  // That it should have stopped is for another check.
  if (reached > opened) return;
  std::erase_if(expected, [&](const SignalChange& output) { return output.at < reached; });
  const Changes found = probe->run({kExerciseEnd, inputs});
  require(found == expected,
          "told of an input that it did not consume, then not told of it again, the outputs "
          "differ: " +
              difference(expected, found));
}

/// Commits at this instant, behind whatever was staged before; the answers on recipe_state until a
/// second later.
std::vector<std::int32_t> committed(Probe& probe, Instant at, const Changes& changes) {
  const Changes found = probe.run({at + kAnswerMax, changes});
  for (const SignalChange& output : found) {
    require(output.channel != Channel::kRecipeState || output.at >= at,
            text(output) + ": answered before the commit at " + std::to_string(at.us) + " us");
  }
  return recipe_answers(found);
}

void expect_answer(const std::vector<std::int32_t>& answers, std::int32_t expected,
                   const std::string& what) {
  const std::string got = answers.empty() ? "nothing" : std::to_string(answers.back());
  require(!answers.empty() && answers.back() == expected,
          what + ": recipe_state should go to " + std::to_string(expected) +
              " within a second, it went to " + got);
}

void accepted(const Bench& bench) {
  const auto probe = bench.greeted();
  expect_answer(committed(*probe, Instant{500}, recipe_changes(Instant{500}, sound_recipe())), 1,
                "a sound recipe");
}

void refused_checksum(const Bench& bench) {
  const auto probe = bench.greeted();
  Changes changes = recipe_changes(Instant{500}, sound_recipe());
  changes.back().value ^= 1;
  expect_answer(committed(*probe, Instant{500}, changes), -2, "a recipe with a wrong checksum");
  const Changes right{{Instant{2'000'000}, Channel::kRecipeCommit, sound_recipe().commit_value()}};
  expect_answer(committed(*probe, Instant{2'000'000}, right), 1,
                "the same recipe, committed again with the right checksum");
}

void refused_slot(const Bench& bench) {
  const auto probe = bench.greeted();
  for (const Parameter wrong : {Parameter::kDoseUg, Parameter::kTransport}) {
    probe->greet();
    RecipeValues recipe = sound_recipe();
    recipe.set(wrong, INT32_MAX);
    expect_answer(committed(*probe, Instant{500}, recipe_changes(Instant{500}, recipe)),
                  -(1'000 + slot(wrong)),
                  "a recipe with slot " + std::to_string(slot(wrong)) + " out of its range");
  }
}

/// 2^32 us is where a port's 32-bit timer wraps, 71 minutes 35 seconds into a run. Each commit is
/// another one, so each has an answer, whatever it is.
void long_run(const Bench& bench) {
  const auto probe = bench.greeted();
  constexpr std::int64_t kWrapUs = std::int64_t{1} << 32;
  const Changes staged = recipe_changes(Instant{1'000}, sound_recipe());
  const std::int32_t right = staged.back().value;
  committed(*probe, Instant{1'000}, staged);
  std::int32_t next = right ^ 1;
  for (const std::int64_t at_us : {kWrapUs - 900'000, kWrapUs + 200'000, 2 * kWrapUs - 1,
                                   5 * kWrapUs, std::int64_t{1} << 44}) {
    const Changes commit{{Instant{at_us}, Channel::kRecipeCommit, next}};
    require(!committed(*probe, Instant{at_us}, commit).empty(),
            "a commit at " + std::to_string(at_us) + " us was not answered within a second");
    next ^= 1;
  }
  probe->run({kLastInstant, {}});
}

constexpr std::array kChecks{
    Check{"outputs", "outputs are changes, in order, on their channels, in the time run", outputs},
    Check{"lookahead", "it runs no further than the lookahead after its first watched output",
          lookahead},
    Check{"cuts", "however a run is cut into grants, the outputs are the same", cuts},
    Check{"resumed", "a run that stops after each output goes on as if it had not", resumed},
    Check{"forgotten", "an input that it did not consume may never come", forgotten},
    Check{"accepted", "a sound recipe is accepted", accepted},
    Check{"bad_recipe", "a recipe with a wrong checksum is refused, and can be mended",
          refused_checksum},
    Check{"bad_slot", "a recipe with a value out of its range is refused, naming its slot",
          refused_slot},
    Check{"long_run", "times beyond 2^32 us, up to the last, are kept", long_run},
};

}  // namespace

std::span<const Check> controller_checks() { return kChecks; }

}  // namespace rimebench
