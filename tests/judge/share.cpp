#include <doctest/doctest.h>

#include "harness/judge/verdict.hpp"

using namespace rimebench;

// R. G. Newcombe, Two-sided confidence intervals for the single proportion: comparison of seven
// methods, Statistics in Medicine 17 (1998) 857, table I, method 3 (score, no continuity
// correction). Cited from memory; the figures agree with the formula worked by hand.
TEST_CASE("judge: the 95 % score intervals are those of Newcombe's table of 1998") {
  const auto rounded_to = [](double percent) { return doctest::Approx(percent).epsilon(5e-4); };
  CHECK(share_of(81, 263).low_percent == rounded_to(25.53));
  CHECK(share_of(81, 263).high_percent == rounded_to(36.62));
  CHECK(share_of(15, 148).low_percent == rounded_to(6.24));
  CHECK(share_of(15, 148).high_percent == rounded_to(16.05));
  CHECK(share_of(0, 20).low_percent == 0.0);
  CHECK(share_of(0, 20).high_percent == rounded_to(16.11));
  CHECK(share_of(1, 29).low_percent == rounded_to(0.61).epsilon(1e-2));
  CHECK(share_of(1, 29).high_percent == rounded_to(17.18));
}

TEST_CASE("judge: no escape in 300 containers still allows a true rate of 1.26 %") {
  const Share share = share_of(0, 300);
  CHECK(share.percent == 0.0);
  // z^2 / (n + z^2), the upper end for none found.
  CHECK(share.high_percent == doctest::Approx(100.0 * 3.841459 / 303.841459));
}

TEST_CASE("judge: all of them bad ends at 100 %, and of none at all anything is possible") {
  CHECK(share_of(50, 50).percent == 100.0);
  CHECK(share_of(50, 50).high_percent == doctest::Approx(100.0));
  CHECK(share_of(50, 50).low_percent == doctest::Approx(100.0 * 50.0 / 53.841459));
  CHECK(share_of(0, 0).low_percent == 0.0);
  CHECK(share_of(0, 0).high_percent == 100.0);
}
