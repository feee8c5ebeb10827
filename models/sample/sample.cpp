#include "models/sample/sample.hpp"

#include "models/carbonate/saturation.hpp"
#include "models/constants.hpp"
#include "models/water/conductivity.hpp"

namespace brinecast::models {

namespace {

IonicMedium<double> medium_of(WaterComposition const& water) {
  return {.chloride_mol_per_m3 = water.salt_kg_per_m3 / molar_mass_NaCl_kg_per_mol + 2.0 * water.calcium_mol_per_m3,
          .calcium_mol_per_m3 = water.calcium_mol_per_m3,
          .alkalinity_mol_per_m3 = water.alkalinity_mol_per_m3};
}

AcidBaseTotals<double> totals_of(WaterComposition const& water, Speciation<double> const& chlorine) {
  return {.alkalinity = water.alkalinity_mol_per_m3,
          .inorganic_carbon = water.inorganic_carbon_mol_per_m3,
          .cyanuric_acid = water.cyanuric_acid_mol_per_m3 - chlorine.bound_cyanurate_mol_per_m3,
          .chlorinated_cyanurate = chlorine.bound_cyanurate_mol_per_m3,
          .borate = water.borate_mol_per_m3,
          .free_hypochlorous = chlorine.hypochlorous_mol_per_m3 + chlorine.hypochlorite_mol_per_m3};
}

Speciation<double> chlorine_at(double ph, WaterComposition const& water, WaterEquilibrium<double> const& k,
                               CyanurateSet const& set) {
  return chlorine_speciation<double>({.hydrogen_activity = exp10(-ph),
                                      .temperature_K = water.temperature_K,
                                      .free_chlorine_mol_per_m3 = water.free_chlorine_mol_per_m3,
                                      .cyanuric_acid_mol_per_m3 = water.cyanuric_acid_mol_per_m3},
                                     k, set, converged_newton_steps);
}

/// Equilibrium with the calcium that stays free beside this water's bicarbonate and carbonate.
WaterEquilibrium<double> equilibrium_with_pairs(WaterComposition const& water, double ph) {
  EquilibriumInputs<double> inputs{.temperature_K = water.temperature_K,
                                   .medium = medium_of(water),
                                   .free_calcium_mol_per_m3 = water.calcium_mol_per_m3};
  WaterEquilibrium<double> k = water_equilibrium(inputs);
  double const h = exp10(-ph);
  constexpr int rounds = 12;  // each shrinks the error by the paired share, which is below a third
  for (int round = 0; round < rounds && water.calcium_mol_per_m3 > 0.0; ++round) {
    double const weight_1 = k.first_carbonic / h;
    double const weight_2 = weight_1 * k.second_carbonic / h;
    double const bicarbonate = water.inorganic_carbon_mol_per_m3 * weight_1 / (1.0 + weight_1 + weight_2);
    double const carbonate = bicarbonate * k.second_carbonic / h;
    // Pairs per free calcium are set by the free ions.
    double const per_calcium = (k.calcium_bicarbonate_association * bicarbonate / k.bicarbonate_pairing +
                                k.calcium_carbonate_association * carbonate / k.carbonate_pairing);
    inputs.free_calcium_mol_per_m3 = water.calcium_mol_per_m3 / (1.0 + per_calcium);
    k = water_equilibrium(inputs);
  }
  return k;
}

struct Solved {
  WaterEquilibrium<double> equilibrium;
  Speciation<double> chlorine;
  AcidBase<double> acid_base;
};

/// pH, chlorine and ion pairs lean on each other only weakly: a fixed-point iteration settles quickly.
Solved solve(WaterComposition const& water, CyanurateSet const& set) {
  constexpr int rounds = 12;
  Solved solved{};
  double ph = 7.5;
  for (int round = 0; round < rounds; ++round) {
    solved.equilibrium = equilibrium_with_pairs(water, ph);
    solved.chlorine = chlorine_at(ph, water, solved.equilibrium, set);
    solved.acid_base = solve_ph(totals_of(water, solved.chlorine), solved.equilibrium);
    ph = solved.acid_base.ph;
  }
  return solved;
}

}  // namespace

WaterProperties properties_of(WaterComposition const& water, CyanurateSet const& set) {
  Solved const solved = solve(water, set);
  WaterProperties properties;
  properties.acid_base = solved.acid_base;
  properties.chlorine = solved.chlorine;
  properties.equilibrium = solved.equilibrium;
  properties.saturation_index =
      saturation_index<double>({.ph = solved.acid_base.ph,
                                .hydrogen_activity = solved.acid_base.hydrogen_activity,
                                .carbonate_alkalinity_mol_per_m3 = solved.acid_base.carbonate_alkalinity_mol_per_m3,
                                .calcium_mol_per_m3 = water.calcium_mol_per_m3},
                               solved.equilibrium);
  properties.carbon_dioxide_pressure_Pa =
      solved.acid_base.carbon_dioxide_mol_per_m3 / solved.equilibrium.carbon_dioxide_mol_per_m3_Pa;
  properties.ionic_strength_mol_per_L = ionic_strength_mol_per_L(medium_of(water));
  properties.conductivity_S_per_m = conductivity_S_per_m<double>({.salt_kg_per_m3 = water.salt_kg_per_m3,
                                                                  .calcium_mol_per_m3 = water.calcium_mol_per_m3,
                                                                  .alkalinity_mol_per_m3 = water.alkalinity_mol_per_m3,
                                                                  .temperature_K = water.temperature_K});
  return properties;
}

WaterComposition composition_of(TestedWater const& tested, CyanurateSet const& set) {
  WaterComposition water{.temperature_K = tested.temperature_K,
                         .salt_kg_per_m3 = tested.salt_kg_per_m3,
                         .calcium_mol_per_m3 = tested.calcium_mol_per_m3,
                         .alkalinity_mol_per_m3 = tested.alkalinity_mol_per_m3,
                         .inorganic_carbon_mol_per_m3 = tested.alkalinity_mol_per_m3,
                         .cyanuric_acid_mol_per_m3 = tested.cyanuric_acid_mol_per_m3,
                         .borate_mol_per_m3 = tested.borate_mol_per_m3,
                         .free_chlorine_mol_per_m3 = tested.free_chlorine_mol_per_m3};
  constexpr int rounds = 12;
  for (int round = 0; round < rounds; ++round) {
    WaterEquilibrium<double> const k = equilibrium_with_pairs(water, tested.ph);
    water.inorganic_carbon_mol_per_m3 =
        inorganic_carbon_for_ph(tested.ph, totals_of(water, chlorine_at(tested.ph, water, k, set)), k);
  }
  return water;
}

double acid_for_ph_mol_per_m3(WaterComposition const& water, double target_ph, CyanurateSet const& set) {
  // HCl trades alkalinity for chloride, so the ionic medium stays; its alkalinity at the target is explicit.
  WaterEquilibrium<double> const k = equilibrium_with_pairs(water, target_ph);
  Speciation<double> const chlorine = chlorine_at(target_ph, water, k, set);
  return water.alkalinity_mol_per_m3 - alkalinity_for_ph(target_ph, totals_of(water, chlorine), k);
}

}  // namespace brinecast::models
