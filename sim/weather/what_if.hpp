#pragma once
// Weather bent for a what-if: wetter or drier, warmer, a named storm, a heat wave.

#include "sim/weather/weather.hpp"

namespace brinecast::sim {

/// Applies the scenario's levers to a season that starts on `first_day`. Warming lifts the dew point as much as the
/// air, so that relative humidity stays nearly as it was (IPCC practice for simple scenarios, from memory). A named
/// storm adds its rain from noon on, at an even rate, under a dark sky.
void bend_season(WeatherSeason& season, std::chrono::sys_days first_day, WeatherSpec const& spec);

/// Moves a season up by so many metres from where it was made: air and dew point by 6.5 K/km, pressure with the
/// standard atmosphere (ISO 2533).
void move_to_height(WeatherSeason& season, double higher_m);

}  // namespace brinecast::sim
