#include <doctest/doctest.h>

#include "harness/session/clock_fit.hpp"
#include "harness/session/delay_log.hpp"
#include "tests/wire/bytes.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

/// An exchange at `at` with a node whose clock is `offset` ahead then and answers at once.
ClockExchange exchange(Instant at, Duration offset, Duration there, Duration back) {
  return {at, at + there + offset, at + there + offset, at + there + back};
}

/// Ten a second for a minute; each way takes 40 us and up to `jitter_us` more. The node's clock is
/// 5 s ahead and `ppm` fast.
ClockFit minute(std::int64_t ppm, std::uint32_t jitter_us) {
  Lcg random{3};
  ClockFit fit;
  for (std::int64_t us = 0; us < 60'000'000; us += 100'000) {
    const Duration offset{5'000'000 + us * ppm / 1'000'000};
    fit.add(exchange(Instant{us}, offset, Duration{40 + random.below(jitter_us + 1)},
                     Duration{40 + random.below(jitter_us + 1)}));
  }
  return fit;
}

}  // namespace

TEST_CASE("clock: offset and travel are those of the four stamps of RFC 5905, section 8 (memory)") {
  // offset = ((T2 - T1) + (T3 - T4)) / 2, delay = (T4 - T1) - (T3 - T2)
  const ClockExchange four{Instant{1'000}, Instant{5'300}, Instant{5'350}, Instant{1'450}};
  CHECK(four.travel() == 400_us);
  ClockFit fit;
  CHECK_FALSE(fit.known());
  fit.add(four);
  CHECK(fit.known());
  CHECK(fit.offset() == 4'100_us);
  CHECK(fit.offset_error() == 200_us);
  CHECK(fit.to_bench(Instant{5'300}) == Instant{1'200});
}

TEST_CASE("clock: a node 80 ppm fast is known as such within 1 ppm after a minute") {
  const ClockFit fit = minute(80, 20);
  CHECK(fit.drift_ppm() > 79.0);
  CHECK(fit.drift_ppm() < 81.0);
  const ClockFit slow = minute(-80, 20);
  CHECK(slow.drift_ppm() < -79.0);
  CHECK(slow.drift_ppm() > -81.0);
}

TEST_CASE("clock: half a minute past the last exchange the node's time is still known to 50 us") {
  const ClockFit fit = minute(80, 20);
  const std::int64_t us = 90'000'000;
  const Instant node{us + 5'000'000 + us * 80 / 1'000'000};
  CHECK(fit.to_bench(node) > Instant{us} - 50_us);
  CHECK(fit.to_bench(node) < Instant{us} + 50_us);
}

TEST_CASE("clock: slow exchanges do not shift it, however one-sided they are") {
  ClockFit fit;
  for (int i = 0; i < 30; ++i) {
    const Instant at{i * 400'000};
    const bool slow = i >= 5;  // from two seconds on: 9 ms there, 40 us back
    fit.add(exchange(at, 7_s, slow ? 9_ms : 40_us, 40_us));
  }
  CHECK(fit.offset() == 7_s);
  CHECK(fit.offset_error() == 40_us);
  CHECK(fit.drift_ppm() == 0.0);
}

TEST_CASE(
    "delays: of 1 to 100 us the median is 50, 99 of a hundred are within 99, the worst is 100") {
  DelayLog log;
  CHECK(log.figures().count == 0);
  for (int us = 100; us > 0; --us) log.add(Duration{us});
  const DelayFigures figures = log.figures();
  CHECK(figures.count == 100);
  CHECK(figures.median == 50_us);
  CHECK(figures.percent_99 == 99_us);
  CHECK(figures.worst == 100_us);
}

TEST_CASE("delays: what an estimate makes negative counts as none") {
  DelayLog log;
  log.add(Duration{-7});
  CHECK(log.figures().worst == 0_us);
}
