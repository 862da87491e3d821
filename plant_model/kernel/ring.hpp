#pragma once

#include <cstddef>
#include <memory>
#include <utility>

#include "firmware_sim/units/demand.hpp"

namespace rimebench {

/// A queue of fixed room, allocated once: first in, first out, indexed from the front.
/// A full ring or a missing element is a bug of the caller's and panics. Freed places keep their
/// last value until they are written again.
template <class T>
class Ring {
 public:
  /// Room for `capacity` elements, a power of two.
  explicit Ring(std::size_t capacity)
      : places_(std::make_unique<T[]>(capacity)), mask_(capacity - 1) {
    DEMAND(capacity > 0 && (capacity & mask_) == 0);
  }

  /// Takes the other's elements, in their places; the rooms are the same.
  Ring& operator=(const Ring& other) {
    DEMAND(mask_ == other.mask_);
    front_ = other.front_;
    size_ = other.size_;
    for (std::size_t i = 0; i < size_; ++i) {
      const std::size_t place = (front_ + i) & mask_;
      places_[place] = other.places_[place];
    }
    return *this;
  }

  std::size_t size() const { return size_; }
  std::size_t capacity() const { return mask_ + 1; }
  bool empty() const { return size_ == 0; }
  bool full() const { return size_ == capacity(); }

  /// Returns the new last element.
  T& push_back(T value) {
    DEMAND(!full());
    T& place = places_[(front_ + size_) & mask_];
    place = std::move(value);
    ++size_;
    return place;
  }

  /// Returns the element that was first.
  T pop_front() {
    DEMAND(!empty());
    T& place = places_[front_];
    front_ = (front_ + 1) & mask_;
    --size_;
    return std::move(place);
  }

  void clear() {
    front_ = 0;
    size_ = 0;
  }

  /// Index 0 is the front.
  T& operator[](std::size_t index) {
    DEMAND(index < size_);
    return places_[(front_ + index) & mask_];
  }
  const T& operator[](std::size_t index) const {
    DEMAND(index < size_);
    return places_[(front_ + index) & mask_];
  }
  T& front() { return (*this)[0]; }
  const T& front() const { return (*this)[0]; }
  T& back() { return (*this)[size_ - 1]; }
  const T& back() const { return (*this)[size_ - 1]; }

 private:
  std::unique_ptr<T[]> places_;
  std::size_t mask_;
  std::size_t front_ = 0;
  std::size_t size_ = 0;
};

}  // namespace rimebench
