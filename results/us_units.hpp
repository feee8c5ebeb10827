#pragma once
// US customary units of the tables: international pound and mile, US gallon (NIST Handbook 44, appendix C).

namespace brinecast::results {

inline constexpr double pounds_per_kg = 1.0 / 0.45359237;
inline constexpr double us_gallons_per_m3 = 1000.0 / 3.785411784;
inline constexpr double miles_per_m = 1.0 / 1609.344;

}  // namespace brinecast::results
