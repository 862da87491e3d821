#include "plant_model/kernel/lanes.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <cstdint>

#include "plant_model/kernel/random.hpp"
#include "plant_model/kernel/ring.hpp"

using namespace rimebench;

namespace {

/// One server with fixed service time and exponential gaps between arrivals, on two lanes.
class DeterministicServer {
 public:
  DeterministicServer(Duration service, double mean_gap_us)
      : service_(service), mean_gap_us_(mean_gap_us) {
    plan_arrival();
  }

  double mean_wait_us(std::int64_t customers) {
    while (served_ < customers) {
      const Due due = lanes_.next();
      if (due.lane == kDeparture) {
        on_departure(due.at);
      } else {
        on_arrival(due.at);
      }
    }
    return static_cast<double>(waited_us_) / static_cast<double>(served_);
  }

 private:
  static constexpr int kDeparture = 0;
  static constexpr int kArrival = 1;

  void plan_arrival() {
    arrival_us_ += mean_gap_us_ * gaps_.exponential();
    lanes_.set(kArrival, Instant{static_cast<std::int64_t>(arrival_us_)});
  }
  void serve(Instant arrived, Instant now) {
    waited_us_ += (now - arrived).raw;
    ++served_;
    busy_ = true;
    lanes_.set(kDeparture, now + service_);
  }
  void on_arrival(Instant now) {
    plan_arrival();
    if (busy_) {
      waiting_.push_back(now);
    } else {
      serve(now, now);
    }
  }
  void on_departure(Instant now) {
    busy_ = false;
    lanes_.clear(kDeparture);
    if (!waiting_.empty()) serve(waiting_.pop_front(), now);
  }

  Duration service_;
  double mean_gap_us_;
  Lanes lanes_;
  Ring<Instant> waiting_{1024};
  RandomStream gaps_{2024, 1, 0};
  double arrival_us_ = 0.0;
  bool busy_ = false;
  std::int64_t served_ = 0;
  std::int64_t waited_us_ = 0;
};

}  // namespace

TEST_CASE("kernel: M/D/1 mean wait is rho/(2 mu (1-rho)) within 1 %") {
  // Pollaczek-Khinchine for a fixed service time. 1/mu = 0.1 s; rho = 0.6 gives 75 ms.
  const double rho = 0.6;
  const double service_us = 100'000.0;
  DeterministicServer server(100_ms, service_us / rho);
  const double wanted_us = rho * service_us / (2.0 * (1.0 - rho));
  const double got_us = server.mean_wait_us(2'000'000);
  CHECK(std::abs(got_us - wanted_us) < 0.01 * wanted_us);
}

TEST_CASE("lanes: new lanes are idle") {
  const Lanes lanes;
  CHECK(lanes.next().at == kNever);
  for (int lane = 0; lane < Lanes::kLanesMax; ++lane) CHECK(lanes.at(lane) == kNever);
}

TEST_CASE("lanes: at one instant the lower lane goes first, in whatever order they were set") {
  Lanes lanes;
  lanes.set(9, Instant{500});
  lanes.set(2, Instant{500});
  lanes.set(15, Instant{499});
  CHECK(lanes.next() == Due{15, Instant{499}});
  lanes.clear(15);
  CHECK(lanes.next() == Due{2, Instant{500}});
  lanes.set(2, Instant{501});
  CHECK(lanes.next() == Due{9, Instant{500}});
  lanes.set(0, Instant{500});
  CHECK(lanes.next() == Due{0, Instant{500}});
}

TEST_CASE("lanes: a lane holds the last time it was given, and the first and last time there are") {
  Lanes lanes;
  lanes.set(3, Instant{7});
  lanes.set(3, Instant{12});
  CHECK(lanes.at(3) == Instant{12});
  lanes.set(3, Instant{0});
  CHECK(lanes.next() == Due{3, Instant{0}});
  lanes.set(3, Lanes::kLatest);
  CHECK(lanes.next() == Due{3, Lanes::kLatest});
  lanes.set(3, kNever);
  CHECK(lanes.next().at == kNever);
}

TEST_CASE("lanes: next is the least of all lanes after any sequence of sets and clears") {
  Lanes lanes;
  std::array<Instant, Lanes::kLanesMax> model{};
  model.fill(kNever);
  RandomStream chance(5, 1, 0);
  for (int step = 0; step < 200'000; ++step) {
    const auto lane = static_cast<int>(chance.word() % Lanes::kLanesMax);
    const Instant at = chance.happens(200'000) ? kNever : Instant{chance.word() % 40};
    lanes.set(lane, at);
    model[static_cast<std::size_t>(lane)] = at;
    Due wanted{0, model[0]};
    for (int other = 1; other < Lanes::kLanesMax; ++other) {
      const Instant time = model[static_cast<std::size_t>(other)];
      if (time < wanted.at) wanted = {other, time};
    }
    REQUIRE(lanes.next().at == wanted.at);
    if (wanted.at != kNever) REQUIRE(lanes.next().lane == wanted.lane);
  }
}
