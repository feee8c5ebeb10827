#pragma once
// Density of pool water.

#include "models/constants.hpp"
#include "models/lanes.hpp"

namespace brinecast::models {

/// kg/m3 of water with salt, 0 to 100 degC. Pure water: Kell 1975, from memory; salt: our own linear fit of 0.71 kg/m3
/// per kg/m3 to densities computed with a general geochemical code, below 8 kg/m3 within 0.2 kg/m3.
/// Check: pure 25 degC 997.045; 3.2 kg/m3 salt 999.31.
template <class Lanes>
Lanes water_density_kg_per_m3(Lanes temperature_K, Lanes salt_kg_per_m3) {
  Lanes const t = temperature_K - celsius_zero_K;
  Lanes const numerator =
      999.83952 + t * (16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12))));
  return numerator / (1.0 + 16.87985e-3 * t) + 0.71 * salt_kg_per_m3;
}

}  // namespace brinecast::models
