#include "results/statistics.hpp"

#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <limits>
#include <numeric>

#include "sim/random/random.hpp"

namespace brinecast::results {

namespace {

constexpr double no_number = std::numeric_limits<double>::quiet_NaN();
constexpr double unbounded = std::numeric_limits<double>::infinity();

struct Moments {
  double mean = 0.0, standard_deviation = no_number;
};

Moments moments_of(std::span<double const> values) {
  if (values.empty()) return {no_number, no_number};
  auto const n = static_cast<double>(values.size());
  double const mean = std::accumulate(values.begin(), values.end(), 0.0) / n;
  if (values.size() < 2) return {mean, no_number};
  double squares = 0.0;
  for (double const value : values) squares += (value - mean) * (value - mean);
  return {mean, std::sqrt(squares / (n - 1.0))};
}

double t_quantile(double p, std::size_t replicates) {
  return boost::math::quantile(boost::math::students_t(static_cast<double>(replicates - 1)), p);
}

Interval interval_of(Moments const& moments, std::size_t replicates, double level) {
  if (replicates < 2) return {moments.mean, no_number, no_number};
  double const half = t_quantile(0.5 + level / 2.0, replicates) * moments.standard_deviation /
                      std::sqrt(static_cast<double>(replicates));
  return {moments.mean, moments.mean - half, moments.mean + half};
}

}  // namespace

Interval mean_interval(std::span<double const> values, double level) {
  return interval_of(moments_of(values), values.size(), level);
}

PairedDifference paired_difference(std::span<double const> policy, std::span<double const> baseline,
                                   std::size_t comparisons) {
  std::vector<double> differences(policy.size());
  std::transform(policy.begin(), policy.end(), baseline.begin(), differences.begin(), std::minus<>{});
  auto const moments = moments_of(differences);
  std::size_t const n = differences.size();
  PairedDifference result;
  result.interval = interval_of(moments, n, confidence);
  result.simultaneous =
      interval_of(moments, n, 1.0 - (1.0 - confidence) / static_cast<double>(std::max<std::size_t>(comparisons, 1)));
  result.replicates_to_separate = replicates_to_separate(moments.mean, moments.standard_deviation);
  if (n >= 2 && moments.standard_deviation > 0.0) {
    double const t = std::fabs(moments.mean) / moments.standard_deviation * std::sqrt(static_cast<double>(n));
    result.p_value =
        2.0 * boost::math::cdf(boost::math::complement(boost::math::students_t(static_cast<double>(n - 1)), t));
  } else if (n >= 2 && !std::isnan(moments.mean)) {
    result.p_value = moments.mean == 0.0 ? 1.0 : 0.0;  // the same difference in every replicate
  }
  result.adjusted_p_value = result.p_value;
  return result;
}

std::vector<double> holm_adjusted(std::span<double const> p_values) {
  std::vector<std::size_t> order(p_values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  // What is not known differs from nothing.
  auto const known = [&](std::size_t i) { return std::isnan(p_values[i]) ? 1.0 : p_values[i]; };
  std::stable_sort(order.begin(), order.end(), [&](auto a, auto b) { return known(a) < known(b); });
  std::vector<double> adjusted(p_values.size());
  double largest = 0.0;
  for (std::size_t i = 0; i < order.size(); ++i) {
    largest = std::max(largest, std::min(1.0, static_cast<double>(order.size() - i) * known(order[i])));
    adjusted[order[i]] = largest;
  }
  return adjusted;
}

double replicates_to_separate(double mean_difference, double standard_deviation) {
  if (!(std::fabs(mean_difference) > 0.0)) return unbounded;
  if (!(standard_deviation > 0.0)) return 2.0;
  double const effect = standard_deviation / std::fabs(mean_difference);
  double const z =
      sim::standard_normal_quantile(0.5 + confidence / 2.0) + sim::standard_normal_quantile(separating_power);
  // The t test needs a little more than the normal one; a few rounds settle n.
  double n = std::max(2.0, std::ceil(z * z * effect * effect));
  if (n > 1e6) return n;
  for (int round = 0; round < 20; ++round) {
    auto const whole = static_cast<std::size_t>(n);
    double const t = t_quantile(0.5 + confidence / 2.0, whole) + t_quantile(separating_power, whole);
    double const next = std::max(2.0, std::ceil(t * t * effect * effect));
    if (next == n) break;
    // From far below, t quantiles of few degrees of freedom overshoot; creeping up finds the first n that suffices.
    n = next > n ? n + 1.0 : next;
  }
  return n;
}

std::vector<double> probability_best(std::vector<std::vector<double>> const& values, bool higher_is_better) {
  std::vector<double> wins(values.size(), 0.0);
  std::size_t const replicates = values.empty() ? 0 : values.front().size();
  if (replicates == 0) return wins;
  std::vector<double> sums(values.size());
  for (int i = 0; i < resamplings; ++i) {
    std::fill(sums.begin(), sums.end(), 0.0);
    for (std::size_t k = 0; k < replicates; ++k) {
      double const u = sim::uniform_draw({.replicate = static_cast<std::uint32_t>(i),
                                          .purpose = sim::Purpose::resample,
                                          .index = static_cast<std::uint32_t>(k)});
      auto const drawn = static_cast<std::size_t>(u * static_cast<double>(replicates));
      for (std::size_t p = 0; p < values.size(); ++p) sums[p] += values[p][drawn];
    }
    double const best =
        higher_is_better ? *std::max_element(sums.begin(), sums.end()) : *std::min_element(sums.begin(), sums.end());
    auto const ties = static_cast<double>(std::count(sums.begin(), sums.end(), best));
    for (std::size_t p = 0; p < values.size(); ++p) {
      if (sums[p] == best) wins[p] += 1.0 / ties;
    }
  }
  for (double& win : wins) win /= resamplings;
  return wins;
}

double sample_quantile(std::vector<double> values, double p) {
  if (values.empty()) return no_number;
  std::sort(values.begin(), values.end());
  double const at = p * static_cast<double>(values.size() - 1);
  auto const below = static_cast<std::size_t>(at);
  std::size_t const above = std::min(below + 1, values.size() - 1);
  return values[below] + (at - static_cast<double>(below)) * (values[above] - values[below]);
}

}  // namespace brinecast::results
