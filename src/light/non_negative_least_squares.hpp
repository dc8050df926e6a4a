#pragma once

#include <Eigen/Dense>

namespace slowdawn {

/// The x >= 0 that minimises |a x - b|; columns of `a` linearly independent.
/// source: Lawson and Hanson 1974, Solving Least Squares Problems, ch. 23,
///   algorithm NNLS.
Eigen::VectorXd solve_non_negative_least_squares(const Eigen::MatrixXd& a,
                                                 const Eigen::VectorXd& b);

}  // namespace slowdawn
