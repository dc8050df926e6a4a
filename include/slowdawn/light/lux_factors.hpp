// How many lux one umol m-2 s-1 of some light sources is.
#pragma once

#include <array>
#include <slowdawn/light/wavelength.hpp>
#include <string_view>

namespace slowdawn {

/// A published factor; none of them holds for LED light or any blue-heavy light:
/// at 450 nm one umol m-2 s-1 is 6.9 lux (own arithmetic: 683.002 V / (umol/J),
/// V of CIE 1924).
struct LuxFactor {
  std::string_view source;
  /// Two such sets differ by 3 to 5 %.
  LuxPerPpfd lux_per_ppfd;
};

/// source: Thimijan and Heins 1983, HortScience 18:818-822, Table 3, as quoted at
///   bio.net/bionet/mm/plant-ed/2001-October/007207.html.
inline constexpr std::array<LuxFactor, 6> published_lux_factors{{
    {"sun and sky", LuxPerPpfd::lux_per_umol(54.0)},
    {"blue sky", LuxPerPpfd::lux_per_umol(52.0)},
    {"metal halide", LuxPerPpfd::lux_per_umol(71.0)},
    {"cool-white fluorescent", LuxPerPpfd::lux_per_umol(74.0)},
    {"high-pressure sodium", LuxPerPpfd::lux_per_umol(82.0)},
    {"incandescent", LuxPerPpfd::lux_per_umol(50.0)},
}};

}  // namespace slowdawn
