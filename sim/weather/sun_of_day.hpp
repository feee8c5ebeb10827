#pragma once
// The sun over one place on one day, hour by hour of local standard time.

#include <array>
#include <chrono>

#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

struct HourOfSun {
  double cos_zenith = 0.0;          // mean of the daylit part, 0 at night
  double daylit_share = 0.0;        // of the hour
  double clear_sky_W_per_m2 = 0.0;  // mean of the hour, on a horizontal surface
  double above_air_W_per_m2 = 0.0;  // mean of the hour, on a horizontal surface above the atmosphere
};

struct DayOfSun {
  std::array<HourOfSun, 24> hours;
  double sunrise_h = 6.0;  // clock; 6 and 18 on days when the sun does not cross the horizon
  double sunset_h = 18.0;
  double clear_sky_sum = 0.0;  // of the hours' W/m2
};

DayOfSun sun_of_day(Position const& place, double utc_offset_h, std::chrono::sys_days day);

}  // namespace brinecast::sim
