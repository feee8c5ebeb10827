#pragma once
// A day in the few figures from which its hours are made.

#include <chrono>
#include <limits>
#include <vector>

namespace brinecast::sim {

/// A day counts as wet from here. The smallest amount of a gauge read in hundredths of an inch (0.254 mm, stored by
/// some archives as 0.3 mm) is wet, a trace is not.
inline constexpr double wet_day_rain_m = 0.25e-3;

inline constexpr double missing = std::numeric_limits<double>::quiet_NaN();

/// Local standard time, midnight to midnight.
struct DayOfWeather {
  double rain_m = 0.0;
  double mean_temperature_K = 288.15;  // middle of the lowest and the highest
  double daily_range_K = 10.0;         // highest minus lowest
  double dew_point_K = 283.15;
  double wind_speed_m_per_s = 3.0;  // mean at 10 m
  double clear_sky_index = 0.7;     // the day's global irradiance over that of a clear sky
  double air_pressure_Pa = 101'325.0;

  [[nodiscard]] bool wet() const { return rain_m >= wet_day_rain_m; }
  [[nodiscard]] double lowest_K() const { return mean_temperature_K - 0.5 * daily_range_K; }
  [[nodiscard]] double highest_K() const { return mean_temperature_K + 0.5 * daily_range_K; }
};

/// Consecutive days.
struct DaysOfWeather {
  std::chrono::sys_days first_day{};
  std::vector<DayOfWeather> days;

  [[nodiscard]] std::chrono::sys_days day(std::size_t index) const {
    return first_day + std::chrono::days(static_cast<int>(index));
  }
};

}  // namespace brinecast::sim
