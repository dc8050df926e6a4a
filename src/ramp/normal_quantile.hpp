#pragma once

namespace slowdawn {

/// The value that a standard normal variable stays below with a probability.
/// share: in (0, 1).
/// Accurate to about 1e-15, relative.
/// source: Wichura 1988, "Algorithm AS 241: the percentage points of the normal
///   distribution", Applied Statistics 37(3), 477-484, PPND16.
double normal_quantile(double share);

}  // namespace slowdawn
