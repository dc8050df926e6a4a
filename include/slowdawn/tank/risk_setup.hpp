// From a plan of a tank to what the risk draws.
//
//   w_j  usable weight of light j      T    what a mesh lets through
//   W_j  its weight for the group, k_j what of that is doubt (tank/group_start.hpp)
//
//   d_j = 0.0036 w_j T (W_j / k_j) H_j(p_j)                                  (1)
//   q_j = w_j T (W_j / k_j) phi_j(p_j f_j(t)), t the moment of the plan's own
//         effective peak                                                     (2)
//   a_j = A(0) g_j, b_j = B(0) g_j, g the relative gradient of the light
//         before (tank/ratio_error.hpp)                                      (3)
//
// d and q are scaled so that with W and F they sum to the dose and the peak that the plan
// has for the day, which may have been lit by a lamp that was another one then. Where
// nothing is known that could be scaled, as of a light without a reading, the plan's
// amount counts as certain. A group whose life the record tells from the first day on
// begins at the d and q of that day.
#pragma once

#include <slowdawn/ramp/risk.hpp>
#include <slowdawn/tank/ramp_setup.hpp>

namespace slowdawn {

/// A plan as it is lived. The referred-to values must outlive it.
struct LivedPlan {
  const Tank& tank;
  const RampSetup& setup;
  /// With at least one day.
  const Plan& plan;
  /// By day, how the lights stand.
  std::vector<Dials> dials;
  /// By group, the days on which it comes and is gone; all are there on all days where
  /// these are empty.
  std::vector<std::size_t> came_on = {};
  std::vector<std::optional<std::size_t>> gone_on = {};
};

/// How the lights stand on each day of a plan that goes by its settings alone.
std::vector<Dials> dials_by_day(const RampSetup& setup, const Plan& plan);

/// Headrooms are those of the profiles: the pace says how bold a plan is, and not what a
/// coral bears.
/// asked_from: a day of the plan.
RiskCourse make_risk_course(const LivedPlan& lived, std::size_t asked_from);

}  // namespace slowdawn
