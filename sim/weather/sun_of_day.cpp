#include "sim/weather/sun_of_day.hpp"

#include <cmath>
#include <numbers>

#include "models/sun/irradiance.hpp"
#include "models/sun/position.hpp"

namespace brinecast::sim {

DayOfSun sun_of_day(Position const& place, double utc_offset_h, std::chrono::sys_days day) {
  constexpr std::chrono::sys_days noon_of_j2000 = std::chrono::year{2000} / 1 / 1;
  constexpr double turn = 2.0 * std::numbers::pi / 24.0;  // of the Earth, rad/h
  double const midnight = static_cast<double>((day - noon_of_j2000).count()) - 0.5 - utc_offset_h / 24.0;
  models::Place const on_earth{.latitude_deg = place.latitude_deg, .longitude_deg = place.longitude_deg};
  // Within a day cos(zenith) is a constant and one wave; three positions fix it. The declination moves by 0.2 deg at
  // most between the day's middle and its ends, so the error stays below 0.004.
  double mean = 0.0, cosine_part = 0.0, sine_part = 0.0, distance_factor = 1.0;
  for (double const clock_h : {4.0, 12.0, 20.0}) {
    auto const position = models::sun_position(midnight + clock_h / 24.0, on_earth);
    mean += position.cos_zenith / 3.0;
    cosine_part += position.cos_zenith * std::cos(turn * clock_h) * 2.0 / 3.0;
    sine_part += position.cos_zenith * std::sin(turn * clock_h) * 2.0 / 3.0;
    if (clock_h == 12.0) distance_factor = position.distance_factor;
  }
  double const swing = std::hypot(cosine_part, sine_part);
  double noon_h = std::atan2(sine_part, cosine_part) / turn;
  if (noon_h < 0.0) noon_h += 24.0;
  DayOfSun sun;
  if (std::fabs(mean) < swing) {
    double const half_day_h = std::acos(-mean / swing) / turn;
    sun.sunrise_h = noon_h - half_day_h;
    sun.sunset_h = noon_h + half_day_h;
  }
  constexpr int parts = 4;
  for (std::size_t hour = 0; hour < 24; ++hour) {
    HourOfSun& of = sun.hours[hour];
    double cosines = 0.0, lit = 0.0;
    for (int part = 0; part < parts; ++part) {
      double const clock_h = static_cast<double>(hour) + (part + 0.5) / parts;
      double const cos_zenith = mean + swing * std::cos(turn * (clock_h - noon_h));
      if (cos_zenith <= 0.0) continue;
      cosines += cos_zenith;
      lit += 1.0;
      of.clear_sky_W_per_m2 += models::clear_sky_irradiance_W_per_m2(cos_zenith) / parts;
    }
    if (lit > 0.0) of.cos_zenith = cosines / lit;
    of.daylit_share = lit / parts;
    of.above_air_W_per_m2 = models::solar_constant_W_per_m2 * distance_factor * cosines / parts;
    sun.clear_sky_sum += of.clear_sky_W_per_m2;
  }
  return sun;
}

}  // namespace brinecast::sim
