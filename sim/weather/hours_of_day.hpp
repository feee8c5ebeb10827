#pragma once
// Hours made from days: a temperature curve through the lowest and the highest, a nearly constant dew point, wind with
// an afternoon peak, the day's sun shared out over the clear sky, and rain in storms of a few hours.

#include <chrono>

#include "sim/weather/day_of_weather.hpp"
#include "sim/weather/generator.hpp"
#include "sim/weather/weather.hpp"

namespace brinecast::sim {

struct HoursSetting {
  Position position;
  double utc_offset_h = 0.0;
};

/// 24 hours for each day but the first and the last, which only lead in and out. At least three days.
WeatherSeason hours_of_days(DaysOfWeather const& days, HoursSetting const& setting, SiteField const& field,
                            GeneratedPlace const& place);

/// Rain of the 24 hours of a day whose total is given; the sum is the total.
std::array<double, 24> storms_of_day(double rain_m, double mean_temperature_K, SiteField const& field,
                                     GeneratedPlace const& place, std::chrono::sys_days day);

}  // namespace brinecast::sim
