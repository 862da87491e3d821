/// The node of the bare-metal images: the same session and the same core as anywhere else.

#include <cstdint>

#include "firmware_sim/core/dose_controller.hpp"
#include "firmware_sim/port/cortex_m/board.hpp"
#include "firmware_sim/port/node_session.hpp"

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

}  // namespace

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
