#include "harness/trace/difference.hpp"

#include <doctest/doctest.h>

#include <cstdint>
#include <optional>

#include "tests/trace/scratch.hpp"
#include "tests/trace/trace_run.hpp"

using namespace rimebench;

namespace {

/// A made-up trace of `changes` changes in which the value of change `altered` is another.
void write_altered(const std::filesystem::path& file, std::int64_t changes, std::int64_t altered) {
  TraceWriter writer(file, kMadeUpSeed, kMadeUpScenario);
  for (std::int64_t n = 0; n < changes; ++n) {
    SignalChange change = made_up_change(n);
    if (n == altered) change.value = 99;
    writer.add(change);
    if (n % 2000 == 0) writer.add(made_up_row(n + 1));
  }
}

std::optional<TraceDifference> difference_of(const std::filesystem::path& a,
                                             const std::filesystem::path& b) {
  TraceReader reader_a(a);
  TraceReader reader_b(b);
  return first_difference(reader_a, reader_b);
}

}  // namespace

TEST_CASE("difference: two traces of one run have none, however their blocks were cut") {
  const Scratch scratch;
  write_made_up_trace(scratch / "a.trace", 9000);
  write_altered(scratch / "b.trace", 9000, -1);
  CHECK(!difference_of(scratch / "a.trace", scratch / "b.trace.partial"));
}

TEST_CASE("difference: the first change that differs is shown with the ten before it") {
  const Scratch scratch;
  write_made_up_trace(scratch / "a.trace", 9000);
  write_altered(scratch / "b.trace", 9000, 5000);
  const auto difference = difference_of(scratch / "a.trace", scratch / "b.trace.partial");
  REQUIRE(difference);
  CHECK(difference->agreed == 5000);
  REQUIRE(difference->before.size() == 10);
  CHECK(difference->before.front() == made_up_change(4990));
  CHECK(difference->before.back() == made_up_change(4999));
  CHECK(difference->in_a == made_up_change(5000));
  REQUIRE(difference->in_b);
  CHECK(difference->in_b->value == 99);
}

TEST_CASE("difference: a trace that ends early differs from the other by its next change") {
  const Scratch scratch;
  write_made_up_trace(scratch / "a.trace", 9000);
  write_made_up_trace(scratch / "b.trace", 3);
  const auto difference = difference_of(scratch / "a.trace", scratch / "b.trace");
  REQUIRE(difference);
  CHECK(difference->before.size() == 3);
  CHECK(difference->in_a == made_up_change(3));
  CHECK(!difference->in_b);
}
