#pragma once
// Whole hours of weather from hourly records that measured only part of them.

#include "sim/weather/fit_generator.hpp"
#include "sim/weather/record.hpp"

namespace brinecast::sim {

/// Gives every hour of a record (gaps filled) what the file never measured, and says so: dew point from the day's
/// lowest temperature, sun from the daily range, wind 3 m/s, pressure from the height, diffuse light from clearness.
/// The record must have temperature; rain stays as it is.
void complete_hours(HourlyRecord& record, ClimatePlace const& place, std::vector<std::string>& notes);

/// Sets rain right where a daily record of the same place shows that it is wrong by a factor near ten, and says what an
/// hourly rain column misses. The months compared are the real months of a typical year where the daily record has
/// them, else the yearly means.
void check_rain(HourlyRecord& hourly, DailyRecord const& daily, std::vector<std::string>& notes);

}  // namespace brinecast::sim
