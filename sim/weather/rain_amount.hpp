#pragma once
// Rain of a wet day: an extended generalised Pareto distribution, F(x) = H(x / scale)^shape with the generalised Pareto
// distribution H of the given tail. One formula from drizzle to cloudburst, with a tail that keeps heavy storms.
// Naveau, Huser, Ribereau, Hannart, "Modeling jointly low, moderate, and heavy rainfall intensities without a threshold
// selection", Water Resources Research 52, 2016 (from memory).

#include <span>

namespace brinecast::sim {

struct RainAmount {
  double shape = 0.7;  // below 1: many small amounts
  double tail = 0.12;  // 0 falls off exponentially; 0.12 is the worldwide mean of Papalexiou and Koutsoyiannis 2013
                       // (from memory), used where a record is too short to tell

  /// Amount over scale that is exceeded with probability 1 - p, p in (0, 1).
  [[nodiscard]] double quantile(double p) const;
  /// Mean over scale; tail < 1.
  [[nodiscard]] double mean() const;
};

/// The shape and tail whose L-moment ratios come nearest to those of the amounts (any unit, any order, sorted here),
/// the tail drawn towards 0.12 where there are few. Needs at least 20 amounts, else the defaults.
RainAmount fit_rain_amount(std::span<double const> amounts);

}  // namespace brinecast::sim
