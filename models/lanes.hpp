#pragma once
// The physics is written once over a lane type: `double` here, several pools at a time in sim/fleet/vector_lanes.hpp.
// Every lane type offers + - * / and comparisons, and by argument-dependent lookup exp, log, sqrt, min, max, select,
// any.

#include <algorithm>
#include <array>
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
/// 1 / x of several numbers at once, none of them 0 and their product a normal number: one division, which costs a
/// processor as much as some ten multiplications, and three multiplications for each number after the first. Within a
/// few units in the last place. P. L. Montgomery 1987, simultaneous inversion; from memory. Check: 1 / 3, 1 / 7e-20 and
/// 1 / 11 at once.
template <class Lanes, class... More>
std::array<Lanes, 1 + sizeof...(More)> inverses(Lanes first, More... more) {
  constexpr std::size_t count = 1 + sizeof...(More);
  std::array<Lanes, count> const numbers = {first, more...};
  std::array<Lanes, count> products = numbers;  // of the numbers so far
#pragma GCC unroll 8
  for (std::size_t i = 1; i < count; ++i) products[i] = products[i - 1] * numbers[i];
  std::array<Lanes, count> inverse;
  Lanes rest = 1.0 / products.back();  // of the product of those still to do
#pragma GCC unroll 8
  for (std::size_t i = count - 1; i > 0; --i) {
    inverse[i] = rest * products[i - 1];
    rest *= numbers[i];
  }
  inverse[0] = rest;
  return inverse;
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
