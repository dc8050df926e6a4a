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

SLOWDAWN_WIDE void light_of(const RiskCourse::Row& row, const RiskDrawn& drawn, RiskValues& dose,
                            RiskValues& peak) {
  dose.fill(row.certain.dose.mol_m2_d());
  peak.fill(row.certain.peak.umol_m2_s());
  for (const RiskCourse::Part& part : row.parts) {
    const double* const output = drawn.outputs[part.output].data();
    for (std::size_t i = 0; i < risk_lanes; ++i) {
      dose[i] += part.dose * output[i];
      peak[i] += part.peak * output[i];
    }
  }
  if (row.mesh == RiskCourse::no_mesh) return;
  const double* const passed = drawn.meshes[row.mesh].data();
  for (std::size_t i = 0; i < risk_lanes; ++i) {
    dose[i] *= passed[i];
    peak[i] *= passed[i];
  }
}

SLOWDAWN_WIDE void walk_days(std::span<const RiskCourse::Row> rows, const RiskDays& days,
                             const RiskDrawn& drawn, double none, RiskLanes& lanes) {
  // A copy of our own, which nothing else can point at, stays in registers.
  RiskLanes now = lanes;
  double* dose = now.dose.data();
  double* peak = now.peak.data();
  double* first = now.first.data();
  const double* reach = now.reach.data();
  const double* up = now.up.data();
  const double* down = now.down.data();
  RiskValues row_dose;
  RiskValues row_peak;
  const double* brought = row_dose.data();
  const double* highest = row_peak.data();
  for (std::size_t row = 0; row < rows.size(); ++row) {
    const bool is_last = row + 1 == rows.size();
    const std::size_t end = is_last ? days.end : std::min(days.end, rows[row + 1].first_day);
    std::size_t day = std::max(days.first, rows[row].first_day);
    if (day >= end) continue;
    light_of(rows[row], drawn, row_dose, row_peak);
    for (; day < end; ++day) {
      const double mark = day < days.asked_from ? none : static_cast<double>(day);
      for (std::size_t i = 0; i < risk_lanes; ++i) {
        // Both are tested always: a branch would keep the loop from being made wide.
        const bool is_over = (brought[i] > reach[i] * dose[i]) | (highest[i] > reach[i] * peak[i]);
        const double met = is_over ? mark : none;
        first[i] = met < first[i] ? met : first[i];
        dose[i] += (brought[i] > dose[i] ? up[i] : down[i]) * (brought[i] - dose[i]);
        peak[i] += (highest[i] > peak[i] ? up[i] : down[i]) * (highest[i] - peak[i]);
      }
    }
  }
  lanes = now;
}

}  // namespace slowdawn
