// Philox4x64-10: random bits as a function of a counter and a key. There is no
// state, so a draw is the same in whatever order, and on however many threads,
// draws are made.
#pragma once

#include <array>
#include <cstdint>

namespace slowdawn {

using PhiloxKey = std::array<std::uint64_t, 2>;
using PhiloxBlock = std::array<std::uint64_t, 4>;

/// The 256 random bits of a counter under a key.
/// source: Salmon, Moraes, Dror, Shaw 2011, "Parallel random numbers: as easy as
///   1, 2, 3", SC11; the constants and known answers as in the authors' Random123.
constexpr PhiloxBlock philox4x64(PhiloxBlock counter, PhiloxKey key) {
  __extension__ using Wide = unsigned __int128;
  constexpr int rounds = 10;
  for (int round = 0; round < rounds; ++round) {
    const Wide first = Wide{0xD2E7470EE14C6C93} * counter[0];
    const Wide second = Wide{0xCA5A826395121157} * counter[2];
    const auto high = [](Wide product) { return static_cast<std::uint64_t>(product >> 64); };
    const auto low = [](Wide product) { return static_cast<std::uint64_t>(product); };
    counter = {high(second) ^ counter[1] ^ key[0], low(second), high(first) ^ counter[3] ^ key[1],
               low(first)};
    key[0] += 0x9E3779B97F4A7C15;
    key[1] += 0xBB67AE8584CAA73B;
  }
  return counter;
}

/// A number in (0, 1) from 64 random bits, on a grid that is even around 1/2. With
/// one bit more the highest would be rounded to 1.
constexpr double to_open_share(std::uint64_t bits) {
  return (static_cast<double>(bits >> 12) + 0.5) * 0x1p-52;
}

}  // namespace slowdawn
