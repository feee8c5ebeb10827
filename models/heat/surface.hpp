#pragma once
// What the surface of a pool gains and loses, and how that depends on the water's temperature.

#include "models/constants.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"
#include "models/step.hpp"
#include "models/water/vapour_pressure.hpp"
#include "models/water_balance/evaporation.hpp"

namespace brinecast::models {

template <class Lanes>
struct SurfaceInputs {
  Lanes water_temperature_K;
  Lanes air_temperature_K;
  Lanes air_pressure_Pa;
  Lanes vapour_pressure_of_air_Pa;
  Lanes sky_long_wave_W_per_m2;
  Lanes absorbed_sunlight_W_per_m2;
  Lanes open_transfer_W_per_m2_Pa;  // evaporation_transfer of the uncovered, quiet surface: carries the dry heat too
  Lanes wet_transfer_W_per_m2_Pa;   // the same with cover and bathers: carries the vapour
};

template <class Lanes>
struct SurfaceHeat {
  Lanes total_W_per_m2;         // into the water
  Lanes loss_slope_W_per_m2_K;  // fall of the total per kelvin of water temperature, > 0
  Lanes evaporation_W_per_m2;   // part of the total, counted as a loss
  Lanes evaporation_slope_W_per_m2_K;
};

/// Sun, sky, air and evaporation together. Convection by Bowen's ratio (I. S. Bowen 1926), which needs no special case
/// where the vapour pressures of water and air meet. Check: water 28 degC, air 25 degC at half saturation, 1 m/s:
/// evaporation 287.0 W/m2, convection 24.2 W/m2; clear sky net long-wave loss 101.4 W/m2.
template <class Lanes>
SurfaceHeat<Lanes> surface_heat(SurfaceInputs<Lanes> const& in, Parameters const& parameters) {
  VapourPressure<Lanes> const at_water = vapour_pressure_over_water(in.water_temperature_K);
  Lanes const evaporation = evaporation_heat_W_per_m2<Lanes>({.vapour_pressure_at_water_Pa = at_water.pressure_Pa,
                                                              .vapour_pressure_of_air_Pa = in.vapour_pressure_of_air_Pa,
                                                              .transfer_W_per_m2_Pa = in.wet_transfer_W_per_m2_Pa});
  Lanes const evaporation_slope = in.wet_transfer_W_per_m2_Pa * at_water.slope_Pa_per_K;
  Lanes const convection_slope = in.open_transfer_W_per_m2_Pa * in.air_pressure_Pa * parameters.bowen_coefficient_per_K;
  Lanes const convection = convection_slope * (in.water_temperature_K - in.air_temperature_K);
  double const emission = parameters.water_emissivity * stefan_boltzmann_W_per_m2_K4;
  Lanes const cubed = in.water_temperature_K * in.water_temperature_K * in.water_temperature_K;
  Lanes const total = in.absorbed_sunlight_W_per_m2 + parameters.water_emissivity * in.sky_long_wave_W_per_m2 -
                      emission * cubed * in.water_temperature_K - convection - evaporation;
  return {total, evaporation_slope + convection_slope + 4.0 * emission * cubed, evaporation, evaporation_slope};
}

template <class Lanes>
struct HeatStepInputs {
  SurfaceHeat<Lanes> surface;      // at the temperature the step starts from
  Lanes heat_capacity_J_per_m2_K;  // of the water under a square metre
  double step_s;
};

/// Means over a step in which the water relaxes towards the temperature of its surroundings.
template <class Lanes>
struct HeatStep {
  Lanes total_W_per_m2;
  Lanes evaporation_W_per_m2;
  Lanes warming_K;
};

/// Rosenbrock-Euler step: the total flux is linearised in the water's temperature and that equation solved exactly, so
/// thin water cannot overshoot. Second order; the books use the mean flux, so heat closes to rounding.
template <class Lanes>
HeatStep<Lanes> heat_step(HeatStepInputs<Lanes> const& in) {
  Lanes const kelvin_per_flux = in.step_s / in.heat_capacity_J_per_m2_K;
  Lanes const mean_total =
      in.surface.total_W_per_m2 * mean_of_slow_decay(in.surface.loss_slope_W_per_m2_K * kelvin_per_flux);
  Lanes const warming = mean_total * kelvin_per_flux;
  return {mean_total, in.surface.evaporation_W_per_m2 + 0.5 * warming * in.surface.evaporation_slope_W_per_m2_K,
          warming};
}

}  // namespace brinecast::models
