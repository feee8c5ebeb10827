#pragma once
// Evaporation from a pool's surface, as the heat it takes; the water follows by the latent heat.
// C. C. Smith, G. Löf, R. Jones 1994, "Measurement and analysis of evaporation from an inactive outdoor swimming pool":
// W = (30.6 + 32.1 v)(pw - pa) / Y kg/(h m2), v m/s over the water, p mmHg, Y kJ/kg. Coefficients from memory; the
// paper's abstract gives the ratios to the handbook equation, 72 % in still air and 82 % at 2.2 m/s, which they
// reproduce. Converted to SI in models/parameters.hpp.
// In use: C. C. Smith et al. 1998 found 70 % more with 15 to 20 bathers per 1000 square feet.

#include "models/constants.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"

namespace brinecast::models {

template <class Lanes>
struct EvaporationInputs {
  Lanes vapour_pressure_at_water_Pa;  // saturated, at the water's temperature
  Lanes vapour_pressure_of_air_Pa;
  Lanes transfer_W_per_m2_Pa;  // from evaporation_transfer
};

template <class Lanes>
struct EvaporationTransferInputs {
  Lanes wind_speed_m_per_s;  // over the water
  Lanes bathers_per_m2;      // in the water now
  Lanes share_uncovered;     // 1 open, 0 under a perfect cover
};

/// Heat carried off per area and vapour pressure difference.
template <class Lanes>
Lanes evaporation_transfer_W_per_m2_Pa(EvaporationTransferInputs<Lanes> const& in, Parameters const& parameters) {
  Lanes const crowding = min(in.bathers_per_m2 * (1.0 / parameters.crowded_bathers_per_m2), Lanes(1.0));
  Lanes const still_and_wind =
      parameters.evaporation_still_W_per_m2_Pa + parameters.evaporation_wind_J_per_m3_Pa * in.wind_speed_m_per_s;
  return still_and_wind * (1.0 + parameters.crowded_evaporation_gain * crowding) * in.share_uncovered *
         parameters.evaporation_factor;
}

/// Heat lost by evaporation, W/m2; negative when water condenses on a pool colder than the dew point.
template <class Lanes>
Lanes evaporation_heat_W_per_m2(EvaporationInputs<Lanes> const& in) {
  return in.transfer_W_per_m2_Pa * (in.vapour_pressure_at_water_Pa - in.vapour_pressure_of_air_Pa);
}

/// Water lost, m3/(m2 s), never negative: condensation is a heat gain but next to no water.
template <class Lanes>
Lanes evaporation_depth_m_per_s(Lanes heat_W_per_m2, Lanes latent_heat_J_per_kg) {
  return max(heat_W_per_m2, Lanes(0.0)) / (latent_heat_J_per_kg * reference_water_density_kg_per_m3);
}

}  // namespace brinecast::models
