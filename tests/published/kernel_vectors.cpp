#include <Random123/philox.h>
#include <doctest/doctest.h>

#include <cstdint>

#include "plant_model/kernel/distributions.hpp"
#include "plant_model/kernel/random.hpp"

using namespace rimebench;

// Salmon, Moraes, Dror, Shaw, SC11 (2011), as listed with the Random123 library.

TEST_CASE("random: Philox4x32-10 of zeroes is the published block [philox4x32_10_kat0]") {
  CHECK(philox4x32_10({0, 0, 0, 0}, {0, 0}) ==
        RandomBlock{1713891541u, 3781805453u, 3159862348u, 2600524760u});
}

TEST_CASE("random: Philox4x32-10 of all ones is the published block [philox4x32_10_kat1]") {
  const std::uint32_t ones = 4294967295u;
  CHECK(philox4x32_10({ones, ones, ones, ones}, {ones, ones}) ==
        RandomBlock{1083123565u, 1103641358u, 2718681030u, 1834242557u});
}

TEST_CASE("random: Philox4x32-10 of the digits of pi is the published block [philox4x32_10_kat2]") {
  CHECK(
      philox4x32_10({608135816u, 2242054355u, 320440878u, 57701188u}, {2752067618u, 698298832u}) ==
      RandomBlock{3513581065u, 2499661035u, 1342301216u, 605187745u});
}

TEST_CASE(
    "random: a draw is the Random123 library's block of {draw, source, item} under the seed") {
  r123::Philox4x32 reference;
  std::uint64_t different = 0;
  for (std::uint32_t i = 0; i < 100'000; ++i) {
    const std::uint64_t seed = 0x9e3779b97f4a7c15u * (i + 1);
    const std::uint64_t item = 0xd1b54a32d192ed03u * i;
    const std::uint32_t source = i * 2'654'435'761u;
    const r123::Philox4x32::ctr_type counter = {
        {i, source, static_cast<std::uint32_t>(item), static_cast<std::uint32_t>(item >> 32)}};
    const r123::Philox4x32::key_type key = {
        {static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32)}};
    const auto wanted = reference(counter, key);
    const RandomBlock got = draw(seed, source, item, i);
    for (std::size_t word = 0; word < got.size(); ++word) different += got[word] != wanted[word];
  }
  CHECK(different == 0);
}

TEST_CASE("distributions: the normal quantile gives the check values of AS 241") {
  // Provenance memory for the paper's three; all confirmed with a 40-digit inverse error function.
  CHECK(normal_quantile(0.25) == doctest::Approx(-0.6744897501960817432).epsilon(1e-15));
  CHECK(normal_quantile(0.001) == doctest::Approx(-3.0902323061678135415).epsilon(1e-15));
  CHECK(normal_quantile(1e-20) == doctest::Approx(-9.2623400897984075737).epsilon(1e-15));
  CHECK(normal_quantile(0.975) == doctest::Approx(1.9599639845400542355).epsilon(1e-15));
  CHECK(normal_quantile(0.9) == doctest::Approx(1.281551565544600467).epsilon(1e-15));
  CHECK(normal_quantile(0.5) == 0.0);
}
