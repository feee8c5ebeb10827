#pragma once
// The generator's parameters, from monthly climate figures or from measured days.

#include "sim/weather/climate_table.hpp"
#include "sim/weather/generator.hpp"

namespace brinecast::sim {

/// What generated rain is made to have.
struct RainTargets {
  std::array<double, 12> mean_m{};    // of the month's sum
  std::array<double, 12> spread_m{};  // standard deviation of the sum from year to year
  std::array<double, 12> wet_days{};  // mean count
};

/// Moves wet chances, amounts and the slow departure's weight until 400 simulated years have the targets. The months'
/// relations (after a wet or dry day, shape and tail) stay.
void match_rain(RainOfYear& rain, double slow_persistence, RainTargets const& targets);

struct ClimatePlace {
  Position position;
  double elevation_m = 0.0;
  double utc_offset_h = 0.0;
};

/// Pressure of the standard atmosphere, ISO 2533; below 11 km.
double standard_pressure_Pa(double elevation_m);

/// Means on wet and on dry days, in the order of Residual, as measured (not on the normal scales).
struct StateMeans {
  std::array<ResidualVector, 12> dry{}, wet{};
};

/// Sets the means on the normal scales such that those of the quantities themselves are the ones given.
void center_means(GeneratorModel& model, StateMeans const& means);

GeneratorModel generator_from_climate(ClimateTable const& table, ClimatePlace const& place);

/// Needs at least a year of whole days. Parameters of a month lean on its neighbours where its own days are few.
GeneratorModel generator_from_days(DaysOfWeather const& days);

}  // namespace brinecast::sim
