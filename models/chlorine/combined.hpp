#pragma once
// Bathers' nitrogen, combined chlorine and breakpoint.
// Ammonia-like nitrogen takes up chlorine at once, one Cl2 per N, as combined chlorine. Active chlorine then destroys
// combined chlorine for another half Cl2 per N: 3/2 Cl2 per N in all, 7.593 g/g (breakpoint stoichiometry). Urea is
// attacked slowly, also for 3/2 Cl2 per N.

#include "models/constants.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"
#include "models/step.hpp"

namespace brinecast::models {

inline constexpr double chlorine_per_ammonia = 1.0;             // mol Cl2 per mol N, monochloramine
inline constexpr double chlorine_per_combined_destroyed = 0.5;  // mol Cl2 per mol of combined Cl2
inline constexpr double chlorine_per_urea_nitrogen = 1.5;       // mol Cl2 per mol N

/// What one bather brings, mol.
template <class Lanes>
struct BatherLoad {
  Lanes ammonia_nitrogen_mol;
  Lanes urea_nitrogen_mol;
  Lanes chlorine_demand_mol;  // of everything else, at once
};
/// A bather's 30 mL of urine and 0.2 L of sweat by the WHO 2006 table, from memory: 0.565 g N; the rest of the field
/// median of 5.5 g Cl2 per bather (Bradford 2014) is used at once.
template <class Lanes>
BatherLoad<Lanes> bather_load(Lanes bathers, Parameters const& parameters) {
  double const nitrogen_mol = (parameters.ammonia_nitrogen_kg_per_bather + parameters.urea_nitrogen_kg_per_bather) /
                              molar_mass_nitrogen_kg_per_mol;
  double const other =
      parameters.chlorine_demand_kg_per_bather / molar_mass_Cl2_kg_per_mol - chlorine_per_urea_nitrogen * nitrogen_mol;
  return {bathers * (parameters.ammonia_nitrogen_kg_per_bather / molar_mass_nitrogen_kg_per_mol),
          bathers * (parameters.urea_nitrogen_kg_per_bather / molar_mass_nitrogen_kg_per_mol),
          bathers * (other > 0.0 ? other : 0.0)};
}

template <class Lanes>
struct CombinedInputs {
  Lanes free_chlorine_mol;
  Lanes combined_chlorine_mol;
  Lanes ammonia_nitrogen_mol;
  Lanes urea_nitrogen_mol;
  Lanes hypochlorous_mol_per_m3;
  double step_s;
};

template <class Lanes>
struct CombinedOutcome {
  Lanes free_chlorine_used_mol;  // all of it; turned to combined or to chloride
  Lanes combined_chlorine_mol;
  Lanes ammonia_nitrogen_mol;
  Lanes urea_nitrogen_mol;
  Lanes combined_destroyed_mol;
};

/// One step. Ammonia first, as far as the free chlorine reaches; then combined chlorine and urea decay with the active
/// chlorine of the step, no faster than free chlorine is there to pay for it.
template <class Lanes>
CombinedOutcome<Lanes> step_combined_chlorine(CombinedInputs<Lanes> const& in, Parameters const& parameters) {
  Lanes const bound = min(in.ammonia_nitrogen_mol, in.free_chlorine_mol);
  Lanes const combined = in.combined_chlorine_mol + bound;
  Lanes const left = in.free_chlorine_mol - bound;
  Lanes const exposure = in.hypochlorous_mol_per_m3 * in.step_s;
  Lanes const combined_share = 1.0 - exp(-parameters.breakpoint_rate_m3_per_mol_s * exposure);
  Lanes const urea_share = 1.0 - exp(-parameters.urea_rate_m3_per_mol_s * exposure);
  Lanes const wanted = chlorine_per_combined_destroyed * combined * combined_share +
                       chlorine_per_urea_nitrogen * in.urea_nitrogen_mol * urea_share;
  Lanes const affordable = min(wanted, left);
  Lanes const reach = affordable / max(wanted, Lanes(1e-300));
  Lanes const destroyed = combined * combined_share * reach;
  return {.free_chlorine_used_mol = bound + affordable,
          .combined_chlorine_mol = combined - destroyed,
          .ammonia_nitrogen_mol = in.ammonia_nitrogen_mol - bound,
          .urea_nitrogen_mol = in.urea_nitrogen_mol * (1.0 - urea_share * reach),
          .combined_destroyed_mol = destroyed};
}

/// Change of alkalinity, mol, per mol of chlorine that the cell makes (+) or that ends as chloride (-): 2 Cl- + 2 H2O =
/// Cl2 + H2 + 2 OH- there, HOCl = H+ + Cl- + O back. Over the cycle nothing is gained: the observed rise of pH is CO2
/// leaving. Stoichiometry: each mg/L of free chlorine as Cl2 carries 0.706 mg/L of alkalinity as CaCO3.
inline constexpr double alkalinity_per_chlorine = 1.0;

}  // namespace brinecast::models
