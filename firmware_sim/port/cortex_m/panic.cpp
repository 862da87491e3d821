/// What every image does when a check inside it fails: the valve first.

#include <array>

#include "firmware_sim/port/cortex_m/board.hpp"
#include "firmware_sim/units/demand.hpp"
#include "firmware_sim/wire/crc16.hpp"

namespace rimebench {

namespace {

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
