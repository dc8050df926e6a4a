#include "ramp/risk_walk.hpp"

#include <algorithm>

// Compiled twice, the better one chosen when the program starts. Without fused
// multiply and add both give the same results to the bit.
#if defined(__x86_64__) && defined(__ELF__)
#define SLOWDAWN_WIDE __attribute__((target_clones("avx2", "default")))
// What both versions are made of must be part of them.
#define SLOWDAWN_WITHIN inline __attribute__((always_inline))
#else
#define SLOWDAWN_WIDE
#define SLOWDAWN_WITHIN inline
#endif

namespace slowdawn {

namespace {

/// The light of one or two parts and nothing else, which is that of nearly every row.
template <std::size_t count>
SLOWDAWN_WITHIN void light_of_parts(const RiskCourse::Row& row, const RiskDrawn& drawn,
                                    double* dose, double* peak) {
  const RiskCourse::Part one = row.parts.front();
  const RiskCourse::Part two = row.parts.back();
  const double* const first = drawn.outputs[one.output].data();
  const double* const second = drawn.outputs[two.output].data();
  for (std::size_t i = 0; i < risk_lanes; ++i) {
    double brought = one.to_dose * first[i];
    double highest = one.to_peak * first[i];
    if constexpr (count == 2) {
      brought += two.to_dose * second[i];
      highest += two.to_peak * second[i];
    }
    dose[i] = brought;
    peak[i] = highest;
  }
}

SLOWDAWN_WITHIN void light_of_any(const RiskCourse::Row& row, const RiskDrawn& drawn, double* dose,
                                  double* peak) {
  std::fill_n(dose, risk_lanes, row.certain.dose.mol_m2_d());
  std::fill_n(peak, risk_lanes, row.certain.peak.umol_m2_s());
  for (const RiskCourse::Part& part : row.parts) {
    const double* const output = drawn.outputs[part.output].data();
    for (std::size_t i = 0; i < risk_lanes; ++i) {
      dose[i] += part.to_dose * output[i];
      peak[i] += part.to_peak * output[i];
    }
  }
}

SLOWDAWN_WITHIN void light_within(const RiskCourse::Row& row, const RiskDrawn& drawn, double* dose,
                                  double* peak) {
  const bool is_all_drawn = row.certain == Exposure{};
  if (is_all_drawn && row.parts.size() == 2) {
    light_of_parts<2>(row, drawn, dose, peak);
  } else if (is_all_drawn && row.parts.size() == 1) {
    light_of_parts<1>(row, drawn, dose, peak);
  } else {
    light_of_any(row, drawn, dose, peak);
  }
  if (row.mesh == RiskCourse::no_mesh) return;
  const double* const passed = drawn.meshes[row.mesh].data();
  for (std::size_t i = 0; i < risk_lanes; ++i) {
    dose[i] *= passed[i];
    peak[i] *= passed[i];
  }
}

}  // namespace

SLOWDAWN_WIDE void light_of(const RiskCourse::Row& row, const RiskDrawn& drawn, RiskValues& dose,
                            RiskValues& peak) {
  light_within(row, drawn, dose.data(), peak.data());
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
    const std::size_t begin = std::max(days.first, rows[row].first_day);
    if (begin >= end) continue;
    light_within(rows[row], drawn, row_dose.data(), row_peak.data());
    // A and B come nearer to light that stays, and never pass it: what is too much is so
    // on the first day already, or on the first that is asked about.
    const std::size_t tested = std::max(begin, days.asked_from);
    for (std::size_t day = begin; day < end; ++day) {
      if (day == tested) {
        const auto mark = static_cast<double>(day);
        for (std::size_t i = 0; i < risk_lanes; ++i) {
          // Both are tested always: a branch would keep the loop from being made wide.
          const bool is_over =
              (brought[i] > reach[i] * dose[i]) | (highest[i] > reach[i] * peak[i]);
          const double met = is_over ? mark : none;
          first[i] = met < first[i] ? met : first[i];
          dose[i] += (brought[i] > dose[i] ? up[i] : down[i]) * (brought[i] - dose[i]);
          peak[i] += (highest[i] > peak[i] ? up[i] : down[i]) * (highest[i] - peak[i]);
        }
        continue;
      }
      for (std::size_t i = 0; i < risk_lanes; ++i) {
        dose[i] += (brought[i] > dose[i] ? up[i] : down[i]) * (brought[i] - dose[i]);
        peak[i] += (highest[i] > peak[i] ? up[i] : down[i]) * (highest[i] - peak[i]);
      }
    }
  }
  lanes = now;
}

}  // namespace slowdawn
