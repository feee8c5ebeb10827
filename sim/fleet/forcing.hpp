#pragma once
// What an hour of weather means for every pool of a site: computed once per hour and site, not once per pool.

namespace brinecast::sim {

struct HourForcing {
  double air_temperature_K = 288.15;
  double vapour_pressure_of_air_Pa = 1200.0;
  double air_pressure_Pa = 101325.0;
  double wind_speed_m_per_s = 2.0;  // at 10 m in the open
  double sky_long_wave_W_per_m2 = 320.0;
  double sunlight_into_water_W_per_m2 = 0.0;  // of open sky
  double global_irradiance_W_per_m2 = 0.0;
  double rain_m = 0.0;
  double rain_temperature_K = 288.15;
  double wind_for_gas_transfer = 3.2;  // wind to the power of the transfer law
  double hour_of_day = 0.0;            // at the hour's start
  double time_s = 0.0;                 // since the season's start, at the hour's start
};

}  // namespace brinecast::sim
