#pragma once
// The physics is written once over a lane type: `double` here, several pools at a time in sim/fleet/vector_lanes.hpp.
// Every lane type offers + - * / and comparisons, and by argument-dependent lookup exp, log, sqrt, min, max, select,
// any.

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace brinecast::models {

inline double exp(double x) { return std::exp(x); }
inline double log(double x) { return std::log(x); }
inline double sqrt(double x) { return std::sqrt(x); }
inline double abs(double x) { return std::fabs(x); }
inline double min(double a, double b) { return a < b ? a : b; }
inline double max(double a, double b) { return a > b ? a : b; }
/// `a` where the condition holds, else `b`. Both are evaluated.
inline double select(bool condition, double a, double b) { return condition ? a : b; }
/// Whether the condition holds in any lane.
inline bool any(bool condition) { return condition; }

inline constexpr double ln10 = 2.302585092994045684;

/// 10^x.
template <class Lanes>
Lanes exp10(Lanes x) {
  return exp(x * ln10);
}
/// 10^x of several at once. A loop that stays one: the kernel's code is fetched anew for every few pools, and copies of
/// an exponential make it longer than the processor's cache for instructions.
template <class Lanes, std::size_t count>
void raise_ten_to(Lanes (&exponents)[count]) {
#pragma GCC unroll 1
  for (Lanes& exponent : exponents) exponent = exp10(exponent);
}
/// log10(x), x > 0.
template <class Lanes>
Lanes log10(Lanes x) {
  return log(x) * (1.0 / ln10);
}
/// x^y for x > 0.
template <class Lanes>
Lanes power(Lanes x, double y) {
  return exp(log(x) * y);
}
/// x limited to [low, high].
template <class Lanes>
Lanes clamp(Lanes x, Lanes low, Lanes high) {
  return min(max(x, low), high);
}

}  // namespace brinecast::models
