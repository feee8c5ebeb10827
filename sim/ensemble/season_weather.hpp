#pragma once
// The weather of one replicate at every site, prepared for the hourly kernel and for what the company knows.

#include <vector>

#include "sim/fleet/forcing.hpp"
#include "sim/scenario/scenario.hpp"
#include "sim/weather/weather.hpp"

namespace brinecast::sim {

/// One site's season. Daily series are what everybody in the company can look up afterwards.
struct SiteSeason {
  std::vector<HourForcing> hours;     // [hour]
  std::vector<double> rain_m;         // [day], depth
  std::vector<double> air_mean_K;     // [day]
  std::vector<double> air_highest_K;  // [day]
};

/// All sites of a replicate, [site]; the same for every policy.
struct SeasonWeather {
  std::vector<SiteSeason> sites;
};

SeasonWeather season_weather(WeatherSource const& source, Scenario const& scenario, std::uint32_t replicate);

}  // namespace brinecast::sim
