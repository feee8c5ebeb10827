#pragma once
// Hours of weather for the sites of a fleet: a pure function of (seed, replicate, site, hour).

#include <chrono>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "sim/scenario/problems.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

/// Means over one hour in local standard time; hour 0 of a day is 00:00 to 01:00.
struct HourOfWeather {
  double air_temperature_K = 288.15;
  double dew_point_K = 283.15;
  double air_pressure_Pa = 101325.0;
  double wind_speed_m_per_s = 2.0;        // at 10 m, open ground
  double global_irradiance_W_per_m2 = 0;  // on a horizontal surface
  double diffuse_irradiance_W_per_m2 = 0;
  double cos_zenith = 0.0;  // mean of the hour's daylit part, 0 at night
  double cloud_fraction = 0.5;
  double rain_m = 0.0;  // depth of the hour
};

/// One site's weather for a whole season, [hour].
using WeatherSeason = std::vector<HourOfWeather>;

class WeatherSource {
 public:
  virtual ~WeatherSource() = default;
  /// The season of one replicate at one site: `days` x 24 hours from `first_day`. Safe from any thread. Addressable:
  /// nothing before it needs to be generated.
  [[nodiscard]] virtual WeatherSeason season(std::uint64_t seed, std::uint32_t replicate, SiteId site,
                                             std::chrono::sys_days first_day, int days) const = 0;
  /// What was found while reading: gaps filled, missing rain, suspicious units. One line each, for the user.
  [[nodiscard]] virtual std::vector<std::string> notes() const { return {}; }
};

/// Opens what the scenario asks for. Faults go to `problems`, and the result is then null.
std::unique_ptr<WeatherSource> open_weather(Scenario const& scenario, Problems& problems);

}  // namespace brinecast::sim
