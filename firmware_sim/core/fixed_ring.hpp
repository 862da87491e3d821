#pragma once

#include <array>
#include <cstddef>

#include "firmware_sim/units/demand.hpp"

namespace rimebench {

/// First in, first out, in place: room for `capacity` elements, a power of two. Index 0 is the
/// front. Pushing into a full ring or reading past its end is a bug of the caller's and panics.
template <class T, std::size_t capacity>
class FixedRing {
  static_assert(capacity != 0 && (capacity & (capacity - 1)) == 0);

 public:
  std::size_t size() const { return size_; }
  bool empty() const { return size_ == 0; }
  bool full() const { return size_ == capacity; }

  T& operator[](std::size_t index) {
    DEMAND(index < size_);
    return places_[(front_ + index) % capacity];
  }
  const T& operator[](std::size_t index) const {
    DEMAND(index < size_);
    return places_[(front_ + index) % capacity];
  }
  T& front() { return (*this)[0]; }
  const T& front() const { return (*this)[0]; }

  void push_back(const T& value) {
    DEMAND(!full());
    places_[(front_ + size_) % capacity] = value;
    ++size_;
  }
  void pop_front() {
    DEMAND(!empty());
    front_ = (front_ + 1) % capacity;
    --size_;
  }
  void clear() { size_ = 0; }

 private:
  std::array<T, capacity> places_{};
  std::size_t front_ = 0;
  std::size_t size_ = 0;
};

}  // namespace rimebench
