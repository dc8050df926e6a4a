#include "ramp/normal_quantile.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace slowdawn {
namespace {

/// Two polynomials, the lowest power first; AS 241's names are beside them.
struct Fraction {
  std::array<double, 8> above;
  std::array<double, 8> below;

  double at(double x) const { return polynomial(above, x) / polynomial(below, x); }

 private:
  static double polynomial(const std::array<double, 8>& terms, double x) {
    double sum = 0.0;
    for (auto term = terms.rbegin(); term != terms.rend(); ++term) sum = sum * x + *term;
    return sum;
  }
};

/// A and B: around 1/2.
constexpr Fraction middle{
    {3.3871328727963666080, 133.14166789178437745, 1971.5909503065514427, 13731.693765509461125,
     45921.953931549871457, 67265.770927008700853, 33430.575583588128105, 2509.0809287301226727},
    {1.0, 42.313330701600911252, 687.18700749205790830, 5394.1960214247511077,
     21213.794301586595867, 39307.895800092710610, 28729.085735721942674, 5226.4952788528545610}};
/// C and D: farther out.
constexpr Fraction flank{
    {1.42343711074968357734, 4.63033784615654529590, 5.76949722146069140550, 3.64784832476320460504,
     1.27045825245236838258, 0.241780725177450611770, 0.0227238449892691845833,
     7.74545014278341407640e-4},
    {1.0, 2.05319162663775882187, 1.67638483018380384940, 0.689767334985100004550,
     0.148103976427480074590, 0.0151986665636164571966, 5.47593808499534494600e-4,
     1.05075007164441684324e-9}};
/// E and F: within exp(-25) of 0 or 1.
constexpr Fraction tail{
    {6.65790464350110377720, 5.46378491116411436990, 1.78482653991729133580,
     0.296560571828504891230, 0.0265321895265761230930, 0.00124266094738807843860,
     2.71155556874348757815e-5, 2.01033439929228813265e-7},
    {1.0, 0.599832206555887937690, 0.136929880922735805310, 0.0148753612908506148525,
     7.86869131145613259100e-4, 1.84631831751005468180e-5, 1.42151175831644588870e-7,
     2.04426310338993978564e-15}};

}  // namespace

double normal_quantile(double share) {
  const double from_middle = share - 0.5;
  if (std::abs(from_middle) <= 0.425) {
    return from_middle * middle.at(0.180625 - from_middle * from_middle);
  }
  const double depth = std::sqrt(-std::log(std::min(share, 1.0 - share)));
  const double size = depth <= 5.0 ? flank.at(depth - 1.6) : tail.at(depth - 5.0);
  return std::copysign(size, from_middle);
}

}  // namespace slowdawn
