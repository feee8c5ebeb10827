#include "sim/weather/complete_days.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "models/constants.hpp"
#include "sim/weather/sun_of_day.hpp"

namespace brinecast::sim {

namespace {

/// Extraterrestrial irradiance, mean of the day.
double above_air_mean_W_per_m2(DayOfSun const& sun) {
  double sum = 0.0;
  for (auto const& hour : sun.hours) sum += hour.above_air_W_per_m2;
  return sum / 24.0;
}

/// Mean depression of the dew point below the low: none where rain covers the potential evaporation, 8 K where it
/// covers a tenth, logarithmic between: assumption, no source. Potential evaporation by Hargreaves.
double dew_point_depression_K(DailyRecord const& record, ClimatePlace const& place) {
  double rain_m = 0.0, potential_m = 0.0;
  for (std::size_t d = 0; d < record.days.size(); ++d) {
    DayOfRecord const& day = record.days[d];
    if (std::isnan(day.rain_m) || std::isnan(day.high_K) || std::isnan(day.low_K)) continue;
    rain_m += day.rain_m;
    double const above_air_MJ =
        above_air_mean_W_per_m2(sun_of_day(place.position, place.utc_offset_h, record.day(d))) * 0.0864;
    double const mean_C = 0.5 * (day.high_K + day.low_K) - models::celsius_zero_K;
    potential_m += 1e-3 * std::max(0.0, 0.0023 * 0.408 * above_air_MJ * (mean_C + 17.8) *
                                            std::sqrt(std::max(0.0, day.high_K - day.low_K)));
  }
  if (potential_m <= 0.0) return 0.0;
  return 8.0 * std::clamp(-std::log10(std::max(1e-3, rain_m / potential_m)), 0.0, 1.5);
}

/// Days of the typical year around each date.
class Analogues {
 public:
  Analogues(HourlyRecord const& companion, ClimatePlace const& place)
      : days_(days_of_hours(companion, place)), rain_known_(companion.has_rain()) {
    for (std::size_t d = 0; d < days_.days.size(); ++d) by_calendar_[calendar_place(days_.day(d))].push_back(d);
  }

  /// The day most like `day`, of those within 20 days of the date.
  [[nodiscard]] DayOfWeather const& nearest(DayOfRecord const& day, std::chrono::sys_days date) const {
    bool const warmth_known = !std::isnan(day.high_K) && !std::isnan(day.low_K);
    bool const wet = day.rain_m >= wet_day_rain_m;
    int const middle = static_cast<int>(calendar_place(date));
    DayOfWeather const* best = &days_.days.front();
    double best_miss = 1e300;
    for (int distance = -20; distance <= 20; ++distance) {
      for (std::size_t const candidate : by_calendar_[static_cast<std::size_t>((middle + distance + 366) % 366)]) {
        DayOfWeather const& other = days_.days[candidate];
        double miss = 0.01 * std::abs(distance);
        if (rain_known_ && !std::isnan(day.rain_m) && other.wet() != wet) miss += 10.0;
        if (warmth_known) {
          double const warmer = (0.5 * (day.high_K + day.low_K) - other.mean_temperature_K) / 5.0;
          double const wider = (day.high_K - day.low_K - other.daily_range_K) / 4.0;
          miss += warmer * warmer + wider * wider;
        }
        if (miss < best_miss) {
          best_miss = miss;
          best = &other;
        }
      }
    }
    return *best;
  }

 private:
  /// Day of a leap year, 0 to 365.
  static std::size_t calendar_place(std::chrono::sys_days date) {
    std::chrono::year_month_day const ymd{date};
    std::chrono::sys_days const in_leap_year{std::chrono::year{2000} / ymd.month() / ymd.day()};
    return static_cast<std::size_t>((in_leap_year - std::chrono::sys_days{std::chrono::year{2000} / 1 / 1}).count());
  }

  DaysOfWeather days_;
  bool rain_known_;
  std::array<std::vector<std::size_t>, 366> by_calendar_;
};

}  // namespace

double sun_from_range(double range_K, bool wet) {
  // Their 0.16 is a share of the extraterrestrial radiation, of which a clear sky leaves 0.72. Wet days keep three
  // quarters: assumption, no source.
  return std::clamp((wet ? 0.75 : 1.0) * 0.16 / 0.72 * std::sqrt(std::max(0.5, range_K)), 0.08, 1.0);
}

DaysOfWeather days_of_hours(HourlyRecord const& record, ClimatePlace const& place) {
  DaysOfWeather made{record.first_day, {}};
  for (std::size_t d = 0; d < record.days(); ++d) {
    DayOfSun const sun = sun_of_day(place.position, place.utc_offset_h, made.day(d));
    double lowest = 1e9, highest = 0.0, dew_point = 0.0, wind = 0.0, pressure = 0.0, irradiance = 0.0, rain = 0.0;
    for (std::size_t h = 0; h < 24; ++h) {
      HourOfRecord const& hour = record.hours[24 * d + h];
      lowest = std::min(lowest, hour.air_temperature_K);
      highest = std::max(highest, hour.air_temperature_K);
      dew_point += hour.dew_point_K / 24.0;
      wind += hour.wind_speed_m_per_s / 24.0;
      pressure += hour.air_pressure_Pa / 24.0;
      irradiance += hour.global_irradiance_W_per_m2;
      rain += std::isnan(hour.rain_m) ? 0.0 : hour.rain_m;
    }
    made.days.push_back({.rain_m = rain,
                         .mean_temperature_K = 0.5 * (lowest + highest),
                         .daily_range_K = highest - lowest,
                         .dew_point_K = dew_point,
                         .wind_speed_m_per_s = wind,
                         .clear_sky_index = sun.clear_sky_sum > 1.0 ? irradiance / sun.clear_sky_sum : 0.7,
                         .air_pressure_Pa = pressure});
  }
  return made;
}

DaysOfWeather complete_days(DailyRecord const& record, HourlyRecord const* companion, ClimatePlace const& place,
                            std::vector<std::string>& notes) {
  std::optional<Analogues> analogues;
  if (companion != nullptr) analogues.emplace(*companion, place);
  double const depression_K = companion == nullptr ? dew_point_depression_K(record, place) : 0.0;
  double const pressure_Pa = standard_pressure_Pa(place.elevation_m);
  std::size_t rain_lacking = 0, sun_estimated = 0, dew_point_estimated = 0, wind_estimated = 0;
  DaysOfWeather made{record.first_day, {}};
  made.days.reserve(record.days.size());
  for (std::size_t d = 0; d < record.days.size(); ++d) {
    DayOfRecord const& day = record.days[d];
    DayOfWeather const like = analogues ? analogues->nearest(day, record.day(d)) : DayOfWeather{};
    DayOfWeather whole = like;
    whole.rain_m = std::isnan(day.rain_m) ? 0.0 : day.rain_m;
    rain_lacking += std::isnan(day.rain_m) ? 1 : 0;
    if (!std::isnan(day.high_K) && !std::isnan(day.low_K)) {
      whole.mean_temperature_K = 0.5 * (day.high_K + day.low_K);
      whole.daily_range_K = std::max(0.0, day.high_K - day.low_K);
    }
    if (!std::isnan(day.dew_point_K)) {
      whole.dew_point_K = day.dew_point_K;
    } else {
      ++dew_point_estimated;
      whole.dew_point_K = analogues ? whole.mean_temperature_K - (like.mean_temperature_K - like.dew_point_K)
                                    : whole.lowest_K() - (whole.wet() ? 0.3 : 1.0) * depression_K;
    }
    if (!std::isnan(day.wind_speed_m_per_s)) {
      whole.wind_speed_m_per_s = day.wind_speed_m_per_s;
    } else {
      ++wind_estimated;
    }
    if (!std::isnan(day.global_irradiance_W_per_m2)) {
      DayOfSun const sun = sun_of_day(place.position, place.utc_offset_h, record.day(d));
      whole.clear_sky_index = sun.clear_sky_sum > 1.0
                                  ? std::clamp(24.0 * day.global_irradiance_W_per_m2 / sun.clear_sky_sum, 0.0, 1.2)
                                  : 0.7;
    } else {
      ++sun_estimated;
      if (!analogues) whole.clear_sky_index = sun_from_range(whole.daily_range_K, whole.wet());
    }
    if (!analogues) whole.air_pressure_Pa = pressure_Pa;
    made.days.push_back(whole);
  }
  auto const tell = [&](std::size_t count, std::string_view what, std::string_view without) {
    if (count == 0) return;
    notes.push_back(fmt::format("{}: {} of {} days not measured, taken from {}", what, count, record.days.size(),
                                analogues ? "the most similar day of the hourly file" : without));
  };
  if (rain_lacking > 0) {
    notes.push_back(fmt::format("rain: {} of {} days not measured, taken as dry", rain_lacking, record.days.size()));
  }
  tell(sun_estimated, "sun", "the daily range of temperature (Hargreaves)");
  tell(dew_point_estimated, "dew point", "the lowest temperature");
  tell(wind_estimated, "wind", "an assumed 3 m/s");
  return made;
}

}  // namespace brinecast::sim
