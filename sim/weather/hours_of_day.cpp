#include "sim/weather/hours_of_day.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/sun/irradiance.hpp"
#include "sim/weather/sun_of_day.hpp"

namespace brinecast::sim {

namespace {

constexpr double warmest_h = 15.0;  // clock of the highest temperature; common in station records, from memory

/// Temperature at a clock time by cosines from the lowest at sunrise to the highest at 15:00 and on to the next lowest:
/// the WAVE curve of de Wit, Goudriaan and van Laar 1978, peak one hour later (from memory).
double temperature_on_curve(DayOfWeather const& before, DayOfWeather const& today, DayOfWeather const& after,
                            double sunrise_h, double clock_h) {
  auto const between = [](double from, double to, double share) {
    return 0.5 * (from + to) - 0.5 * (to - from) * std::cos(std::numbers::pi * share);
  };
  double const falling_h = 24.0 - warmest_h + sunrise_h;
  if (clock_h < sunrise_h) {
    return between(before.highest_K(), today.lowest_K(), (clock_h + 24.0 - warmest_h) / falling_h);
  }
  if (clock_h < warmest_h) {
    return between(today.lowest_K(), today.highest_K(), (clock_h - sunrise_h) / (warmest_h - sunrise_h));
  }
  return between(today.highest_K(), after.lowest_K(), (clock_h - warmest_h) / falling_h);
}

double uniform_of(SiteField const& field, GeneratedPlace const& place, std::chrono::sys_days day, std::uint32_t index) {
  auto const time = static_cast<std::uint32_t>(day.time_since_epoch().count());
  double const x = field.normal(place.seed, place.replicate, place.site, {Purpose::weather_hourly, time, index});
  return std::clamp(0.5 * std::erfc(-x * M_SQRT1_2), 1e-12, 1.0 - 1e-12);
}

}  // namespace

std::array<double, 24> storms_of_day(double rain_m, double mean_temperature_K, SiteField const& field,
                                     GeneratedPlace const& place, std::chrono::sys_days day) {
  std::array<double, 24> hours{};
  if (rain_m <= 0.0) return hours;
  auto const uniform = [&](std::uint32_t index) { return uniform_of(field, place, day, index); };
  // Warm rain is mostly convective: short and in the afternoon; cold rain is frontal: long and at any hour. The share
  // of convective rain follows temperature; durations are near those of hourly gauges (common practice, no source).
  double const warmth = std::clamp((mean_temperature_K - 283.15) / 15.0, 0.0, 1.0);
  bool const convective = uniform(0) < 0.15 + 0.65 * warmth;
  double const depth_mm = rain_m * 1000.0;
  int const storms =
      1 + (uniform(1) < std::min(0.6, 0.15 + 0.01 * depth_mm) ? 1 : 0) + (!convective && uniform(2) < 0.25 ? 1 : 0);
  double weight_left = 1.0;
  for (int storm = 0; storm < storms; ++storm) {
    auto const base = 8U + 8U * static_cast<std::uint32_t>(storm);
    double const weight = storm + 1 == storms ? weight_left : weight_left * (0.5 + 0.4 * uniform(base));
    weight_left -= weight;
    double const mean_duration_h = (convective ? 1.5 : 4.0) * std::pow(std::max(1.0, depth_mm * weight), 0.25);
    double const duration_h = std::clamp(-std::log(uniform(base + 1)) * mean_duration_h, 0.3, 20.0);
    double const middle_h =
        convective ? 16.0 + 3.0 * (uniform(base + 2) + uniform(base + 3) - 1.0) * 2.0 : 24.0 * uniform(base + 2);
    double const start_h = std::clamp(middle_h - 0.5 * duration_h, 0.0, 24.0 - duration_h);
    // Early peak for convective storms, late for others; triangular in time. Huff, "Time distribution of rainfall in
    // heavy storms", Water Resources Research 3, 1967 (from memory), for the early peak.
    double const peak = convective ? 0.1 + 0.3 * uniform(base + 4) : 0.2 + 0.6 * uniform(base + 4);
    auto const fallen = [&](double clock_h) {  // share of the storm that has fallen
      double const x = std::clamp((clock_h - start_h) / duration_h, 0.0, 1.0);
      return x < peak ? x * x / peak : 1.0 - (1.0 - x) * (1.0 - x) / (1.0 - peak);
    };
    auto const first = static_cast<std::size_t>(std::floor(start_h));
    auto const last = std::min<std::size_t>(23, static_cast<std::size_t>(std::floor(start_h + duration_h)));
    for (std::size_t hour = first; hour <= last; ++hour) {
      auto const clock_h = static_cast<double>(hour);
      hours[hour] += rain_m * weight * (fallen(clock_h + 1.0) - fallen(clock_h));
    }
  }
  return hours;
}

WeatherSeason hours_of_days(DaysOfWeather const& days, HoursSetting const& setting, SiteField const& field,
                            GeneratedPlace const& place) {
  WeatherSeason season;
  season.reserve(24 * (days.days.size() - 2));
  for (std::size_t d = 1; d + 1 < days.days.size(); ++d) {
    DayOfWeather const& before = days.days[d - 1];
    DayOfWeather const& today = days.days[d];
    DayOfWeather const& after = days.days[d + 1];
    auto const date = days.day(d);
    DayOfSun const sun = sun_of_day(setting.position, setting.utc_offset_h, date);
    double const sunrise_h = std::clamp(sun.sunrise_h, 2.0, 10.0);
    auto const rain = storms_of_day(today.rain_m, today.mean_temperature_K, field, place, date);
    // Hours of rain are darker than the rest of their day; what they lose the others gain, so that the day keeps its
    // sum.
    std::array<double, 24> brightness{};
    double clear_sum = 0.0;
    for (std::size_t h = 0; h < 24; ++h) {
      brightness[h] = rain[h] > 0.0 ? 0.35 : 1.0;
      clear_sum += brightness[h] * sun.hours[h].clear_sky_W_per_m2;
    }
    double const lift = clear_sum > 0.0 ? sun.clear_sky_sum / clear_sum : 1.0;
    for (std::size_t h = 0; h < 24; ++h) {
      double const clock_h = static_cast<double>(h) + 0.5;
      HourOfWeather hour;
      hour.air_temperature_K = temperature_on_curve(before, today, after, sunrise_h, clock_h);
      double const to_noon = (clock_h - 12.0) / 24.0;
      DayOfWeather const& near = to_noon < 0.0 ? before : after;
      double const weight = std::fabs(to_noon);
      hour.dew_point_K =
          std::min(hour.air_temperature_K, (1.0 - weight) * today.dew_point_K + weight * near.dew_point_K);
      hour.air_pressure_Pa = today.air_pressure_Pa;
      // Afternoon wind: a cosine that leaves the day's mean as it is (amplitude: common practice, no source).
      hour.wind_speed_m_per_s =
          today.wind_speed_m_per_s * (1.0 + 0.35 * std::cos(2.0 * std::numbers::pi * (clock_h - warmest_h) / 24.0));
      HourOfSun const& in_sky = sun.hours[h];
      double const index = today.clear_sky_index * brightness[h] * lift;
      hour.cos_zenith = in_sky.cos_zenith;
      hour.global_irradiance_W_per_m2 = index * in_sky.clear_sky_W_per_m2;
      if (in_sky.above_air_W_per_m2 > 0.0) {
        double const clearness = hour.global_irradiance_W_per_m2 / in_sky.above_air_W_per_m2;
        hour.diffuse_irradiance_W_per_m2 = hour.global_irradiance_W_per_m2 * models::diffuse_share(clearness);
      }
      hour.cloud_fraction =
          models::cloud_fraction_from_transmission(in_sky.daylit_share > 0.0 ? index : today.clear_sky_index);
      hour.rain_m = rain[h];
      season.push_back(hour);
    }
  }
  return season;
}

}  // namespace brinecast::sim
