#pragma once
// A sample of pool water outside the hourly step: what a test kit's figures say about all the rest, and the pH and
// indices of a known composition after a jump such as a dose. Plain double, solved to convergence.

#include "models/carbonate/ph.hpp"
#include "models/chlorine/speciation.hpp"

namespace brinecast::models {

/// What is conserved, per volume.
struct WaterComposition {
  double temperature_K = 298.15;
  double salt_kg_per_m3 = 0.0;  // NaCl; the chloride that calcium brings comes on top
  double calcium_mol_per_m3 = 0.0;
  double alkalinity_mol_per_m3 = 0.0;  // equivalents, all bases
  double inorganic_carbon_mol_per_m3 = 0.0;
  double cyanuric_acid_mol_per_m3 = 0.0;
  double borate_mol_per_m3 = 0.0;
  double free_chlorine_mol_per_m3 = 0.0;  // as Cl2
};

/// What a test kit shows: the same with pH in place of inorganic carbon.
struct TestedWater {
  double temperature_K = 298.15;
  double ph = 7.5;
  double salt_kg_per_m3 = 0.0;
  double calcium_mol_per_m3 = 0.0;
  double alkalinity_mol_per_m3 = 0.0;  // as titrated: all bases
  double cyanuric_acid_mol_per_m3 = 0.0;
  double borate_mol_per_m3 = 0.0;
  double free_chlorine_mol_per_m3 = 0.0;
};

/// What follows from a composition.
struct WaterProperties {
  AcidBase<double> acid_base;  // pH among others
  Speciation<double> chlorine;
  WaterEquilibrium<double> equilibrium;
  double saturation_index = 0.0;  // calcite
  double carbon_dioxide_pressure_Pa = 0.0;
  double ionic_strength_mol_per_L = 0.0;
  double conductivity_S_per_m = 0.0;  // at its own temperature
};

WaterProperties properties_of(WaterComposition const& water, CyanurateSet const& set);

/// The composition that tests so: finds the inorganic carbon.
WaterComposition composition_of(TestedWater const& water, CyanurateSet const& set);

/// Properties straight from the figures of a test kit.
inline WaterProperties properties_of(TestedWater const& water, CyanurateSet const& set) {
  return properties_of(composition_of(water, set), set);
}

/// Acid in mol/m3 of HCl that brings the composition to a pH while no carbon dioxide escapes; negative where the water
/// would need base. Check: 25 degC, alkalinity 100 and hardness 300 mg/L, 3200 mg/L salt, pH 7.8 to 7.5: 0.0627.
double acid_for_ph_mol_per_m3(WaterComposition const& water, double target_ph, CyanurateSet const& set);

}  // namespace brinecast::models
