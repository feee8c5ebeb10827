#include "sim/weather/complete_hours.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "models/sun/irradiance.hpp"
#include "sim/weather/complete_days.hpp"
#include "sim/weather/sun_of_day.hpp"

namespace brinecast::sim {

namespace {

bool never_measured(HourlyRecord const& record, double HourOfRecord::*member) {
  return std::all_of(record.hours.begin(), record.hours.end(),
                     [&](HourOfRecord const& hour) { return std::isnan(hour.*member); });
}

double daily_rain_m(HourlyRecord const& record, std::size_t day) {
  double sum = 0.0;
  for (std::size_t h = 24 * day; h < 24 * day + 24; ++h) {
    if (!std::isnan(record.hours[h].rain_m)) sum += record.hours[h].rain_m;
  }
  return sum;
}

struct RainPair {
  double hourly_m = 0.0, daily_m = 0.0;
  int months = 0;
};

/// Rain of the months that both records measured: the same real months.
RainPair same_months(HourlyRecord const& hourly, DailyRecord const& daily) {
  RainPair pair;
  std::array<double, 12> hourly_m{};
  for (std::size_t d = 0; d < hourly.days(); ++d) {
    DayInYear const when = day_in_year(hourly.first_day + std::chrono::days(static_cast<int>(d)));
    if (hourly.typical_year) hourly_m[when.month] += daily_rain_m(hourly, d);
  }
  for (std::size_t m = 0; hourly.typical_year && m < 12; ++m) {
    std::chrono::year_month const month = std::chrono::year{hourly.real_year[m]} / static_cast<int>(m + 1);
    std::chrono::sys_days const first = month / 1, end = (month + std::chrono::months(1)) / 1;
    if (first < daily.first_day || end > daily.end()) continue;
    double sum = 0.0;
    for (auto day = first; day < end; day += std::chrono::days(1)) {
      sum += daily.days[static_cast<std::size_t>((day - daily.first_day).count())].rain_m;
    }
    if (std::isnan(sum)) continue;
    pair.hourly_m += hourly_m[m];
    pair.daily_m += sum;
    ++pair.months;
  }
  return pair;
}

/// Rain of a mean year in both.
RainPair mean_years(HourlyRecord const& hourly, DailyRecord const& daily) {
  RainPair pair;
  double measured_days = 0.0;
  for (std::size_t d = 0; d < hourly.days(); ++d) pair.hourly_m += daily_rain_m(hourly, d);
  pair.hourly_m *= 365.2425 / static_cast<double>(hourly.days());
  for (auto const& day : daily.days) {
    if (std::isnan(day.rain_m)) continue;
    pair.daily_m += day.rain_m;
    measured_days += 1.0;
  }
  if (measured_days > 0.0) pair.daily_m *= 365.2425 / measured_days;
  return pair;
}

}  // namespace

void check_rain(HourlyRecord& hourly, DailyRecord const& daily, std::vector<std::string>& notes) {
  if (!hourly.has_rain()) return;
  RainPair pair = same_months(hourly, daily);
  bool const same = pair.months >= 3;
  if (!same) pair = mean_years(hourly, daily);
  if (pair.daily_m <= 0.0 || pair.hourly_m <= 0.0) return;
  double ratio = pair.hourly_m / pair.daily_m;
  std::string const compared = same ? fmt::format("in the {} months that both have", pair.months) : "in a mean year";
  // Catch of an hourly gauge stays above a third of the daily one and a typical year below three mean ones.
  for (double const factor : {10.0, 0.1, 25.4, 1.0 / 25.4}) {
    if (ratio / factor < 0.4 || ratio / factor > 1.6) continue;
    for (auto& hour : hourly.hours) hour.rain_m /= factor;
    notes.push_back(
        fmt::format("the hourly rain is {:.3g} times that of the daily record {}: its unit is not what its header "
                    "says; it was divided by {:.3g}",
                    ratio, compared, factor));
    ratio /= factor;
    pair.hourly_m /= factor;
    break;
  }
  if (ratio < 0.9 || ratio > 1.1) {
    notes.push_back(
        fmt::format("the hourly file has {:.1f} mm of rain where the daily record has {:.1f} mm {} ({:.0f} %); the "
                    "daily record counts",
                    pair.hourly_m * 1e3, pair.daily_m * 1e3, compared, 100.0 * ratio));
  }
}

void complete_hours(HourlyRecord& record, ClimatePlace const& place, std::vector<std::string>& notes) {
  bool const dew_point = never_measured(record, &HourOfRecord::dew_point_K);
  bool const sun_missing = never_measured(record, &HourOfRecord::global_irradiance_W_per_m2);
  bool const wind = never_measured(record, &HourOfRecord::wind_speed_m_per_s);
  double const pressure_Pa = standard_pressure_Pa(place.elevation_m);
  if (dew_point) notes.push_back("dew point: not in the file, taken as the day's lowest temperature");
  if (sun_missing) notes.push_back("sun: not in the file, estimated from the daily range of temperature (Hargreaves)");
  if (wind) notes.push_back("wind: not in the file, taken as 3 m/s");
  for (std::size_t d = 0; d < record.days(); ++d) {
    DayOfSun const sun =
        sun_of_day(place.position, place.utc_offset_h, record.first_day + std::chrono::days(static_cast<int>(d)));
    double lowest = 1e9, highest = 0.0;
    for (std::size_t h = 0; h < 24; ++h) {
      lowest = std::min(lowest, record.hours[24 * d + h].air_temperature_K);
      highest = std::max(highest, record.hours[24 * d + h].air_temperature_K);
    }
    double const index = sun_from_range(highest - lowest, daily_rain_m(record, d) >= wet_day_rain_m);
    for (std::size_t h = 0; h < 24; ++h) {
      HourOfRecord& hour = record.hours[24 * d + h];
      HourOfSun const& in_sky = sun.hours[h];
      if (std::isnan(hour.dew_point_K)) hour.dew_point_K = lowest;
      hour.dew_point_K = std::min(hour.dew_point_K, hour.air_temperature_K);
      if (std::isnan(hour.wind_speed_m_per_s)) hour.wind_speed_m_per_s = 3.0;
      if (std::isnan(hour.air_pressure_Pa)) hour.air_pressure_Pa = pressure_Pa;
      if (std::isnan(hour.global_irradiance_W_per_m2)) {
        hour.global_irradiance_W_per_m2 = index * in_sky.clear_sky_W_per_m2;
        hour.diffuse_irradiance_W_per_m2 = missing;
      }
      double const global = hour.global_irradiance_W_per_m2;
      if (std::isnan(hour.diffuse_irradiance_W_per_m2)) {
        double const clearness =
            in_sky.above_air_W_per_m2 > 0.0 ? std::min(1.0, global / in_sky.above_air_W_per_m2) : 0.0;
        hour.diffuse_irradiance_W_per_m2 = global * models::diffuse_share(clearness);
      }
      hour.diffuse_irradiance_W_per_m2 = std::min(hour.diffuse_irradiance_W_per_m2, global);
    }
  }
}

}  // namespace brinecast::sim
