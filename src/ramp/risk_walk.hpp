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

using RiskValues = std::array<double, risk_lanes>;

struct RiskLanes {
  /// A and B.
  RiskValues dose;
  RiskValues peak;
  /// 1 + h', with the usual slack in it.
  RiskValues reach;
  /// Shares of equation (1) of coral/acclimation.hpp.
  RiskValues up;
  RiskValues down;
  /// The mark of the first day that was too much.
  RiskValues first;
};

/// What is drawn of the light.
struct RiskDrawn {
  /// F', by output of the course.
  std::span<const RiskValues> outputs;
  /// By mesh of the course, what it lets through over what it is said to.
  std::span<const RiskValues> meshes;
};

/// Equation (3): the dose and the peak that a row brings in each draw.
void light_of(const RiskCourse::Row& row, const RiskDrawn& drawn, RiskValues& dose,
              RiskValues& peak);

/// The days that are walked.
struct RiskDays {
  std::size_t first;
  std::size_t end;
  /// Days before this one are lived through and get no mark; a later one is marked by
  /// its number.
  std::size_t asked_from;
};

/// Walks over days: tests each against what is borne, then equation (1).
/// rows: in the order of their days, the first of them not after the first day.
/// none: the mark of no day, higher than that of any.
void walk_days(std::span<const RiskCourse::Row> rows, const RiskDays& days, const RiskDrawn& drawn,
               double none, RiskLanes& lanes);

}  // namespace slowdawn
