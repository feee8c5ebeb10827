#pragma once
// Sunlight that a pool absorbs.

#include "models/lanes.hpp"

namespace brinecast::models {

inline constexpr double water_refractive_index = 1.333;  // visible light, from memory
/// Hemispherical mean of Fresnel's reflectance at that index: our own quadrature.
inline constexpr double diffuse_reflectance_of_water = 0.066;

/// Share of a beam that smooth water reflects: Fresnel's equations, unpolarised light.
/// Check: zenith angle 0 deg .0204, 60 deg .0597, 80 deg .3479. 1 at and below the horizon.
template <class Lanes>
Lanes water_reflectance(Lanes cos_zenith) {
  constexpr double n = water_refractive_index;
  Lanes const c = max(cos_zenith, Lanes(0.0));
  Lanes const cos_inside = sqrt(1.0 - (1.0 - c * c) * (1.0 / (n * n)));
  Lanes const across = (c - n * cos_inside) / (c + n * cos_inside);
  Lanes const along = (cos_inside - n * c) / (cos_inside + n * c);
  return 0.5 * (across * across + along * along);
}

template <class Lanes>
struct SunlightInputs {
  Lanes global_irradiance_W_per_m2;
  Lanes diffuse_irradiance_W_per_m2;
  Lanes reflectance;  // of the beam, from water_reflectance
};

/// Light that enters open water, W/m2: beam and diffuse light less their reflections. Depends on the weather alone.
template <class Lanes>
Lanes sunlight_into_water_W_per_m2(SunlightInputs<Lanes> const& in) {
  Lanes const beam = max(in.global_irradiance_W_per_m2 - in.diffuse_irradiance_W_per_m2, Lanes(0.0));
  return beam * (1.0 - in.reflectance) + in.diffuse_irradiance_W_per_m2 * (1.0 - diffuse_reflectance_of_water);
}

/// Heat absorbed, W/m2. `solar_absorptance` is the whole pool's under diffuse light, surface reflection included
/// (0.85 light, 0.90 dark: ISO/TR 12596), so the part lost at the surface is divided out of it.
template <class Lanes>
Lanes absorbed_sunlight_W_per_m2(Lanes light_into_water_W_per_m2, Lanes solar_absorptance) {
  return light_into_water_W_per_m2 * solar_absorptance * (1.0 / (1.0 - diffuse_reflectance_of_water));
}

}  // namespace brinecast::models
