#pragma once
// One pool in weather that is the same every day, for tests of the hourly step.

#include <cmath>
#include <numbers>

#include "models/heat/rain_temperature.hpp"
#include "models/heat/sky.hpp"
#include "models/heat/sunlight.hpp"
#include "models/sun/irradiance.hpp"
#include "models/water/vapour_pressure.hpp"
#include "sim/fleet/fleet.hpp"
#include "sim/fleet/kernel.hpp"

namespace brinecast::tests {

struct Climate {
  double mean_air_K = 299.15;
  double air_swing_K = 6.0;
  double dew_point_K = 288.15;
  double wind_m_per_s = 2.0;
  double noon_cos_zenith = 0.95;
  double rain_m_per_h = 0.0;  // in every rainy hour
  int rain_from_h = 0;
  int rain_hours = 0;
};

inline sim::HourForcing forcing(Climate const& climate, int hour) {
  int const hour_of_day = hour % 24;
  double const air =
      climate.mean_air_K + climate.air_swing_K * std::cos(2.0 * std::numbers::pi * (hour_of_day - 14.5) / 24.0);
  double const cos_zenith =
      std::max(0.0, climate.noon_cos_zenith * std::cos(2.0 * std::numbers::pi * (hour_of_day - 11.5) / 24.0));
  double const global = models::clear_sky_irradiance_W_per_m2(cos_zenith);
  double const dew = std::min(climate.dew_point_K, air);
  bool const rains = hour_of_day >= climate.rain_from_h && hour_of_day < climate.rain_from_h + climate.rain_hours;
  sim::HourForcing out;
  out.air_temperature_K = air;
  out.vapour_pressure_of_air_Pa = models::saturation_vapour_pressure_Pa(dew);
  out.air_pressure_Pa = 101325.0;
  out.wind_speed_m_per_s = climate.wind_m_per_s;
  out.sky_long_wave_W_per_m2 =
      models::sky_long_wave_W_per_m2<double>({.air_temperature_K = air, .dew_point_K = dew, .cloud_fraction = 0.3});
  out.sunlight_into_water_W_per_m2 =
      models::sunlight_into_water_W_per_m2<double>({.global_irradiance_W_per_m2 = global,
                                                    .diffuse_irradiance_W_per_m2 = 0.2 * global,
                                                    .reflectance = models::water_reflectance(cos_zenith)});
  out.global_irradiance_W_per_m2 = global;
  out.rain_m = rains ? climate.rain_m_per_h : 0.0;
  out.rain_temperature_K =
      models::rain_temperature_K<double>({.air_temperature_K = air,
                                          .vapour_pressure_of_air_Pa = out.vapour_pressure_of_air_Pa,
                                          .air_pressure_Pa = out.air_pressure_Pa});
  out.wind_for_gas_transfer = models::wind_for_gas_transfer(climate.wind_m_per_s);
  out.hour_of_day = hour_of_day;
  out.time_s = 3600.0 * hour;
  return out;
}

/// A busy pool in slightly scaling water, so that every effect is at work. Nothing switches at a threshold.
inline sim::Pool busy_pool() {
  sim::Pool pool;
  pool.automatic_refill = false;
  pool.freeboard_m = 1.0;
  pool.leak_m3_per_s = 2e-6;
  pool.output_setting = 0.8;
  pool.pump_start_hour = 8.0;
  pool.pump_hours_per_day = 10.0;
  pool.start.ph = 7.8;
  pool.start.calcium_mol_per_m3 = 4.5;
  pool.start.alkalinity_mol_per_m3 = 2.4;
  pool.start.borate_mol_per_m3 = 1.0;
  pool.start.temperature_K = 299.15;
  return pool;
}

struct OnePool {
  sim::Fleet fleet;
  sim::KernelSettings settings;
  [[nodiscard]] sim::PoolBlock& block() { return fleet.blocks.front(); }
  [[nodiscard]] sim::PoolState const& state() const { return fleet.blocks.front().state; }
};

inline OnePool one_pool(sim::Pool const& pool, double step_s = 3600.0, models::Parameters const& parameters = {}) {
  sim::Scenario scenario;
  scenario.sites.emplace_back();
  scenario.fill_waters.emplace_back();
  scenario.pools.push_back(pool);
  scenario.parameters = parameters;
  OnePool out{{}, sim::kernel_settings(parameters, {}, step_s)};
  out.fleet = sim::make_fleet(scenario, 1, 0, out.settings);
  out.block().day.bathers[0] = 3.0;
  out.block().state.urea_nitrogen_mol[0] = 0.2;
  out.block().state.combined_chlorine_mol[0] = 0.05;
  out.block().state.algae[0] = 0.02;
  out.block().state.scale_kg_per_m2[0] = 0.02;
  out.block().start = out.block().state;
  return out;
}

/// Hours of the scalar kernel, each in equal steps under the hour's weather.
inline void run_hours(OnePool& pool, Climate const& climate, int hours) {
  int const steps = static_cast<int>(std::lround(3600.0 / pool.settings.step_s));
  for (int hour = 0; hour < hours; ++hour) {
    sim::HourForcing weather = forcing(climate, hour);
    weather.rain_m /= steps;
    for (int step = 0; step < steps; ++step) {
      sim::PoolHour<double>(pool.block(), 0, weather, pool.settings).run();
    }
  }
}

/// The state variables by name.
struct NamedState {
  char const* name;
  sim::LaneArray sim::PoolState::*array;
  double scale;  // what a change of is of interest: errors are given relative to it
};
inline constexpr NamedState state_variables[] = {
    {"water volume", &sim::PoolState::water_volume_m3, 50.0},
    {"water temperature", &sim::PoolState::water_temperature_K, 10.0},
    {"salt", &sim::PoolState::salt_kg, 160.0},
    {"calcium", &sim::PoolState::calcium_mol, 225.0},
    {"alkalinity", &sim::PoolState::alkalinity_mol, 120.0},
    {"inorganic carbon", &sim::PoolState::inorganic_carbon_mol, 120.0},
    {"pH", &sim::PoolState::ph, 1.0},
    {"cyanuric acid", &sim::PoolState::cyanuric_acid_mol, 20.0},
    {"borate", &sim::PoolState::borate_mol, 50.0},
    {"free chlorine", &sim::PoolState::free_chlorine_mol, 2.0},
    {"combined chlorine", &sim::PoolState::combined_chlorine_mol, 0.1},
    {"urea", &sim::PoolState::urea_nitrogen_mol, 0.2},
    {"algae", &sim::PoolState::algae, 0.02},
    {"scale", &sim::PoolState::scale_kg_per_m2, 0.05},
    {"coating", &sim::PoolState::coating_left, 1.0},
};

}  // namespace brinecast::tests
