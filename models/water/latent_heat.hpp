#pragma once
// Latent heat of vaporisation.

#include "models/constants.hpp"
#include "models/lanes.hpp"

namespace brinecast::models {

/// J/kg. Rogers & Yau 1989, from memory; -25 to 40 degC. Check: 25 degC 2441.9 kJ/kg.
template <class Lanes>
Lanes latent_heat_of_vaporisation_J_per_kg(Lanes temperature_K) {
  Lanes const t = temperature_K - celsius_zero_K;
  return 2500800.0 + t * (-2360.0 + t * (1.6 - t * 0.06));
}

}  // namespace brinecast::models
