#pragma once
// Conductivity of pool water.

#include "models/constants.hpp"
#include "models/lanes.hpp"

namespace brinecast::models {

template <class Lanes>
struct ConductivityInputs {
  Lanes salt_kg_per_m3;  // NaCl; the chloride that calcium brings comes on top
  Lanes calcium_mol_per_m3;
  Lanes alkalinity_mol_per_m3;
  Lanes temperature_K;
};

/// S/m of salt alone at 25 degC: our own fit to a general geochemical code, 0.5 to 8 kg/m3 within 0.7 %.
/// Check: 3.2 kg/m3 0.6056 (code 0.6042).
template <class Lanes>
Lanes salt_conductivity_at_25_C_S_per_m(Lanes salt_kg_per_m3) {
  Lanes const mg_per_L = salt_kg_per_m3 * 1000.0;
  return (2.09627 - 0.0036053 * sqrt(mg_per_L)) * mg_per_L * 1e-4;
}

/// Conductivity at a temperature over that at 25 degC, 0 to 40 degC within 0.0023; same code.
template <class Lanes>
Lanes conductivity_temperature_ratio(Lanes temperature_K) {
  Lanes const above = temperature_K - reference_temperature_K;
  return 1.0 + above * (0.020421 + above * (4.986e-5 - above * 5.6e-7));
}

/// S/m of pool water at its temperature: all chloride as if it were salt, then what calcium in place of sodium and
/// bicarbonate change, fitted to the same code's 432 waters.
template <class Lanes>
Lanes conductivity_S_per_m(ConductivityInputs<Lanes> const& in) {
  Lanes const all_chloride_as_salt = in.salt_kg_per_m3 + 2.0 * molar_mass_NaCl_kg_per_mol * in.calcium_mol_per_m3;
  Lanes const others = 0.00038 * in.calcium_mol_per_m3 + 0.0086 * in.alkalinity_mol_per_m3;
  return (salt_conductivity_at_25_C_S_per_m(all_chloride_as_salt) + others) *
         conductivity_temperature_ratio(in.temperature_K);
}

}  // namespace brinecast::models
