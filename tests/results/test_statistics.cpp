#include "results/statistics.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "sim/random/random.hpp"

using namespace brinecast;

namespace {

double normal(std::uint32_t experiment, std::uint32_t stream, std::uint32_t index) {
  return sim::normal_draw(
      {.seed = 11, .replicate = experiment, .pool = stream, .purpose = sim::Purpose::resample, .index = index});
}

/// Share of 1,000 experiments of `replicates` pairs whose interval holds the true mean difference.
template <class Difference>
double coverage(std::uint32_t replicates, double truth, Difference const& pair) {
  int covered = 0;
  for (std::uint32_t experiment = 0; experiment < 1000; ++experiment) {
    std::vector<double> a, b;
    for (std::uint32_t i = 0; i < replicates; ++i) {
      auto const [x, y] = pair(experiment, i);
      a.push_back(x);
      b.push_back(y);
    }
    auto const interval = results::paired_difference(a, b, 1).interval;
    covered += interval.low <= truth && truth <= interval.high ? 1 : 0;
  }
  return covered / 1000.0;
}

}  // namespace

TEST_CASE("a t interval agrees with a worked example", "[results][statistics][published]") {
  // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2: upper critical value of t, 0.975, 9 degrees: 2.262.
  std::vector<double> const values = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10};
  auto const interval = results::mean_interval(values);
  CHECK(interval.mean == Approx(5.5));
  double const standard_error = std::sqrt(55.0 / 6.0) / std::sqrt(10.0);
  CHECK((interval.high - interval.mean) / standard_error == Approx(2.262).margin(5e-4));
}

// The draws are fixed, so these cannot fail by chance; for fresh draws, a true coverage of 95 % would leave 93-97 % in
// 0.4 % of runs of 1,000 experiments.
TEST_CASE("95 % intervals of paired differences cover 93-97 % of 1,000 experiments",
          "[results][statistics][statistics]") {
  // Weather common to both policies, own chance for each.
  auto const share = [](double z) { return 1.0 / (1.0 + std::exp(-(1.5 + 0.4 * z))); };
  SECTION("normal differences, 5 and 20 replicates") {
    auto const pair = [](std::uint32_t e, std::uint32_t i) {
      double const weather = 5.0 * normal(e, 0, i);
      return std::pair{2.0 + weather + normal(e, 1, i), weather + normal(e, 2, i)};
    };
    for (std::uint32_t const n : {5U, 20U}) {
      double const c = coverage(n, 2.0, pair);
      CHECK(c >= 0.93);
      CHECK(c <= 0.97);
    }
  }
  SECTION("shares in range near their ceiling, 20 replicates") {
    // Both shares have the same distribution, so their mean difference is 0.
    auto const pair = [&](std::uint32_t e, std::uint32_t i) {
      double const weather = normal(e, 0, i);
      return std::pair{share(weather + normal(e, 1, i)), share(weather + normal(e, 2, i))};
    };
    double const c = coverage(20, 0.0, pair);
    CHECK(c >= 0.93);
    CHECK(c <= 0.97);
  }
  SECTION("skewed costs, one policy's with a larger mean, 20 replicates") {
    // Lognormal own parts: E exp(s z) = exp(s^2 / 2).
    double const s = 0.4;
    auto const pair = [&](std::uint32_t e, std::uint32_t i) {
      double const weather = std::exp(normal(e, 0, i));
      return std::pair{1.5 * std::exp(s * normal(e, 1, i)) + weather, std::exp(s * normal(e, 2, i)) + weather};
    };
    double const c = coverage(20, 0.5 * std::exp(s * s / 2.0), pair);
    CHECK(c >= 0.93);
    CHECK(c <= 0.97);
  }
  SECTION("counts of call-outs, 20 replicates") {
    auto const pair = [](std::uint32_t e, std::uint32_t i) {
      auto const count = [&](std::uint32_t stream, double mean) {
        return static_cast<double>(sim::poisson_draw(
            {.seed = 12, .replicate = e, .pool = stream, .purpose = sim::Purpose::resample, .index = i}, mean));
      };
      return std::pair{count(1, 12.0), count(2, 9.0)};
    };
    double const c = coverage(20, 3.0, pair);
    CHECK(c >= 0.93);
    CHECK(c <= 0.97);
  }
}

TEST_CASE("Holm's adjustment controls false findings over five equal policies", "[results][statistics][statistics]") {
  int wrong = 0, wrong_uncorrected = 0;
  for (std::uint32_t e = 0; e < 1000; ++e) {
    std::vector<std::vector<double>> values(6);
    for (std::uint32_t p = 0; p < 6; ++p) {
      for (std::uint32_t i = 0; i < 20; ++i) values[p].push_back(normal(e, p, i));
    }
    std::vector<double> p_values;
    for (std::size_t p = 1; p < 6; ++p) p_values.push_back(results::paired_difference(values[p], values[0], 5).p_value);
    auto const any_below = [](std::vector<double> const& ps) {
      return std::any_of(ps.begin(), ps.end(), [](double p) { return p < 0.05; });
    };
    wrong += any_below(results::holm_adjusted(p_values)) ? 1 : 0;
    wrong_uncorrected += any_below(p_values) ? 1 : 0;
  }
  CHECK(wrong <= 65);  // 5 % and 2.2 standard errors; fixed draws
  CHECK(wrong_uncorrected > 100);
}

TEST_CASE("Holm's adjustment agrees with a worked example", "[results][statistics][unit]") {
  // By hand: 4 x 0.005, then 3 x 0.01, 2 x 0.03, 1 x 0.04 raised to its predecessor.
  auto const adjusted = results::holm_adjusted(std::vector<double>{0.01, 0.04, 0.03, 0.005});
  CHECK(adjusted[0] == Approx(0.03));
  CHECK(adjusted[1] == Approx(0.06));
  CHECK(adjusted[2] == Approx(0.06));
  CHECK(adjusted[3] == Approx(0.02));
}

TEST_CASE("what is not known is no finding", "[results][statistics][unit]") {
  double const unknown = std::nan("");
  std::vector<double> const never_open{unknown, unknown, unknown}, open{0.5, 0.6, 0.7};
  auto const difference = results::paired_difference(never_open, open, 1);
  CHECK(difference.p_value == 1.0);
  CHECK(std::isnan(difference.interval.mean));
  auto const adjusted = results::holm_adjusted(std::vector<double>{unknown, 0.01, 0.04});
  CHECK(adjusted[0] == 1.0);
  CHECK(adjusted[1] == Approx(0.03));
  CHECK(adjusted[2] == Approx(0.08));
}

TEST_CASE("the replicates said to separate two policies do so with the power stated",
          "[results][statistics][statistics]") {
  double const difference = 0.8, deviation = 1.0;
  double const needed = results::replicates_to_separate(difference, deviation);
  // Cohen, Statistical Power Analysis, 1988: a paired effect of 0.8 needs 15 pairs for a power of 0.80 (from memory).
  CHECK(needed == Approx(15.0).margin(1.0));
  int found = 0;
  for (std::uint32_t e = 0; e < 1000; ++e) {
    std::vector<double> a, b;
    for (std::uint32_t i = 0; i < static_cast<std::uint32_t>(needed); ++i) {
      a.push_back(difference + deviation * normal(e, 3, i));
      b.push_back(0.0);
    }
    found += results::paired_difference(a, b, 1).p_value < 0.05 ? 1 : 0;
  }
  CHECK(found >= 760);  // 80 % less 3 standard errors
  CHECK(found <= 860);
  CHECK(std::isinf(results::replicates_to_separate(0.0, 1.0)));
}

TEST_CASE("probabilities of being best add up and follow the evidence", "[results][statistics][unit]") {
  std::vector<std::vector<double>> values(3);
  for (std::uint32_t i = 0; i < 20; ++i) {
    double const weather = 10.0 * normal(1, 0, i);
    values[0].push_back(weather);
    values[1].push_back(weather + 1.0 + 0.5 * normal(1, 1, i));
    values[2].push_back(weather + 1.0 + 0.5 * normal(1, 2, i));
  }
  auto const more = results::probability_best(values, true);
  CHECK(more[0] + more[1] + more[2] == Approx(1.0));
  CHECK(more[0] < 0.001);
  CHECK(results::probability_best(values, false)[0] > 0.999);
  auto const equal = results::probability_best({{1, 2}, {1, 2}}, true);
  CHECK(equal[0] == Approx(0.5));
}

TEST_CASE("quantiles of a sample interpolate between order statistics", "[results][statistics][unit]") {
  CHECK(results::sample_quantile({4, 1, 3, 2}, 0.5) == Approx(2.5));
  CHECK(results::sample_quantile({4, 1, 3, 2}, 0.0) == 1.0);
  CHECK(results::sample_quantile({4, 1, 3, 2}, 1.0) == 4.0);
  CHECK(std::isnan(results::sample_quantile({}, 0.5)));
}
