// The luminous efficiency of light, every 5 nm.
#pragma once

#include <array>

namespace slowdawn::spectrum_tables {

inline constexpr double step_nm = 5.0;

/// V(360 nm) to V(830 nm).
/// source: CIE 018:2019, Table 1 (spectral luminous efficiency for photopic vision, CIE 1924),
///   every fifth value; read in CIE_sle_photopic.csv, DOI 10.25039/CIE.DS.dktna2s3.
inline constexpr double luminous_efficiency_start_nm = 360.0;
inline constexpr std::array<double, 95> luminous_efficiency{
    3.917e-6,  6.965e-6,  1.239e-5,  2.202e-5,  3.9e-5,    6.4e-5,    1.2e-4,    2.17e-4,
    3.96e-4,   6.4e-4,    0.00121,   0.00218,   0.004,     0.0073,    0.0116,    0.01684,
    0.023,     0.0298,    0.038,     0.048,     0.06,      0.0739,    0.09098,   0.1126,
    0.13902,   0.1693,    0.20802,   0.2586,    0.323,     0.4073,    0.503,     0.6082,
    0.71,      0.7932,    0.862,     0.9148501, 0.954,     0.9803,    0.9949501, 1.0,
    0.995,     0.9786,    0.952,     0.9154,    0.87,      0.8163,    0.757,     0.6949,
    0.631,     0.5668,    0.503,     0.4412,    0.381,     0.321,     0.265,     0.217,
    0.175,     0.1382,    0.107,     0.0816,    0.061,     0.04458,   0.032,     0.0232,
    0.017,     0.01192,   0.00821,   0.005723,  0.004102,  0.002929,  0.002091,  0.001484,
    0.001047,  7.4e-4,    5.2e-4,    3.611e-4,  2.492e-4,  1.719e-4,  1.2e-4,    8.48e-5,
    6e-5,      4.24e-5,   3e-5,      2.12e-5,   1.499e-5,  1.06e-5,   7.4657e-6, 5.2578e-6,
    3.7029e-6, 2.6078e-6, 1.8366e-6, 1.2934e-6, 9.1093e-7, 6.4153e-7, 4.5181e-7};

}  // namespace slowdawn::spectrum_tables
