// Random numbers that are the same with every standard library: the engine of
// <random> is fixed by the standard, its distributions are not.
#pragma once

#include <cstdint>
#include <random>

namespace slowdawn::testing {

class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_(seed) {}

  /// Evenly in [low, high).
  double real(double low, double high) {
    // 53 bits are a double's precision.
    return low + (high - low) * static_cast<double>(engine_() >> 11U) * 0x1p-53;
  }

  /// Evenly in low..high, both included.
  int whole(int low, int high) {
    return low + static_cast<int>(real(0.0, static_cast<double>(high - low + 1)));
  }

  bool chance(double share) { return real(0.0, 1.0) < share; }

  template <class T, std::size_t n>
  T one_of(const T (&choices)[n]) {
    return choices[static_cast<std::size_t>(whole(0, static_cast<int>(n) - 1))];
  }

 private:
  std::mt19937_64 engine_;
};

}  // namespace slowdawn::testing
