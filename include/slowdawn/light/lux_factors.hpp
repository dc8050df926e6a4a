// How many lux one umol m-2 s-1 of some light sources is.
#pragma once

#include <array>
#include <string_view>

namespace slowdawn {

/// A published factor; none of them holds for LED light or any blue-heavy light:
/// at 450 nm one umol m-2 s-1 is 6.9 lux (own arithmetic: 683.002 V / (umol/J),
/// V of CIE 1924).
struct LuxFactor {
  std::string_view source;
  /// lux per umol m-2 s-1; two such sets differ by 3 to 5 %.
  double lux_per_ppfd;
};

/// source: Thimijan and Heins 1983, HortScience 18:818-822, Table 3, as quoted at
///   bio.net/bionet/mm/plant-ed/2001-October/007207.html.
inline constexpr std::array<LuxFactor, 6> published_lux_factors{{
    {"sun and sky", 54.0},
    {"blue sky", 52.0},
    {"metal halide", 71.0},
    {"cool-white fluorescent", 74.0},
    {"high-pressure sodium", 82.0},
    {"incandescent", 50.0},
}};

}  // namespace slowdawn
