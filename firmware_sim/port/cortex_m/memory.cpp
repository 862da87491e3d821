/// What the compiler may call even where there is no library.

#include <cstddef>
#include <cstdint>

extern "C" {

void* memcpy(void* to, const void* from, std::size_t size) {
  auto* out = static_cast<std::uint8_t*>(to);
  const auto* in = static_cast<const std::uint8_t*>(from);
  while (size-- > 0) *out++ = *in++;
  return to;
}

void* memmove(void* to, const void* from, std::size_t size) {
  auto* out = static_cast<std::uint8_t*>(to);
  const auto* in = static_cast<const std::uint8_t*>(from);
  if (reinterpret_cast<std::uintptr_t>(out) <= reinterpret_cast<std::uintptr_t>(in)) {
    while (size-- > 0) *out++ = *in++;
  } else {
    while (size-- > 0) out[size] = in[size];
  }
  return to;
}

void* memset(void* to, int value, std::size_t size) {
  auto* out = static_cast<std::uint8_t*>(to);
  while (size-- > 0) *out++ = static_cast<std::uint8_t>(value);
  return to;
}

int memcmp(const void* a, const void* b, std::size_t size) {
  const auto* left = static_cast<const std::uint8_t*>(a);
  const auto* right = static_cast<const std::uint8_t*>(b);
  for (; size > 0; --size, ++left, ++right) {
    if (*left != *right) return *left < *right ? -1 : 1;
  }
  return 0;
}
}
