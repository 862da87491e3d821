#pragma once

namespace rimebench {

/// What a part of the plant refers to and does not own: `References` is a struct of references.
///
///   class Filler : private Bound<FillerReferences>   its members are used as the class's own
///
/// A plant is copied by value to go back to where it was, so every part can
/// be assigned; each keeps its own references, since a plant's parts refer to one another.
template <class References>
struct Bound : References {
  // NOLINTNEXTLINE(bugprone-unhandled-self-assignment): there is nothing to assign
  Bound& operator=(const Bound&) { return *this; }
};

}  // namespace rimebench
