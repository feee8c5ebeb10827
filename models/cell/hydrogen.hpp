#pragma once
// Hydrogen from the cathode carries carbon dioxide out of the water and stirs it.

#include "models/constants.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"

namespace brinecast::models {

/// mol/s of CO2 that leave in the bubbles: one H2 per Cl2, each bubble at most in equilibrium with the water, so the
/// share of CO2 in it is the water's CO2 pressure over the total. An upper bound by physics, and a small one: the pH
/// rise that owners see comes from CO2 leaving through the surface.
template <class Lanes>
struct StrippingInputs {
  Lanes chlorine_production_mol_per_s;
  Lanes carbon_dioxide_mol_per_m3;
  Lanes solubility_mol_per_m3_Pa;
};
template <class Lanes>
Lanes carbon_dioxide_stripped_mol_per_s(StrippingInputs<Lanes> const& in, Parameters const& parameters) {
  Lanes const pressure_Pa = in.carbon_dioxide_mol_per_m3 / in.solubility_mol_per_m3_Pa;
  return in.chlorine_production_mol_per_s * pressure_Pa *
         (parameters.bubble_equilibrium_share / standard_atmosphere_Pa);
}

}  // namespace brinecast::models
