#pragma once
// Inference from replicates. The replicate is the unit: within one, pools share their weather and are no independent
// evidence. Policies meet the same weather and chance in equal replicates, so differences are taken pair by pair.

#include <cstdint>
#include <span>
#include <vector>

namespace brinecast::results {

inline constexpr double confidence = 0.95;
inline constexpr double separating_power = 0.80;
inline constexpr int resamplings = 2000;

struct Interval {
  double mean = 0.0, low = 0.0, high = 0.0;  // limits NaN with fewer than two replicates
};

/// Mean and Student t interval of independent values. Coverage is tested by repeated experiments
/// (tests/results/test_statistics.cpp).
Interval mean_interval(std::span<double const> values, double level = confidence);

struct PairedDifference {
  Interval interval;                  // of the mean of value - baseline
  Interval simultaneous;              // the same, all `comparisons` of one figure covered together (Bonferroni)
  double p_value = 1.0;               // two-sided t test of no difference
  double adjusted_p_value = 1.0;      // by Holm's step-down procedure over the comparisons of one figure
  double replicates_to_separate = 0;  // for `separating_power` at level 1 - confidence; infinite without a difference
};

/// Differences of `policy` to `baseline`, replicate by replicate; both of the same length.
PairedDifference paired_difference(std::span<double const> policy, std::span<double const> baseline,
                                   std::size_t comparisons);

/// Holm's step-down adjustment: controls the chance of any false finding whatever the dependence.
/// S. Holm, Scandinavian Journal of Statistics 6, 65-70, 1979.
std::vector<double> holm_adjusted(std::span<double const> p_values);

/// Replicates that a paired t test needs to find a mean difference with `separating_power`; at least 2, infinite when
/// the difference is zero.
double replicates_to_separate(double mean_difference, double standard_deviation);

/// Probability that each policy has the best expected value, [policy]: the share of `resamplings` joint resamplings of
/// the replicates (bootstrap, pairs kept) in which its mean is best. `values` is [policy][replicate].
std::vector<double> probability_best(std::vector<std::vector<double>> const& values, bool higher_is_better);

/// Quantile of a sample by linear interpolation between order statistics; NaN for an empty one.
double sample_quantile(std::vector<double> values, double p);

}  // namespace brinecast::results
