#pragma once
// Long-wave radiation of the sky. P. Berdahl & M. Martin 1984 for the clear sky, G. Walton 1983 for clouds.

#include "models/constants.hpp"
#include "models/lanes.hpp"

namespace brinecast::models {

/// Emissivity of the clear sky from the dew point. Check: dew point 13.86 degC 0.8026.
template <class Lanes>
Lanes clear_sky_emissivity(Lanes dew_point_K) {
  Lanes const hundreds = (dew_point_K - celsius_zero_K) * 0.01;
  return 0.711 + hundreds * (0.56 + hundreds * 0.73);
}

/// Factor by which clouds raise the emissivity, cloud_fraction 0 to 1. Check: overcast 1.154.
template <class Lanes>
Lanes cloud_emissivity_factor(Lanes cloud_fraction) {
  Lanes const tenths = cloud_fraction * 10.0;
  return 1.0 + tenths * (0.0224 + tenths * (-0.0035 + tenths * 0.00028));
}

template <class Lanes>
struct SkyInputs {
  Lanes air_temperature_K;
  Lanes dew_point_K;
  Lanes cloud_fraction;
};

/// Long-wave radiation from the sky, W/m2. Depends on the weather alone.
template <class Lanes>
Lanes sky_long_wave_W_per_m2(SkyInputs<Lanes> const& in) {
  Lanes const emissivity =
      min(clear_sky_emissivity(in.dew_point_K) * cloud_emissivity_factor(in.cloud_fraction), Lanes(1.0));
  Lanes const squared = in.air_temperature_K * in.air_temperature_K;
  return emissivity * stefan_boltzmann_W_per_m2_K4 * squared * squared;
}

}  // namespace brinecast::models
