// The innermost loop of the risk: draws side by side, a group's days one after
// the other.
#pragma once

#include <array>
#include <cstddef>
#include <slowdawn/ramp/risk.hpp>
#include <span>

namespace slowdawn {

/// Draws that are walked side by side. 32 fill the registers of a core without
/// leaving its nearest cache.
inline constexpr std::size_t risk_lanes = 32;

struct RiskLanes {
  using Lanes = std::array<double, risk_lanes>;
  /// A and B.
  Lanes dose;
  Lanes peak;
  /// 1 + h', with the usual slack in it.
  Lanes reach;
  /// Shares of equation (1) of coral/acclimation.hpp.
  Lanes up;
  Lanes down;
  /// The mark of the first day that was too much.
  Lanes first;
};

/// Walks over days: tests each against what is borne, then equation (1).
/// none: the mark of no day, higher than that of any.
void walk_days(std::span<const RiskDay> days, double none, RiskLanes& lanes);

}  // namespace slowdawn
