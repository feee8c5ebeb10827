#include "sim/ensemble/season_weather.hpp"

#include <algorithm>

#include "models/carbonate/gas_exchange.hpp"
#include "models/heat/rain_temperature.hpp"
#include "models/heat/sky.hpp"
#include "models/heat/sunlight.hpp"
#include "models/water/vapour_pressure.hpp"

namespace brinecast::sim {

namespace {

HourForcing forcing_of(HourOfWeather const& weather, std::size_t hour) {
  double const vapour_pressure_Pa = models::saturation_vapour_pressure_Pa(weather.dew_point_K);
  return {
      .air_temperature_K = weather.air_temperature_K,
      .vapour_pressure_of_air_Pa = vapour_pressure_Pa,
      .air_pressure_Pa = weather.air_pressure_Pa,
      .wind_speed_m_per_s = weather.wind_speed_m_per_s,
      .sky_long_wave_W_per_m2 = models::sky_long_wave_W_per_m2<double>({.air_temperature_K = weather.air_temperature_K,
                                                                        .dew_point_K = weather.dew_point_K,
                                                                        .cloud_fraction = weather.cloud_fraction}),
      .sunlight_into_water_W_per_m2 = models::sunlight_into_water_W_per_m2<double>(
          {.global_irradiance_W_per_m2 = weather.global_irradiance_W_per_m2,
           .diffuse_irradiance_W_per_m2 = weather.diffuse_irradiance_W_per_m2,
           .reflectance = models::water_reflectance(weather.cos_zenith)}),
      .global_irradiance_W_per_m2 = weather.global_irradiance_W_per_m2,
      .rain_m = weather.rain_m,
      .rain_temperature_K = models::rain_temperature_K<double>({.air_temperature_K = weather.air_temperature_K,
                                                                .vapour_pressure_of_air_Pa = vapour_pressure_Pa,
                                                                .air_pressure_Pa = weather.air_pressure_Pa}),
      .wind_for_gas_transfer = models::wind_for_gas_transfer(weather.wind_speed_m_per_s),
      .hour_of_day = static_cast<double>(hour % 24),
      .time_s = static_cast<double>(hour) * models::seconds_per_hour};
}

SiteSeason site_season(WeatherSeason const& weather) {
  SiteSeason site;
  std::size_t const days = weather.size() / 24;
  site.hours.reserve(weather.size());
  for (std::size_t hour = 0; hour < weather.size(); ++hour) site.hours.push_back(forcing_of(weather[hour], hour));
  for (std::size_t day = 0; day < days; ++day) {
    double rain_m = 0.0, sum_K = 0.0, highest_K = 0.0;
    for (std::size_t hour = day * 24; hour < (day + 1) * 24; ++hour) {
      rain_m += weather[hour].rain_m;
      sum_K += weather[hour].air_temperature_K;
      highest_K = std::max(highest_K, weather[hour].air_temperature_K);
    }
    site.rain_m.push_back(rain_m);
    site.air_mean_K.push_back(sum_K / 24.0);
    site.air_highest_K.push_back(highest_K);
  }
  return site;
}

}  // namespace

SeasonWeather season_weather(WeatherSource const& source, Scenario const& scenario, std::uint32_t replicate) {
  SeasonWeather season;
  for (std::size_t site = 0; site < scenario.sites.size(); ++site) {
    season.sites.push_back(site_season(source.season(scenario.seed, replicate, SiteId{static_cast<std::uint32_t>(site)},
                                                     scenario.season.first_day, scenario.season.days)));
  }
  return season;
}

}  // namespace brinecast::sim
