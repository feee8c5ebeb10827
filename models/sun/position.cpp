#include "models/sun/position.hpp"

#include <cmath>
#include <numbers>

namespace brinecast::models {

namespace {
constexpr double degree = std::numbers::pi / 180.0;
}

SunPosition sun_position(double days_since_j2000, Place const& place) {
  double const n = days_since_j2000;
  double const mean_longitude_deg = 280.460 + 0.9856474 * n;
  double const anomaly = (357.528 + 0.9856003 * n) * degree;
  double const ecliptic_longitude =
      (mean_longitude_deg + 1.915 * std::sin(anomaly) + 0.020 * std::sin(2.0 * anomaly)) * degree;
  double const obliquity = (23.439 - 4.0e-7 * n) * degree;
  double const right_ascension =
      std::atan2(std::cos(obliquity) * std::sin(ecliptic_longitude), std::cos(ecliptic_longitude));
  double const sin_declination = std::sin(obliquity) * std::sin(ecliptic_longitude);
  double const cos_declination = std::sqrt(1.0 - sin_declination * sin_declination);
  double const universal_time_h = 24.0 * (n + 0.5 - std::floor(n + 0.5));
  double const sidereal_h = 6.697375 + 0.0657098242 * n + universal_time_h + place.longitude_deg / 15.0;
  double const hour_angle = sidereal_h * 15.0 * degree - right_ascension;
  double const latitude = place.latitude_deg * degree;
  double const cos_zenith =
      std::sin(latitude) * sin_declination + std::cos(latitude) * cos_declination * std::cos(hour_angle);
  double const azimuth =
      std::atan2(-cos_declination * std::sin(hour_angle),
                 sin_declination * std::cos(latitude) - cos_declination * std::sin(latitude) * std::cos(hour_angle));
  double const distance_au = 1.00014 - 0.01671 * std::cos(anomaly) - 0.00014 * std::cos(2.0 * anomaly);
  double const azimuth_deg = azimuth / degree;
  return {cos_zenith, std::acos(std::fmin(1.0, std::fmax(-1.0, cos_zenith))) / degree,
          azimuth_deg < 0.0 ? azimuth_deg + 360.0 : azimuth_deg, 1.0 / (distance_au * distance_au)};
}

double refraction_deg(double elevation_deg, double pressure_Pa, double temperature_K) {
  if (elevation_deg < -0.8) {
    return 0.0;
  }
  double const minutes = 1.02 / std::tan((elevation_deg + 10.3 / (elevation_deg + 5.11)) * degree);
  return minutes / 60.0 * (pressure_Pa / 101000.0) * (283.0 / temperature_K);
}

double mean_cos_zenith_of_hour(double days_since_j2000, Place const& place) {
  constexpr int samples = 12;
  double sum = 0.0;
  int daylit = 0;
  for (int sample = 0; sample < samples; ++sample) {
    double const cos_zenith = sun_position(days_since_j2000 + (sample + 0.5) / (24.0 * samples), place).cos_zenith;
    if (cos_zenith > 0.0) {
      sum += cos_zenith;
      ++daylit;
    }
  }
  return daylit == 0 ? 0.0 : sum / daylit;
}

}  // namespace brinecast::models
