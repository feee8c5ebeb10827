#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <vector>

#include "tests/models/one_pool.hpp"

namespace brinecast::tests {

namespace {

std::vector<double> state_after(Climate const& climate, sim::Pool const& pool, int hours, int steps_an_hour) {
  OnePool running = one_pool(pool, 3600.0 / steps_an_hour);
  run_hours(running, climate, hours);
  std::vector<double> values;
  for (NamedState const& variable : state_variables) {
    values.push_back((running.state().*variable.array)[0]);
  }
  return values;
}

}  // namespace

TEST_CASE("halving the step shrinks the error of every state variable, and the hour is short enough",
          "[models][kernel][convergence]") {
  Climate const climate{.rain_m_per_h = 0.002, .rain_from_h = 16, .rain_hours = 3};
  constexpr int hours = 5 * 24;
  auto const reference = state_after(climate, busy_pool(), hours, 128);
  auto const coarse = state_after(climate, busy_pool(), hours, 1);
  auto const half = state_after(climate, busy_pool(), hours, 2);
  auto const quarter = state_after(climate, busy_pool(), hours, 4);
  std::printf("%-20s %12s %12s %12s   error after 5 days relative to the variable's scale\n", "step", "1 h", "1/2 h",
              "1/4 h");
  for (std::size_t i = 0; i < reference.size(); ++i) {
    NamedState const& variable = state_variables[i];
    double const error_1 = std::fabs(coarse[i] - reference[i]) / variable.scale;
    double const error_2 = std::fabs(half[i] - reference[i]) / variable.scale;
    double const error_4 = std::fabs(quarter[i] - reference[i]) / variable.scale;
    std::printf("%-20s %12.3g %12.3g %12.3g\n", variable.name, error_1, error_2, error_4);
    INFO(variable.name);
    CHECK(error_1 < 0.006);
    // First order or better; errors of either sign that cancel at one step need the room at the bottom.
    CHECK(error_2 < 0.75 * error_1 + 2e-5);
    CHECK(error_4 < 0.45 * error_1 + 5e-5);
  }
}

TEST_CASE("a freezing pool converges too", "[models][kernel][convergence]") {
  Climate const winter{.mean_air_K = 263.15, .air_swing_K = 5.0, .dew_point_K = 258.15, .noon_cos_zenith = 0.4};
  sim::Pool pool = busy_pool();
  pool.start.temperature_K = 274.15;
  auto const ice_after = [&](int steps_an_hour) {
    OnePool running = one_pool(pool, 3600.0 / steps_an_hour);
    running.block().controls.open[0] = 0.0;
    run_hours(running, winter, 10 * 24);
    return running.state().ice_m[0];
  };
  double const reference = ice_after(64);
  double const error_1 = std::fabs(ice_after(1) - reference);
  double const error_2 = std::fabs(ice_after(2) - reference);
  CHECK(reference > 0.02);
  CHECK(error_1 < 0.01 * reference);
  CHECK(error_2 < 0.65 * error_1 + 1e-6);
}

}  // namespace brinecast::tests
