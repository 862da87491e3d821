#include "tests/properties/holds.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <iostream>
#include <sstream>

namespace rimebench::properties {
namespace {

#ifdef NDEBUG
constexpr int kShare = 1;
#else
constexpr int kShare = 10;
#endif

std::int64_t from_environment(const char* name, std::int64_t otherwise) {
  const char* text = std::getenv(name);
  return text == nullptr ? otherwise : std::strtoll(text, nullptr, 10);
}

std::string repeat_line(std::int64_t seed, std::int64_t percent) {
  const std::string test = doctest::getContextOptions()->currentTest->m_name;
  return "repeat: RIMEBENCH_PROPERTY_SEED=" + std::to_string(seed) +
         " RIMEBENCH_PROPERTY_PERCENT=" + std::to_string(percent) + " test_properties -tc=\"" +
         test + "\"\n";
}

/// A panic of the core ends the program: say first which property it was.
std::string on_abort;
void say_repeat(int /*signal*/) { std::fputs(on_abort.c_str(), stderr); }

class Quiet : public rc::detail::TestListener {
 public:
  void onTestCaseFinished(const rc::detail::CaseDescription& /*description*/) override {}
  void onShrinkTried(const rc::detail::CaseDescription& /*shrink*/, bool /*accepted*/) override {}
  void onTestFinished(const rc::detail::TestMetadata& /*metadata*/,
                      const rc::detail::TestResult& /*result*/) override {}
};

}  // namespace

int holds(int cases, const std::function<void()>& property) {
  const std::int64_t seed = from_environment("RIMEBENCH_PROPERTY_SEED", 1);
  const std::int64_t percent = from_environment("RIMEBENCH_PROPERTY_PERCENT", 100);
  on_abort = repeat_line(seed, percent);
  std::signal(SIGABRT, say_repeat);

  rc::detail::TestParams params;
  params.seed = static_cast<std::uint64_t>(seed);
  params.maxSuccess = static_cast<int>(std::max<std::int64_t>(1, cases * percent / 100 / kShare));
  params.disableShrinking = from_environment("RIMEBENCH_PROPERTY_SHRINK", 1) == 0;
  const std::int64_t before = steps_taken;
  Quiet listener;
  const auto result =
      rc::detail::checkTestable(property, rc::detail::TestMetadata{}, params, listener);
  std::signal(SIGABRT, SIG_DFL);

  MESSAGE(params.maxSuccess << " cases, " << steps_taken - before << " instants, seed " << seed);
  std::ostringstream text;
  rc::detail::printResultMessage(result, text);
  INFO(text.str() << "\n" << repeat_line(seed, percent));
  CHECK(result.is<rc::detail::SuccessResult>());
  return params.maxSuccess;
}

rc::Gen<std::int64_t> between(std::int64_t lo, std::int64_t hi) {
  return rc::gen::resize(rc::kNominalSize, rc::gen::inRange(lo, hi + 1));
}

}  // namespace rimebench::properties
