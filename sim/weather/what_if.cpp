#include "sim/weather/what_if.hpp"

#include <algorithm>
#include <cmath>

namespace brinecast::sim {

namespace {

void warm(HourOfWeather& hour, double warming_K) {
  hour.air_temperature_K += warming_K;
  hour.dew_point_K += warming_K;
}

void add_storm(WeatherSeason& season, std::chrono::sys_days first_day, NamedStorm const& storm) {
  constexpr double start_h = 12.0;
  constexpr double storm_sun = 0.25;  // of what the hour had: thick cloud, Kasten and Czeplak at full cover
  double const from_h = 24.0 * static_cast<double>((storm.day - first_day).count()) + start_h;
  double const length_h = std::max(1.0, storm.duration_s / 3600.0);
  for (std::size_t h = 0; h < season.size(); ++h) {
    auto const hour_h = static_cast<double>(h);
    double const share = std::min(hour_h + 1.0, from_h + length_h) - std::max(hour_h, from_h);
    if (share <= 0.0) continue;
    HourOfWeather& hour = season[h];
    hour.rain_m += storm.rain_m * share / length_h;
    hour.global_irradiance_W_per_m2 *= storm_sun;
    hour.diffuse_irradiance_W_per_m2 = hour.global_irradiance_W_per_m2;
    hour.cloud_fraction = 1.0;
    hour.dew_point_K = std::max(hour.dew_point_K, hour.air_temperature_K - 1.0);
  }
}

}  // namespace

void bend_season(WeatherSeason& season, std::chrono::sys_days first_day, WeatherSpec const& spec) {
  if (spec.rain_factor != 1.0 || spec.warming_K != 0.0) {
    for (HourOfWeather& hour : season) {
      hour.rain_m *= spec.rain_factor;
      warm(hour, spec.warming_K);
    }
  }
  for (HeatWave const& wave : spec.heat_waves) {
    auto const from = 24 * (wave.first_day - first_day).count();
    auto const to = from + 24 * wave.days;
    for (auto h = std::max<std::ptrdiff_t>(0, from); h < std::min<std::ptrdiff_t>(to, std::ssize(season)); ++h) {
      warm(season[static_cast<std::size_t>(h)], wave.warming_K);
    }
  }
  for (NamedStorm const& storm : spec.storms) add_storm(season, first_day, storm);
}

void move_to_height(WeatherSeason& season, double higher_m) {
  if (higher_m == 0.0) return;
  constexpr double lapse_K_per_m = 0.0065;
  constexpr double exponent = 5.25588;
  for (HourOfWeather& hour : season) {
    double const warmth_K = hour.air_temperature_K;
    warm(hour, -lapse_K_per_m * higher_m);
    hour.air_pressure_Pa *= std::pow(hour.air_temperature_K / warmth_K, exponent);
  }
}

}  // namespace brinecast::sim
