#pragma once
// Saturation vapour pressure of water and of ice.
// A. L. Buck 1996, enhancement left out. From memory; agrees with the formulation of the ASHRAE handbook within 0.05 %
// from -20 to 50 degC. Check: 25 degC 3168.5 Pa, ice at -5 degC 401.8 Pa.

#include "models/constants.hpp"
#include "models/lanes.hpp"

namespace brinecast::models {

/// A pressure and its slope with temperature.
template <class Lanes>
struct VapourPressure {
  Lanes pressure_Pa;
  Lanes slope_Pa_per_K;
};

/// Coefficients of p = scale exp((factor - t / divisor) t / (offset + t)), t in degC.
struct BuckCoefficients {
  double scale_Pa, factor, divisor_K, offset_K;
};
inline constexpr BuckCoefficients buck_over_water{611.21, 18.678, 234.5, 257.14};
inline constexpr BuckCoefficients buck_over_ice{611.15, 23.036, 333.7, 279.82};

template <class Lanes>
VapourPressure<Lanes> buck_vapour_pressure(Lanes temperature_K, BuckCoefficients const& by) {
  Lanes const t = temperature_K - celsius_zero_K;
  Lanes const inverse = 1.0 / (by.offset_K + t);
  Lanes const numerator = (by.factor - t * (1.0 / by.divisor_K)) * t;
  Lanes const exponent = numerator * inverse;
  Lanes const pressure = by.scale_Pa * exp(exponent);
  Lanes const slope = pressure * inverse * (by.factor - t * (2.0 / by.divisor_K) - exponent);
  return {pressure, slope};
}

/// Over liquid water, -20 to 50 degC; with its slope, for the semi-implicit heat step.
template <class Lanes>
VapourPressure<Lanes> vapour_pressure_over_water(Lanes temperature_K) {
  return buck_vapour_pressure(temperature_K, buck_over_water);
}
template <class Lanes>
Lanes saturation_vapour_pressure_Pa(Lanes temperature_K) {
  return vapour_pressure_over_water(temperature_K).pressure_Pa;
}
/// Over ice, -40 to 0 degC.
template <class Lanes>
Lanes saturation_vapour_pressure_over_ice_Pa(Lanes temperature_K) {
  return buck_vapour_pressure(temperature_K, buck_over_ice).pressure_Pa;
}

}  // namespace brinecast::models
