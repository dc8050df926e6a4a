// How uncertain the ratio of two lights is that a group has or gets.
#pragma once

#include <map>
#include <slowdawn/tank/tank.hpp>
#include <vector>

namespace slowdawn {

struct LightPart {
  std::size_t spot;
  std::map<std::size_t, Percent> dials;
  std::vector<std::size_t> lights = {};
};

double compute_ratio_error(const Tank& tank, const LightPart& before, const LightPart& after);
double compute_history_error(const Tank& tank, double own_error, const LightPart& after);

}  // namespace slowdawn
