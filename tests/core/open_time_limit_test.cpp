#include "firmware_sim/core/open_time_limit.hpp"

#include <doctest/doctest.h>

#include <random>
#include <vector>

#include "tests/core/head_line.hpp"

using namespace rimebench;
using namespace rimebench::rails;

namespace {

/// 100 ms in one go, refilled at a tenth of the time shut.
constexpr OpenBudget kBudget{.most = 100_ms, .share_ppm = 100'000};

struct Span {
  Instant from;
  Instant to;
};

/// Every window that begins with one opening and ends with another.
void check_windows(const std::vector<Span>& open) {
  for (std::size_t first = 0; first < open.size(); ++first) {
    Duration total;
    for (std::size_t last = first; last < open.size(); ++last) {
      total += open[last].to - open[last].from;
      const Duration window = open[last].to - open[first].from;
      REQUIRE(total.raw <= kBudget.most.raw + window.raw / 10 + 1);
    }
  }
}

}  // namespace

TEST_CASE("open time: a level that stays open is shut when the budget is spent, and stays shut") {
  OpenTimeLimit limit;
  CHECK(limit.allow(Instant{0}, true, kBudget));
  CHECK(limit.due(kBudget) == Instant{100'000});
  CHECK(limit.allow(Instant{99'999}, true, kBudget));
  CHECK_FALSE(limit.allow(Instant{100'000}, true, kBudget));
  CHECK(limit.spent());
  CHECK_FALSE(limit.allow(Instant{100'001}, false, kBudget));
  CHECK_FALSE(limit.allow(Instant{90'000'000}, true, kBudget));
  limit.reset();
  CHECK_FALSE(limit.spent());
  CHECK(limit.allow(Instant{90'000'001}, true, kBudget));
  CHECK(limit.due(kBudget) == Instant{90'100'001});
}

TEST_CASE("open time: what was used comes back at open_share while the valve is shut") {
  OpenTimeLimit limit;
  limit.allow(Instant{0}, true, kBudget);
  limit.allow(Instant{60'000}, false, kBudget);
  // 60 ms used, 10 ms given back in 100 ms.
  limit.allow(Instant{160'000}, true, kBudget);
  CHECK(limit.due(kBudget) == Instant{160'000 + 50'000});
  limit.allow(Instant{170'000}, false, kBudget);
  // The budget never holds more than itself.
  limit.allow(Instant{900'000'000}, true, kBudget);
  CHECK(limit.due(kBudget) == Instant{900'100'000});
}

TEST_CASE("open time: without a share nothing comes back, and an empty account opens nothing") {
  constexpr OpenBudget kNoShare{.most = 100_ms, .share_ppm = 0};
  OpenTimeLimit limit;
  limit.allow(Instant{0}, true, kNoShare);
  limit.allow(Instant{99'999}, false, kNoShare);
  CHECK(limit.allow(Instant{50'000'000}, true, kNoShare));
  CHECK_FALSE(limit.allow(Instant{50'000'001}, true, kNoShare));
}

TEST_CASE("open time: a rest of a year counts as one of a day, and breaks nothing") {
  constexpr OpenBudget kSlow{.most = 100_ms, .share_ppm = 1};
  constexpr std::int64_t kYearUs = 365LL * 24 * 3600 * kMicrosPerSecond;
  OpenTimeLimit limit;
  limit.allow(Instant{0}, true, kSlow);
  limit.allow(Instant{100'000 - 1}, false, kSlow);
  limit.allow(Instant{kYearUs}, true, kSlow);
  // A millionth of a day: 86 400 us are back, and the one that was left.
  CHECK(limit.due(kSlow) == Instant{kYearUs + 86'401});
}

TEST_CASE("open time: a budget of 0 is no second guard") {
  OpenTimeLimit limit;
  CHECK(limit.allow(Instant{0}, true, {}));
  CHECK(limit.due({}) == kNever);
  CHECK(limit.allow(Instant{3'600'000'000}, true, {}));
}

TEST_CASE("open time: a recipe without a budget may come while the valve is open") {
  for (const bool open : {false, true}) {
    OpenTimeLimit limit;
    limit.allow(Instant{0}, true, kBudget);
    limit.watch(Instant{60'000}, {});
    CHECK(limit.allow(Instant{60'000}, open, {}) == open);
    CHECK_FALSE(limit.spent());
    CHECK(limit.due({}) == kNever);
    // What was used until then still counts when there is one again.
    limit.allow(Instant{60'001}, true, kBudget);
    CHECK(limit.due(kBudget) == Instant{100'001});
  }
}

TEST_CASE("open time: in any window the valve is open for the budget and its share at most") {
  std::mt19937 random(7);
  OpenTimeLimit limit;
  std::vector<Span> open;
  Instant now;
  int spent = 0;
  for (int i = 0; i < 20'000; ++i) {
    const Instant next = now + Duration{1 + static_cast<std::int64_t>(random() % 30'000)};
    // Its timer fires before the next wish comes.
    now = earlier(next, later(limit.due(kBudget), now + 1_us));
    const bool was_open = !open.empty() && open.back().to == kNever;
    const bool is_open = limit.allow(now, now == next ? random() % 5 == 0 : was_open, kBudget);
    if (was_open && !is_open) open.back().to = now;
    if (!was_open && is_open) open.push_back({now, kNever});
    if (!limit.spent()) continue;
    check_windows(open);
    open.clear();
    limit.reset();
    ++spent;
  }
  CHECK(spent > 20);
}

TEST_CASE("open time: a shot timer that asks for too much is stopped by the second guard alone") {
  // The first shot takes 20 ms of the 30, the second has 10 left.
  RecipeValues recipe = with(rotary_recipe(), Parameter::kOpenBudgetUs, 30'000);
  Script script;
  script.started(recipe).belt(0, 2'000'000, 10'000).container(103'000).container(303'000);
  script.pulse(1'500'000, Channel::kOperatorReset, 1'000);
  const Changes outputs = play(script, 2'000'000);
  CHECK(history(outputs, Channel::kValve) == "623000=1 643000=0 823000=1 833000=0");
  CHECK(history(outputs, Channel::kAlarm) == alarm_at(833'000, Fault::kOpenTooMuch) + " 1500000=0");
  CHECK(history(outputs, Counter::kShotCut) == "833000=1");
  CHECK(history(outputs, Channel::kSupplyIsolation) == "2000=1 833000=0");
}

TEST_CASE("open time: a share that covers the shots lets the line run") {
  RecipeValues recipe = with(rotary_recipe(), Parameter::kOpenBudgetUs, 30'000);
  recipe.set(Parameter::kOpenSharePpm, 120'000);  // 20 ms in every 180 are 111 112
  Script script;
  script.started(recipe).belt(0, 4'000'000, 10'000);
  for (std::int64_t edge = 103'000; edge < 3'000'000; edge += 200'000) script.container(edge);
  CHECK(history(play(script, 4'000'000), Channel::kAlarm) == "");
}
