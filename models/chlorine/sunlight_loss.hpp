#pragma once
// Chlorine destroyed by sunlight.

#include "models/chlorine/speciation.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"
#include "models/step.hpp"

namespace brinecast::models {

/// Mean of the ultraviolet over the depth relative to the surface: Beer's law. Check: 0.2 /m and 1.4 m: .8722.
template <class Lanes>
Lanes depth_mean_of_ultraviolet(Lanes depth_m, Parameters const& parameters) {
  Lanes const optical_depth = depth_m * parameters.ultraviolet_absorption_per_m;
  return mean_of_decay(optical_depth, exp(-optical_depth));
}

template <class Lanes>
struct SunlightLossInputs {
  Speciation<Lanes> chlorine;
  Lanes irradiance_at_water_W_per_m2;  // global, under shade and cover
  Lanes depth_mean;                    // from depth_mean_of_ultraviolet
};

/// First-order loss rate of free chlorine, 1/s: each form by its own rate (L. H. Nowell & J. Hoigne 1992, noon under a
/// clear summer sky at 47 deg N), scaled with the sun and averaged over the depth. The stabiliser shields what it
/// binds. Check at the surface at noon without stabiliser: half-life 12.2 min at pH 8, 57 min at pH 5.
template <class Lanes>
Lanes sunlight_loss_per_s(SunlightLossInputs<Lanes> const& in, Parameters const& parameters) {
  Speciation<Lanes> const& c = in.chlorine;
  Lanes const total = c.hypochlorous_mol_per_m3 + c.hypochlorite_mol_per_m3 + c.bound_mol_per_m3;
  Lanes const weighted = parameters.photolysis_hypochlorous_per_s * c.hypochlorous_mol_per_m3 +
                         parameters.photolysis_hypochlorite_per_s * c.hypochlorite_mol_per_m3 +
                         parameters.photolysis_bound_per_s * c.bound_mol_per_m3;
  Lanes const sun = in.irradiance_at_water_W_per_m2 * (1.0 / parameters.photolysis_reference_irradiance_W_per_m2);
  return weighted / max(total, Lanes(1e-12)) * sun * in.depth_mean;
}

}  // namespace brinecast::models
