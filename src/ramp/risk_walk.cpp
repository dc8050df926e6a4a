#include "ramp/risk_walk.hpp"

#include <algorithm>

// Compiled twice, the better one chosen when the program starts. Without fused
// multiply and add both give the same results to the bit.
#if defined(__x86_64__) && defined(__ELF__)
#define SLOWDAWN_WIDE __attribute__((target_clones("avx2", "default")))
#else
#define SLOWDAWN_WIDE
#endif

namespace slowdawn {

SLOWDAWN_WIDE void walk_days(std::span<const RiskDay> days, double none, RiskLanes& lanes) {
  // A copy of our own, which nothing else can point at, stays in registers.
  RiskLanes now = lanes;
  double* dose = now.dose.data();
  double* peak = now.peak.data();
  double* first = now.first.data();
  const double* reach = now.reach.data();
  const double* up = now.up.data();
  const double* down = now.down.data();
  const RiskDay* const end = days.data() + days.size();
  for (const RiskDay* day = days.data(); day != end; ++day) {
    const double brought = day->dose.mol_m2_d();
    const double highest = day->peak.umol_m2_s();
    const double mark = day->mark;
    for (std::size_t i = 0; i < risk_lanes; ++i) {
      // Both are tested always: a branch would keep the loop from being made wide.
      const bool is_over = (brought > reach[i] * dose[i]) | (highest > reach[i] * peak[i]);
      const double met = is_over ? mark : none;
      first[i] = met < first[i] ? met : first[i];
      dose[i] += (brought > dose[i] ? up[i] : down[i]) * (brought - dose[i]);
      peak[i] += (highest > peak[i] ? up[i] : down[i]) * (highest - peak[i]);
    }
  }
  lanes = now;
}

}  // namespace slowdawn
