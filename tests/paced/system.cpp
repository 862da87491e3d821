/// What the bench asks of the system for a paced run, where the system says yes and where it says
/// no. Each is asked in a child process, since the answer changes the process.

#include <doctest/doctest.h>
#include <sched.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <string>

#include "harness/link/paced_stream.hpp"

using namespace rimebench;

namespace {

/// As somebody whom the system allows nothing.
void give_up_everything() {
  constexpr rlimit kNone{0, 0};
  ::setrlimit(RLIMIT_MEMLOCK, &kNone);
  ::setrlimit(RLIMIT_RTPRIO, &kNone);
  constexpr uid_t kNobody = 65'534;
  if (::geteuid() == 0) static_cast<void>(!::setresuid(kNobody, kNobody, kNobody));
}

/// The answer of `take`, in a child that has prepared itself; "died" if it never came.
std::string answer_of(std::string (*take)(), void (*prepare)()) {
  std::array<int, 2> ends{};
  REQUIRE(::pipe(ends.data()) == 0);
  const pid_t child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    prepare();
    const std::string answer = take() + "\n";
    static_cast<void>(!::write(ends[1], answer.data(), answer.size()));
    ::_exit(0);
  }
  ::close(ends[1]);
  std::string answer;
  std::array<char, 256> buffer{};
  for (ssize_t size = 0; (size = ::read(ends[0], buffer.data(), buffer.size())) > 0;) {
    answer.append(buffer.data(), static_cast<std::size_t>(size));
  }
  ::close(ends[0]);
  ::waitpid(child, nullptr, 0);
  if (answer.empty()) return "died";
  answer.pop_back();
  return answer;
}

/// The same without us.
std::string mlock_plainly() { return ::mlockall(MCL_CURRENT | MCL_FUTURE) == 0 ? "" : "no"; }
std::string go_first_plainly() {
  const sched_param lowest{::sched_get_priority_min(SCHED_FIFO)};
  return ::sched_setscheduler(0, SCHED_FIFO, &lowest) == 0 ? "" : "no";
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

#if defined(__SANITIZE_ADDRESS__)
constexpr bool kRealMlock = false;
#elif defined(__has_feature)
constexpr bool kRealMlock = !__has_feature(address_sanitizer);
#else
constexpr bool kRealMlock = true;
#endif

}  // namespace

TEST_CASE("system: whom it allows no locked memory is told so, and what it takes") {
  if (!kRealMlock) return;  // the sanitizer answers in the system's place
  const std::string why = answer_of(lock_memory, give_up_everything);
  CHECK(holds(why, "the system does not let memory be locked ("));
  CHECK(holds(why, "ulimit -l"));
}

TEST_CASE("system: whom it allows no real-time priority is told so, and what it takes") {
  const std::string why = answer_of(take_realtime_priority, give_up_everything);
  CHECK(holds(why, "the system gives no real-time priority (Operation not permitted)"));
  CHECK(holds(why, "ulimit -r"));
}

TEST_CASE("system: where it allows them, both are taken and nothing is said") {
  const auto nothing = [] {};
  CHECK(answer_of(lock_memory, nothing).empty() == answer_of(mlock_plainly, nothing).empty());
  CHECK(answer_of(take_realtime_priority, nothing).empty() ==
        answer_of(go_first_plainly, nothing).empty());
}
