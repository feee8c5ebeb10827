#pragma once
// Temperature at which rain reaches the pool: the wet bulb's, from memory.

#include "models/constants.hpp"
#include "models/lanes.hpp"
#include "models/water/vapour_pressure.hpp"

namespace brinecast::models {

template <class Lanes>
struct WetBulbInputs {
  Lanes air_temperature_K;
  Lanes vapour_pressure_of_air_Pa;
  Lanes air_pressure_Pa;
};

/// Wet bulb by three Newton steps on the psychrometric equation e_s(t) - A p (t_air - t) = e, A = 0.000665 /K (FAO
/// irrigation paper 56, from memory). Within 0.01 K from -5 to 45 degC. Never below freezing: rain is liquid.
template <class Lanes>
Lanes rain_temperature_K(WetBulbInputs<Lanes> const& in) {
  constexpr double psychrometer_per_K = 0.000665;
  Lanes const slope_of_air = psychrometer_per_K * in.air_pressure_Pa;
  Lanes wet_bulb = in.air_temperature_K;
  for (int step = 0; step < 3; ++step) {
    VapourPressure<Lanes> const at = vapour_pressure_over_water(wet_bulb);
    wet_bulb =
        wet_bulb - (at.pressure_Pa - in.vapour_pressure_of_air_Pa - slope_of_air * (in.air_temperature_K - wet_bulb)) /
                       (at.slope_Pa_per_K + slope_of_air);
  }
  return max(wet_bulb, Lanes(celsius_zero_K));
}

}  // namespace brinecast::models
