#pragma once
// Arithmetic of doses: how much of a product makes a change, and what the product brings besides. Exact in moles; every
// function checks against a worked example for 50 m3 (tests/verification).
// Acids and chlorine products can hurt: never mix products, add product to water, keep others out. Follow label and
// code.

#include "models/constants.hpp"

namespace brinecast::models {

/// A concentration as read and as wanted, and the water it is for. Units of the concentration as the function says.
struct DoseRequest {
  double reading;
  double target;
  double water_volume_m3;
};

/// kg of NaCl. Concentrations in kg/m3, the reading verified by an independent test. Tops up only a share of the
/// verified deficit: salt leaves a pool by draining alone, so an overshoot costs water. Never negative.
double salt_dose_kg(DoseRequest const& request, double top_up_share);

/// kg of NaHCO3 for an alkalinity in mol/m3 of equivalents; adds as much inorganic carbon. Never negative.
double bicarbonate_dose_kg(DoseRequest const& request);
/// kg of Na2CO3 for the same; adds half as much inorganic carbon and raises the pH far. Never negative.
double soda_dose_kg(DoseRequest const& request);
/// mol of HCl that lowers the alkalinity, mol/m3 of equivalents. Never negative.
double acid_dose_mol(DoseRequest const& request);
/// kg of pure CaCl2 for calcium in mol/m3. Never negative.
double calcium_chloride_dose_kg(DoseRequest const& request);
/// kg of cyanuric acid for mol/m3. Dissolves over days. Never negative.
double cyanuric_acid_dose_kg(DoseRequest const& request);
/// mol of available chlorine (Cl2) for free chlorine in mol/m3. Never negative.
double chlorine_dose_mol(DoseRequest const& request);

/// Hydrochloric acid of the trade, 31.45 % by mass, 1.16 kg/L (20 degrees Baume: 145 / (145 - 20)); density from
/// memory.
inline constexpr double acid_mass_fraction = 0.3145;
inline constexpr double acid_density_kg_per_m3 = 1160.0;
inline constexpr double acid_mol_per_m3 = acid_mass_fraction * acid_density_kg_per_m3 / molar_mass_HCl_kg_per_mol;
/// Sodium hypochlorite solution of the trade: 12.5 % available chlorine by volume, 125 g/L as Cl2; density from memory.
inline constexpr double liquid_chlorine_kg_per_m3 = 125.0;
inline constexpr double liquid_chlorine_density_kg_per_m3 = 1200.0;
inline constexpr double liquid_chlorine_mol_per_m3 = liquid_chlorine_kg_per_m3 / molar_mass_Cl2_kg_per_mol;
/// Mass of trade forms of calcium chloride per mass of CaCl2: dihydrate, 77 % flake.
inline constexpr double calcium_chloride_dihydrate_factor = 0.147015 / molar_mass_CaCl2_kg_per_mol;
inline constexpr double calcium_chloride_flake_factor = 1.0 / 0.77;

/// What a mol of a product adds to what is conserved: mol of chloride (as NaCl in the salt), equivalents of alkalinity,
/// mol of inorganic carbon, calcium, cyanuric acid, free chlorine (Cl2).
struct DoseEffect {
  double chloride = 0.0;
  double alkalinity = 0.0;
  double inorganic_carbon = 0.0;
  double calcium = 0.0;
  double cyanuric_acid = 0.0;
  double free_chlorine = 0.0;
};
inline constexpr DoseEffect salt_effect{.chloride = 1.0};
inline constexpr DoseEffect acid_effect{.chloride = 1.0, .alkalinity = -1.0};
inline constexpr DoseEffect bicarbonate_effect{.alkalinity = 1.0, .inorganic_carbon = 1.0};
inline constexpr DoseEffect soda_effect{.alkalinity = 2.0, .inorganic_carbon = 1.0};
inline constexpr DoseEffect calcium_chloride_effect{.chloride = 2.0, .calcium = 1.0};
inline constexpr DoseEffect cyanuric_acid_effect{.cyanuric_acid = 1.0};
/// NaOCl with the NaCl of its making: 2 NaOH + Cl2 = NaOCl + NaCl + H2O.
inline constexpr DoseEffect liquid_chlorine_effect{.chloride = 2.0, .alkalinity = 1.0, .free_chlorine = 1.0};

struct DilutionRequest {
  double reading;
  double target;
  double fill;  // of the fill water, same unit
};
/// Share of the pool to drain and then refill. 0 where nothing is to be lowered, 1 where the fill water is no better.
double share_to_drain(DilutionRequest const& request);
/// Pool volumes of fill water to run through a full pool for the same, -1 where the fill water cannot reach it.
double turnovers_to_flush(DilutionRequest const& request);

}  // namespace brinecast::models
