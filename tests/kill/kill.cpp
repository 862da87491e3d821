/// Whatever happens to a node in mid-run, and whenever: the bench ends, says that the run proves
/// nothing, keeps the trace so far, and leaves no process behind.

#include <poll.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <memory>

#include "harness/trace/reader.hpp"
#include "plant_model/kernel/random.hpp"
#include "tests/cli/desk.hpp"
#include "tests/support/pty.hpp"
#include "tests/support/relay.hpp"

using namespace rimebench;
using namespace rimebench::test;

namespace {

/// A bench waits no longer for an answer; a test waits no longer for a program.
constexpr const char* kSilenceMs = "300";
constexpr int kPatienceMs = 60'000;

/// Of one case: waits for nothing longer than its patience, and for no process in vain.
bool has_ended(const Process& process) {
  const int descriptor = static_cast<int>(::syscall(SYS_pidfd_open, process.id(), 0));
  REQUIRE(descriptor >= 0);
  pollfd end{descriptor, POLLIN, 0};
  const bool ended = ::poll(&end, 1, kPatienceMs) == 1;
  ::close(descriptor);
  return ended;
}

sockaddr_un unix_address(const std::filesystem::path& path) {
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  path.string().copy(address.sun_path, sizeof address.sun_path - 1);
  return address;
}

/// A scenario of some seconds, and what it comes to undisturbed.
class Undisturbed {
 public:
  Undisturbed() {
    desk.put("kill.yaml", "feed_us: 8000000\nexpect: {containers_min: 20}\n");
    const Ended ended = desk.run({"run", "kill.yaml", "--trace", "whole.trace"});
    REQUIRE(ended.code == 0);
    changes = changes_of("whole.trace");
    REQUIRE(changes.size() > 300);
  }

  /// Of a trace as far as it is whole.
  std::vector<SignalChange> changes_of(const char* file) const {
    std::vector<SignalChange> all;
    TraceReader reader(desk / file);
    while (reader.next()) {
      all.insert(all.end(), reader.changes().begin(), reader.changes().end());
    }
    return all;
  }

  /// Short grants: many frames, so that there are many moments to break off in.
  Process bench(const std::string& node, const char* silence_ms = kSilenceMs) const {
    return Process(
        desk / ".",
        rimebench_command({"run", "kill.yaml", "--node", node, "--silence-ms", silence_ms,
                           "--grant-changes", "8", "--trace", "run.trace", "--json", "run.json"}));
  }

  /// The run is over and right, or it proves nothing and what there is of it is the beginning of
  /// the right one.
  void check(const Ended& ended) const {
    INFO(ended.out);
    INFO(ended.err);
    const bool over = ended.code == 0;
    CHECK((over || ended.code == 2));
    const char* file = over ? "run.trace" : "run.trace.partial";
    if (desk.has(file)) {
      const auto found = changes_of(file);
      CHECK((!over || found.size() == changes.size()));
      REQUIRE(found.size() <= changes.size());
      CHECK(std::equal(found.begin(), found.end(), changes.begin()));
    } else {
      // Not even greeted: then there was no run to keep.
      CHECK(says(ended.out, "last good simulated time 0 us"));
    }
    if (!over) CHECK(says(ended.out, "last good simulated time "));
    std::filesystem::remove(desk / file);
  }

  Desk desk;
  std::vector<SignalChange> changes;
};

/// A node behind a relay, on one kind of link.
class Station {
 public:
  virtual ~Station() = default;
  virtual std::string node_option() const = 0;
  virtual Process start_node() = 0;
  /// Where the bench will be, before it is started.
  virtual std::string bench_option() = 0;
  /// Once it is.
  virtual std::unique_ptr<Relay> connect(RelayEvent event) = 0;
};

class SocketStation final : public Station {
 public:
  explicit SocketStation(const Desk& desk) : desk_(desk) {
    listener_ = ::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    const sockaddr_un address = unix_address(desk_ / "bench.socket");
    REQUIRE(::bind(listener_, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0);
    REQUIRE(::listen(listener_, 1) == 0);
  }
  ~SocketStation() override {
    ::close(listener_);
    std::filesystem::remove(desk_ / "bench.socket");
  }

  std::string node_option() const override { return (desk_ / "node.socket").string(); }
  Process start_node() override {
    return Process(desk_ / ".",
                   rimebench_command({"node", "--listen", "unix:" + node_option(), "--once"}));
  }
  std::string bench_option() override { return "unix:" + (desk_ / "bench.socket").string(); }
  std::unique_ptr<Relay> connect(RelayEvent event) override {
    const int bench = ::accept4(listener_, nullptr, nullptr, SOCK_CLOEXEC);
    const int node = ::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    const sockaddr_un address = unix_address(desk_ / "node.socket");
    REQUIRE(::connect(node, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0);
    return std::make_unique<Relay>(bench, node, std::move(event));
  }

 private:
  const Desk& desk_;
  int listener_{-1};
};

class SerialStation final : public Station {
 public:
  explicit SerialStation(const Desk& desk) : desk_(desk) {}

  std::string node_option() const override { return node_.name(); }
  Process start_node() override {
    return Process(desk_ / ".", rimebench_command({"node", "--serial", node_option(), "--once"}));
  }
  std::string bench_option() override { return "serial:" + bench_.name(); }
  std::unique_ptr<Relay> connect(RelayEvent event) override {
    return std::make_unique<Relay>(bench_.take_master(), node_.take_master(), std::move(event));
  }

 private:
  const Desk& desk_;
  Pty bench_;
  Pty node_;
};

enum class Fate { kNone, kKilled, kStopped, kSlowed, kPaused, kCut };

RelayEvent event_of(Fate fate, std::uint64_t at_byte, const Process& node) {
  const pid_t id = node.id();
  RelayEvent event{at_byte};
  switch (fate) {
    case Fate::kNone:
      break;
    case Fate::kKilled:
      event.action = [id] { ::kill(id, SIGKILL); };
      break;
    case Fate::kStopped:
      event.action = [id] { ::kill(id, SIGSTOP); };
      break;
    case Fate::kSlowed:
      event.slow_bytes = 100;
      break;
    case Fate::kPaused:
      event.action = [] { static_cast<void>(::poll(nullptr, 0, 50)); };
      break;
    case Fate::kCut:
      event.cuts = true;
      break;
  }
  return event;
}

struct Run {
  int code;
  std::uint64_t from_node;  ///< bytes
};

/// One run to whose node this happens.
Run run(const Undisturbed& undisturbed, Station& station, Fate fate, std::uint64_t at_byte) {
  Process node = station.start_node();
  REQUIRE(node.line().starts_with("listening on "));
  // Where nothing happens to the node, it may take its time.
  Process bench =
      undisturbed.bench(station.bench_option(), fate == Fate::kNone ? "60000" : kSilenceMs);
  const auto relay = station.connect(event_of(fate, at_byte, node));
  REQUIRE(has_ended(bench));
  const Ended ended = bench.end();
  relay->end();
  undisturbed.check(ended);
  if (fate == Fate::kNone) CHECK(ended.code == 0);
  // A node that goes on learns that its bench is gone, and ends with it.
  if (fate == Fate::kStopped) ::kill(node.id(), SIGCONT);
  REQUIRE(has_ended(node));
  static_cast<void>(node.end());
  // Whatever the two may have started would be ours by now.
  CHECK(::waitpid(-1, nullptr, WNOHANG) == -1);
  CHECK(errno == ECHILD);
  return {ended.code, relay->from_node()};
}

template <class Kind>
void run_all(Fate fate, int cases, std::uint32_t stream) {
  REQUIRE(::prctl(PR_SET_CHILD_SUBREAPER, 1) == 0);
  const Undisturbed undisturbed;
  const auto once = [&](Fate what, std::uint64_t at_byte) {
    Kind station(undisturbed.desk);
    return run(undisturbed, station, what, at_byte);
  };
  const std::uint64_t bytes = once(Fate::kNone, UINT64_MAX).from_node;
  REQUIRE(bytes > 1'000);
  RandomStream chance(1, 0, stream);
  int lost = 0;
  for (int i = 0; i < cases; ++i) {
    // Now and then past the end: then nothing happens.
    const std::uint64_t at_byte = chance.word() % (bytes + bytes / 20);
    CAPTURE(i);
    CAPTURE(at_byte);
    lost += once(fate, at_byte).code == 2 ? 1 : 0;
  }
  // The moments did lie within the run.
  if (fate == Fate::kKilled || fate == Fate::kStopped || fate == Fate::kCut) {
    CHECK(lost > cases * 3 / 4);
  }
}

}  // namespace

TEST_CASE("kill: a node killed at 60 random moments leaves an inconclusive run and its trace") {
  run_all<SocketStation>(Fate::kKilled, 30, 1);
  run_all<SerialStation>(Fate::kKilled, 30, 2);
}

TEST_CASE("kill: a node stopped at 40 random moments is given up") {
  run_all<SocketStation>(Fate::kStopped, 20, 3);
  run_all<SerialStation>(Fate::kStopped, 20, 4);
}

TEST_CASE("kill: a node slowed or paused at 40 random moments changes nothing, or is given up") {
  run_all<SocketStation>(Fate::kSlowed, 10, 5);
  run_all<SerialStation>(Fate::kSlowed, 10, 6);
  run_all<SocketStation>(Fate::kPaused, 10, 7);
  run_all<SerialStation>(Fate::kPaused, 10, 8);
}

TEST_CASE("kill: a link cut at 60 random moments, a pty closed among them, ends bench and node") {
  run_all<SocketStation>(Fate::kCut, 30, 9);
  run_all<SerialStation>(Fate::kCut, 30, 10);
}

TEST_CASE("kill: a child process that ends at 20 random moments takes the run with it, no other") {
  REQUIRE(::prctl(PR_SET_CHILD_SUBREAPER, 1) == 0);
  const Undisturbed undisturbed;
  RandomStream chance(1, 0, 11);
  int lost = 0;
  for (int i = 0; i < 20; ++i) {
    // The node's standard input ends behind so many bytes.
    const std::string bytes = std::to_string(chance.word() % 5'000);
    CAPTURE(bytes);
    // dd with one byte at a time holds nothing back.
    Process bench = undisturbed.bench("exec:sh -c 'dd bs=1 count=" + bytes + " status=none | " +
                                      RIMEBENCH_COMMAND + " node --stdio'");
    REQUIRE(has_ended(bench));
    const Ended ended = bench.end();
    undisturbed.check(ended);
    lost += ended.code == 2 ? 1 : 0;
    // The shell's children become ours if they outlive it: they end by themselves.
    while (::waitpid(-1, nullptr, 0) > 0) {
    }
    CHECK(errno == ECHILD);
  }
  CHECK(lost > 10);
}

TEST_CASE("kill: a bench that is killed takes the node it started with it") {
  REQUIRE(::prctl(PR_SET_CHILD_SUBREAPER, 1) == 0);
  const Undisturbed undisturbed;
  undisturbed.desk.put("long.yaml", "feed_us: 3600000000\n");
  Process bench(undisturbed.desk / ".",
                rimebench_command({"run", "long.yaml", "--ledger", "/dev/stdout", "--node",
                                   std::string("exec:") + RIMEBENCH_COMMAND + " node --stdio"}));
  for (int row = 0; row < 100; ++row) REQUIRE(!bench.line().empty());
  CHECK(bench.kill().code == -1);
  // Orphaned, the node is ours now; it is killed, or finds its bench gone. A sanitizer may have had
  // a helper beside it.
  int children = 0;
  while (::waitpid(-1, nullptr, 0) > 0) ++children;
  CHECK(children > 0);
}
