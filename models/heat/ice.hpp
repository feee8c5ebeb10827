#pragma once
// Ice on a pool: grows as heat leaves through it, melts with whatever heat arrives.

#include "models/constants.hpp"
#include "models/lanes.hpp"

namespace brinecast::models {

/// Freezing point of salt water. Blagden's law, cryoscopic constant 1.86 K kg/mol, two ions per NaCl, osmotic
/// coefficient 0.94, from memory. Check: 3.2 kg/m3 -0.19 degC, 5 kg/m3 -0.30 degC.
template <class Lanes>
Lanes freezing_point_K(Lanes salt_kg_per_m3) {
  return celsius_zero_K - (1.86 * 2.0 * 0.94 / (1000.0 * molar_mass_NaCl_kg_per_mol)) * salt_kg_per_m3;
}

template <class Lanes>
struct IceFluxInputs {
  Lanes ice_m;
  Lanes surface_W_per_m2;       // into a surface held at the freezing point
  Lanes loss_slope_W_per_m2_K;  // fall of that flux per kelvin of surface temperature
  double step_s;
};

/// Mean heat flux into the water and ice below, W/m2. A loss is slowed by the ice: the surface cools until conduction
/// through the ice and the flux to the air agree, which integrates to Stefan's law with a surface resistance,
/// h + h^2 slope / (2 k) growing linearly in time. A gain melts from above and is passed on whole.
/// Check: a perfectly cold surface grows 3.526 cm of ice per root of a degree-day.
template <class Lanes>
Lanes flux_through_ice_W_per_m2(IceFluxInputs<Lanes> const& in) {
  constexpr double latent_J_per_m3 = ice_density_kg_per_m3 * latent_heat_of_fusion_J_per_kg;
  Lanes const per_m = in.loss_slope_W_per_m2_K * (1.0 / ice_conductivity_W_per_m_K);
  Lanes const start = 1.0 + per_m * in.ice_m;
  Lanes const loss = max(-in.surface_W_per_m2, Lanes(0.0));
  Lanes const end = sqrt(start * start + 2.0 * per_m * loss * (in.step_s / latent_J_per_m3));
  // (end - start) / per_m without cancellation
  Lanes const growth_m = 2.0 * loss * (in.step_s / latent_J_per_m3) / (end + start);
  return select(in.surface_W_per_m2 < 0.0, -growth_m * (latent_J_per_m3 / in.step_s), in.surface_W_per_m2);
}

template <class Lanes>
struct IceSettlingInputs {
  Lanes ice_m;
  Lanes water_temperature_K;  // may be below freezing or above it under ice: out of balance
  Lanes freezing_point_K;
  Lanes heat_capacity_J_per_m2_K;  // of the water under a square metre
};

template <class Lanes>
struct IceSettling {
  Lanes ice_m;
  Lanes warming_K;        // of the water, by what freezing gives or melting takes
  Lanes latent_J_per_m2;  // given to the water
};

/// Brings ice and water to balance at constant heat: too cold water freezes, warm water melts ice.
template <class Lanes>
IceSettling<Lanes> settle_ice(IceSettlingInputs<Lanes> const& in) {
  constexpr double latent_J_per_m3 = ice_density_kg_per_m3 * latent_heat_of_fusion_J_per_kg;
  Lanes const excess_J_per_m2 = (in.water_temperature_K - in.freezing_point_K) * in.heat_capacity_J_per_m2_K;
  Lanes const ice = max(in.ice_m - excess_J_per_m2 * (1.0 / latent_J_per_m3), Lanes(0.0));
  Lanes const latent = (ice - in.ice_m) * latent_J_per_m3;
  return {ice, latent / in.heat_capacity_J_per_m2_K, latent};
}

}  // namespace brinecast::models
