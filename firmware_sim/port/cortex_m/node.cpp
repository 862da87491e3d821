/// The node of the bare-metal images: the same session and the same core as anywhere else.

#include <array>
#include <cstdint>

#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/port/cortex_m/board.hpp"
#include "firmware_sim/port/node_session.hpp"
#include "firmware_sim/wire/crc16.hpp"

extern "C" [[noreturn]] void run_node();

namespace rimebench {

namespace {

/// The controller and the pin that follows its valve.
class WiredController {
 public:
  WiredController() { drive_valve(false); }

  void on_change(SignalChange change) { controller_.on_change(change); }

  Outputs advance(Instant until) {
    const Outputs outputs = controller_.advance(until);
    for (std::size_t i = 0; i < outputs.size(); ++i) {
      if (outputs[i].channel == Channel::kValve) drive_valve(outputs[i].value != 0);
    }
#ifdef RIMEBENCH_PANIC_AT_OPENING
    DEMAND(!valve_driven());
#endif
    return outputs;
  }

  Instant next_wake() const { return controller_.next_wake(); }

 private:
  DoseController controller_;
};

constinit NodeSession<WiredController> session;

// Written out, because encoding could itself fail a check. The first 0 ends a frame cut short.
constexpr std::array<std::uint8_t, 1> kGoodbye{5};
constexpr std::array<std::uint8_t, 6> kGoodbyeFrame{0, 4, kGoodbye[0], 0x55, 0xb1, 0};
static_assert(crc16(kGoodbye) == 0xb155);

/// Decimal digits, ending in 0.
std::array<char, 12> digits_of(int number) {
  std::array<char, 12> text{};
  std::size_t first = text.size() - 1;
  auto rest = static_cast<unsigned>(number);
  do {
    text[--first] = static_cast<char>('0' + rest % 10);
    rest /= 10;
  } while (rest != 0);
  for (std::size_t i = 0; first < text.size(); ++i) text[i] = text[first++];
  return text;
}

}  // namespace

void panic(const char* file, int line) noexcept {
  drive_valve(false);
  say("rimebench node: internal check failed at ");
  say(file);
  say(":");
  say(digits_of(line).data());
  say(valve_driven() ? ", valve pin still open\n" : ", valve pin closed\n");
  stop_failed(kGoodbyeFrame);
}

}  // namespace rimebench

void run_node() {
  using namespace rimebench;
  open_board();
  while (true) {
    const auto bytes = receive();
    if (bytes.empty()) session_ended();
    for (const std::uint8_t byte : bytes) {
      const auto reply = session.on_byte(byte);
      if (!reply.empty()) send(reply);
      if (session.ended()) {
        drive_valve(false);
        session_ended();
      }
    }
  }
}
