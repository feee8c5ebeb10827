#include "sim/weather/rain_amount.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

namespace brinecast::sim {

namespace {

double beta_function(double a, double b) { return std::exp(std::lgamma(a) + std::lgamma(b) - std::lgamma(a + b)); }

/// Probability weighted moment E[X F^order] over scale.
double weighted_moment(RainAmount const& law, int order) {
  double const power = law.shape * (order + 1);
  return (power * beta_function(power, 1.0 - law.tail) - 1.0) / (law.tail * (order + 1));
}

struct MomentRatios {
  double variation = 0.0;  // L-moment 2 over 1
  double skewness = 0.0;   // L-moment 3 over 2
};

MomentRatios ratios_of(double b0, double b1, double b2) {
  double const second = 2.0 * b1 - b0;
  return {second / b0, (6.0 * b2 - 6.0 * b1 + b0) / second};
}

MomentRatios ratios_of(RainAmount const& law) {
  return ratios_of(weighted_moment(law, 0), weighted_moment(law, 1), weighted_moment(law, 2));
}

constexpr double lowest_tail = 0.01;
constexpr double highest_tail = 0.35;
constexpr double usual_tail = 0.12;

/// The shape with which a law of this tail has the given L-variation, which falls with the shape.
double shape_of_variation(double tail, double variation) {
  double low = 0.1, high = 8.0;
  for (int step = 0; step < 50; ++step) {
    double const middle = std::sqrt(low * high);
    (ratios_of({middle, tail}).variation > variation ? low : high) = middle;
  }
  return std::sqrt(low * high);
}

}  // namespace

double RainAmount::quantile(double p) const {
  double const exceeded = -std::expm1(std::log(p) / shape);  // 1 - p^(1 / shape)
  return std::expm1(-tail * std::log(exceeded)) / tail;
}

double RainAmount::mean() const { return weighted_moment(*this, 0); }

RainAmount fit_rain_amount(std::span<double const> amounts) {
  std::size_t const n = amounts.size();
  if (n < 20) return {};
  std::vector<double> sorted(amounts.begin(), amounts.end());
  std::sort(sorted.begin(), sorted.end());
  double b0 = 0.0, b1 = 0.0, b2 = 0.0;
  auto const count = static_cast<double>(n);
  for (std::size_t i = 0; i < n; ++i) {
    auto const rank = static_cast<double>(i);
    b0 += sorted[i];
    b1 += sorted[i] * rank / (count - 1.0);
    b2 += sorted[i] * rank * (rank - 1.0) / ((count - 1.0) * (count - 2.0));
  }
  MomentRatios const wanted = ratios_of(b0 / count, b1 / count, b2 / count);
  RainAmount best;
  double best_miss = std::numeric_limits<double>::infinity();
  for (int step = 0; step <= 34; ++step) {
    double const tail = lowest_tail + (highest_tail - lowest_tail) * step / 34.0;
    RainAmount const law{shape_of_variation(tail, wanted.variation), tail};
    // The sampling error of an L-skewness is near 0.5 / sqrt(n) for such laws, tails of stations spread by about 0.06.
    double const skewness_miss = (ratios_of(law).skewness - wanted.skewness) * std::sqrt(count) / 0.5;
    double const tail_miss = (tail - usual_tail) / 0.06;
    double const miss = skewness_miss * skewness_miss + tail_miss * tail_miss;
    if (miss < best_miss) {
      best_miss = miss;
      best = law;
    }
  }
  return best;
}

}  // namespace brinecast::sim
