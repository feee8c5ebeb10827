#pragma once
// Whole days of weather from records that measured only part of them.

#include "sim/weather/fit_generator.hpp"
#include "sim/weather/record.hpp"

namespace brinecast::sim {

/// Clear-sky index of a day from its temperature range: the root law of Hargreaves and Samani, Applied Engineering in
/// Agriculture 1, 1985 (from memory), wet days darker.
double sun_from_range(double range_K, bool wet);

/// Days of a complete hourly record (gaps filled). Rain that the record lacks is 0.
DaysOfWeather days_of_hours(HourlyRecord const& record, ClimatePlace const& place);

/// Days of a daily record (gaps filled). What it lacks is taken, day by day, from the day of `companion` that is most
/// alike (within 20 days of the date, wet or dry, temperature and range) - the method of analogues, Zorita and von
/// Storch, J. Climate 12, 1999 (from memory) - or without a companion is estimated:
///   sun from the daily range, sun_from_range();
///   dew point from the low, less a depression that grows with dryness;
///   wind 3 m/s.
/// Says so in the notes. A record without temperature needs a companion that has it.
DaysOfWeather complete_days(DailyRecord const& record, HourlyRecord const* companion, ClimatePlace const& place,
                            std::vector<std::string>& notes);

}  // namespace brinecast::sim
