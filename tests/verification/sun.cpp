#include <cmath>
#include <tuple>

#include "models/sun/irradiance.hpp"
#include "models/sun/position.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

void verify_sun(Report& report) {
  constexpr auto nrel = "Reda & Andreas 2008, NREL/TP-560-34302, A.5";
  Place const place{.latitude_deg = 39.742476, .longitude_deg = -105.1786};
  // 2003-10-17 12:30:30, UTC-7: Julian day 2452930.312847.
  double const when = 2452930.312847 - 2451545.0;
  SunPosition const sun = sun_position(when, place);
  double const apparent = sun.zenith_deg - refraction_deg(90.0 - sun.zenith_deg, 82000.0, 284.15);
  report.compare({"zenith angle with refraction, deg", apparent, 50.111622, 0.01, nrel});
  report.compare({"azimuth, deg", sun.azimuth_deg, 194.340241, 0.01, nrel});
  // 30 deg slope facing 10 deg east of south (rotation -10 from south): incidence 25.187 deg.
  double const radian = std::acos(-1.0) / 180.0;
  double const incidence = std::acos(std::cos(apparent * radian) * std::cos(30.0 * radian) +
                                     std::sin(30.0 * radian) * std::sin(apparent * radian) *
                                         std::cos((sun.azimuth_deg - 180.0 + 10.0) * radian)) /
                           radian;
  report.compare({"incidence on the example's slope, deg", incidence, 25.187, 0.02, nrel});
  // Sunrise 06:12:43 and sunset 17:20:19 local: zenith 90.8333 deg without refraction.
  double const midnight = 2452929.5 + 7.0 / 24.0 - 2451545.0;
  report.compare({"zenith at sunrise 06:12:43, deg",
                  sun_position(midnight + (6.0 + 12.0 / 60.0 + 43.0 / 3600.0) / 24.0, place).zenith_deg, 90.8333, 0.02,
                  nrel});
  // The example's sunset is that of its universal-time day: the evening before, local.
  report.compare({"zenith at sunset 17:20:19, deg",
                  sun_position(midnight - 1.0 + (17.0 + 20.0 / 60.0 + 19.0 / 3600.0) / 24.0, place).zenith_deg, 90.8333,
                  0.02, nrel});
  report.compare({"refraction at the horizon, deg", refraction_deg(-0.5667, 101000.0, 283.0), 0.5667, 0.04,
                  "Astronomical Almanac: 34 minutes"});
  report.compare({"refraction at 10 deg elevation, arc minutes", 60.0 * refraction_deg(10.0, 101000.0, 283.0), 5.41,
                  0.05, "Saemundsson 1986 table, from memory"});
  report.compare({"refraction at 45 deg elevation, arc minutes", 60.0 * refraction_deg(45.0, 101000.0, 283.0), 1.01,
                  0.012, "Saemundsson 1986 table, from memory"});
  report.compare({"refraction at the geometric horizon, arc minutes", 60.0 * refraction_deg(0.0, 101000.0, 283.0),
                  28.98, 0.1, "Saemundsson 1986, evaluated by hand"});
  report.compare({"refraction at 5 deg elevation, arc minutes", 60.0 * refraction_deg(5.0, 101000.0, 283.0), 9.6741,
                  0.02, "Saemundsson 1986, evaluated by hand"});
  // Obliquity and equinox: 2000-06-21 01:48 UT declination 23.44; 2000-03-20 07:35 UT declination 0.
  Place const pole{.latitude_deg = 90.0, .longitude_deg = 0.0};
  report.compare({"declination at the June solstice 2000, deg",
                  90.0 - sun_position(2451716.575 - 2451545.0, pole).zenith_deg, 23.44, 0.01,
                  "Astronomical Almanac, from memory"});
  report.compare({"declination at the March equinox 2000, deg",
                  90.0 - sun_position(2451623.816 - 2451545.0, pole).zenith_deg, 0.0, 0.01,
                  "Astronomical Almanac, from memory"});
  report.compare({"declination at the March equinox 2024, deg",
                  90.0 - sun_position(2460389.629 - 2451545.0, pole).zenith_deg, 0.0, 0.01,
                  "equinox 2024-03-20 03:06 UT"});
  report.compare({"irradiance factor at perihelion (3 Jan)", sun_position(2.0, place).distance_factor,
                  1.0 / (0.98333 * 0.98333), 0.0004, "perihelion distance 0.98333 au"});
  report.compare({"irradiance factor at aphelion (4 Jul)", sun_position(185.0, place).distance_factor,
                  1.0 / (1.01671 * 1.01671), 0.0004, "aphelion distance 1.01671 au"});
  report.compare({"mean cosine of the hour around noon", mean_cos_zenith_of_hour(when - 0.5 / 24.0, place),
                  sun.cos_zenith, 0.006, "slow change near noon"});
  report.compare({"the sun is down at midnight", mean_cos_zenith_of_hour(midnight, place), 0.0, 0.0, "definition"});
  // Sunrise falls in this hour: the mean of the daylit part is about half the last cosine.
  double const end_of_sunrise_hour = sun_position(midnight + 7.0 / 24.0, place).cos_zenith;
  report.compare({"mean cosine of the daylit part of the sunrise hour",
                  mean_cos_zenith_of_hour(midnight + 6.0 / 24.0, place), 0.5 * end_of_sunrise_hour, 0.01,
                  "sunrise 06:12:43"});

  for (auto const& [zenith, expected] :
       {std::pair{0.0, 1035.1}, {30.0, 888.3}, {45.0, 714.3}, {60.0, 487.9}, {75.0, 226.3}}) {
    report.compare({"clear sky, W/m2, zenith angle " + std::to_string(int(zenith)),
                    clear_sky_irradiance_W_per_m2(std::cos(zenith * radian)), expected, 0.1, "Haurwitz 1945"});
  }
  for (auto const& [day, joule, hours] : {std::tuple{172, 41.51, 14.20}, {80, 31.41, 11.97}, {355, 17.68, 9.80}}) {
    DayOfSun const got = day_of_sun(day, 33.262);
    report.compare({"extraterrestrial, MJ/m2, 33.262 N, day " + std::to_string(day),
                    got.extraterrestrial_J_per_m2 / 1e6, joule, 0.02, "Duffie & Beckman; Cooper 1969"});
    report.compare({"day length, h, day " + std::to_string(day), got.daylight_s / 3600.0, hours, 0.01, "Cooper 1969"});
  }
  report.compare({"extraterrestrial, MJ/m2, 20 S, day 246", day_of_sun(246, -20.0).extraterrestrial_J_per_m2 / 1e6,
                  32.16, 0.05, "FAO irrigation paper 56 example 8: 32.2"});
  report.compare({"cloud transmission at half cover", cloud_transmission(0.5), 0.9290, 0.001, "Kasten & Czeplak 1980"});
  report.compare({"cloud transmission when overcast", cloud_transmission(1.0), 0.25, 0.001, "Kasten & Czeplak 1980"});
  report.compare({"cloud fraction back from transmission", cloud_fraction_from_transmission(cloud_transmission(0.7)),
                  0.7, 1e-12, "inverse"});
  for (auto const& [clearness, expected] :
       {std::pair{0.1, 0.991}, {0.2, 0.982}, {0.4, 0.8400}, {0.6, 0.4395}, {0.75, 0.1831}, {0.9, 0.165}}) {
    report.compare({"diffuse share at clearness " + std::to_string(clearness).substr(0, 4), diffuse_share(clearness),
                    expected, 0.0002, "Erbs, Klein & Duffie 1982, evaluated by hand"});
  }
  report.compare(
      {"the correlation's pieces meet at 0.22", diffuse_share(0.2200001), diffuse_share(0.22), 0.0005, "continuity"});
  report.compare(
      {"the correlation's pieces meet at 0.80", diffuse_share(0.80), diffuse_share(0.8000001), 0.0005, "continuity"});
}

}  // namespace brinecast::verification
