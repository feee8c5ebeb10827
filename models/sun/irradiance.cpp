#include "models/sun/irradiance.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/constants.hpp"

namespace brinecast::models {

double clear_sky_irradiance_W_per_m2(double cos_zenith) {
  return cos_zenith <= 0.0 ? 0.0 : 1098.0 * cos_zenith * std::exp(-0.059 / cos_zenith);
}

namespace {
constexpr double full_cloud_loss = 0.75;
constexpr double cloud_exponent = 3.4;
}  // namespace

double cloud_transmission(double cloud_fraction) {
  return 1.0 - full_cloud_loss * std::pow(cloud_fraction, cloud_exponent);
}

double cloud_fraction_from_transmission(double transmission) {
  return std::pow(std::clamp((1.0 - transmission) / full_cloud_loss, 0.0, 1.0), 1.0 / cloud_exponent);
}

double diffuse_share(double clearness_index) {
  double const k = std::clamp(clearness_index, 0.0, 1.0);
  if (k <= 0.22) {
    return 1.0 - 0.09 * k;
  }
  if (k <= 0.80) {
    return 0.9511 + k * (-0.1604 + k * (4.388 + k * (-16.638 + k * 12.336)));
  }
  return 0.165;
}

DayOfSun day_of_sun(int day_of_year, double latitude_deg) {
  constexpr double degree = std::numbers::pi / 180.0;
  double const turn = 2.0 * std::numbers::pi * day_of_year / 365.0;
  double const declination = 23.45 * degree * std::sin(2.0 * std::numbers::pi * (284 + day_of_year) / 365.0);
  double const latitude = latitude_deg * degree;
  double const sunset_angle = std::acos(std::clamp(-std::tan(latitude) * std::tan(declination), -1.0, 1.0));
  double const geometry = std::cos(latitude) * std::cos(declination) * std::sin(sunset_angle) +
                          sunset_angle * std::sin(latitude) * std::sin(declination);
  return {seconds_per_day / std::numbers::pi * solar_constant_W_per_m2 * (1.0 + 0.033 * std::cos(turn)) * geometry,
          seconds_per_day / std::numbers::pi * sunset_angle};
}

}  // namespace brinecast::models
