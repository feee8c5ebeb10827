#pragma once
// Calcite on the plates: it grows on the cathode, where the current makes the water basic, and is dissolved and shed on
// the same plate when the polarity is reversed.
// Rate law: L. N. Plummer, T. M. L. Wigley & D. L. Parkhurst 1978. Near equilibrium it overpredicts growth three- to
// sixfold against measured growth, which the retained share corrects.

#include "models/carbonate/equilibrium.hpp"
#include "models/constants.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"

namespace brinecast::models {

/// Rate constants, mmol/(cm2 s) with activities on the mol/L scale.
template <class Lanes>
struct CalciteRateConstants {
  Lanes by_acid, by_carbonic_acid, by_water;
};
/// Check at 15 / 25 / 32 degC: .04541 / .05115 / .05533; 1.927e-5 / 3.454e-5 / 5.079e-5; 1.096e-7 / 1.193e-7
/// / 1.613e-7.
template <class Lanes>
CalciteRateConstants<Lanes> calcite_rate_constants(Lanes temperature_K) {
  Lanes const inverse = 1.0 / temperature_K;
  Lanes const by_water =
      select(temperature_K > reference_temperature_K, -1.10 - 1737.0 * inverse, -5.86 - 317.0 * inverse);
  Lanes powers[] = {0.198 - 444.0 * inverse, 2.84 - 2177.0 * inverse, by_water};
  raise_ten_to(powers);
  return {powers[0], powers[1], powers[2]};
}

/// Water at a plate or in the bulk.
template <class Lanes>
struct CalciteWater {
  Lanes hydrogen_activity;  // mol/L
  Lanes carbon_dioxide_mol_per_m3;
  Lanes saturation_index;
};

/// kg of CaCO3 per m2 and s that forms (> 0) or dissolves (< 0).
/// Check: 25 degC, SI 1.831 at pH 9.60: 6723 mg/(m2 h); SI -1.639 at pH 6.19: -634.
template <class Lanes>
Lanes calcite_growth_kg_per_m2_s(CalciteWater<Lanes> const& water, CalciteRateConstants<Lanes> const& rate) {
  constexpr double kg_per_m2_per_mmol_per_cm2 = 10.0 * molar_mass_CaCO3_kg_per_mol;
  Lanes const forward = rate.by_acid * water.hydrogen_activity +
                        rate.by_carbonic_acid * water.carbon_dioxide_mol_per_m3 * 1e-3 + rate.by_water;
  return forward * (exp10(water.saturation_index * (2.0 / 3.0)) - 1.0) * kg_per_m2_per_mmol_per_cm2;
}

template <class Lanes>
struct FilmInputs {
  Lanes carbonate_alkalinity_mol_per_m3;  // of the bulk water
  Lanes inorganic_carbon_mol_per_m3;
  Lanes calcium_mol_per_m3;
};

/// The film at the cathode, made basic by `hydroxide_mol_per_m3`: carbonate from the two balances with hydrolysis, a
/// quadratic. Acids and H+ are negligible there. Check: pH 7.4 water, +1 mol/m3: SI 1.83.
template <class Lanes>
Lanes cathode_saturation_index(FilmInputs<Lanes> const& in, WaterEquilibrium<Lanes> const& k,
                               double hydroxide_mol_per_m3) {
  Lanes const hydrolysis = k.water_mol_per_m3 / k.second_carbonic;
  Lanes const carbon = in.inorganic_carbon_mol_per_m3;
  Lanes const excess = max(in.carbonate_alkalinity_mol_per_m3 + hydroxide_mol_per_m3 - carbon, Lanes(0.0));
  Lanes const sum = carbon + hydrolysis + excess;
  Lanes const carbonate =
      2.0 * excess * carbon / (sum + sqrt(max(sum * sum - 4.0 * excess * carbon, Lanes(0.0))) + 1e-30);
  // Pairing is strong in the film: the pair's balance with calcium is a quadratic of its own.
  Lanes const association = k.calcium_carbonate_association;
  Lanes const all = 1.0 + association * (carbonate + in.calcium_mol_per_m3);
  Lanes const pair_root =
      sqrt(max(all * all - 4.0 * association * association * carbonate * in.calcium_mol_per_m3, Lanes(0.0)));
  Lanes const pair = 2.0 * association * carbonate * in.calcium_mol_per_m3 / (all + pair_root);
  Lanes const product = max((carbonate - pair) * (in.calcium_mol_per_m3 - pair), Lanes(1e-18)) * 1e-6;
  return log10(product) + k.calcite_exponent - 8.0 * k.davies_exponent;
}

/// The film at the anode, made acid by `added_acid_mol_per_m3`: H+ from the two balances without carbonate, a
/// quadratic.
template <class Lanes>
CalciteWater<Lanes> anode_water(FilmInputs<Lanes> const& in, WaterEquilibrium<Lanes> const& k,
                                double added_acid_mol_per_m3) {
  Lanes const alkalinity = in.carbonate_alkalinity_mol_per_m3 - added_acid_mol_per_m3;
  Lanes const per_activity = 1000.0 * k.inverse_activity;  // concentration of H+ in mol/m3 per activity
  Lanes const first = k.first_carbonic * per_activity;
  Lanes const b = first + alkalinity;
  Lanes const c = first * (in.inorganic_carbon_mol_per_m3 - alkalinity);
  Lanes const root = sqrt(b * b + 4.0 * max(c, Lanes(0.0)));
  Lanes const hydrogen = select(b > 0.0, 2.0 * c / (root + max(b, Lanes(1e-30))), 0.5 * (root - b));
  Lanes const activity = max(hydrogen, Lanes(1e-9)) * (1e-3 * k.activity);
  auto const [per_carbon, per_carbonate] =
      inverses<Lanes>(activity + k.first_carbonic, k.bicarbonate_pairing * activity);
  Lanes const bicarbonate = in.inorganic_carbon_mol_per_m3 * k.first_carbonic * per_carbon;
  Lanes const carbonate = bicarbonate * k.unpaired_second_carbonic * per_carbonate;
  Lanes const product = max(carbonate * in.calcium_mol_per_m3, Lanes(1e-18)) * 1e-6;
  return {activity, in.inorganic_carbon_mol_per_m3 - bicarbonate,
          log10(product) + k.calcite_exponent - 8.0 * k.davies_exponent};
}

template <class Lanes>
struct ScaleInputs {
  FilmInputs<Lanes> film;
  Lanes temperature_K;
  CalciteWater<Lanes> bulk;
  Lanes scale_kg_per_m2;
  Lanes share_on;       // of the step in which the cell makes chlorine, within share_flowing
  Lanes share_flowing;  // of the step in which water flows past it
  Lanes reversals_per_s;
  double step_s;
};

/// Change of the plates' scale over a step, kg/m2, never below a clean plate. Each plate is the cathode for half the
/// time the cell is on and the anode for the other half; each reversal sheds a part of what has not yet hardened.
/// While water only flows, the bulk water grows or dissolves.
template <class Lanes>
Lanes scale_change_kg_per_m2(ScaleInputs<Lanes> const& in, WaterEquilibrium<Lanes> const& k,
                             Parameters const& parameters) {
  if (!any(in.share_flowing > 0.0)) return Lanes(0.0);  // still water at the plates is soon at rest with them
  CalciteRateConstants<Lanes> const rate = calcite_rate_constants(in.temperature_K);
  constexpr double kg_per_m2_per_mmol_per_cm2 = 10.0 * molar_mass_CaCO3_kg_per_mol;
  Lanes const cathode_index = cathode_saturation_index(in.film, k, parameters.cathode_hydroxide_mol_per_m3);
  Lanes const growth = rate.by_water * max(exp10(cathode_index * (2.0 / 3.0)) - 1.0, Lanes(0.0)) *
                       (kg_per_m2_per_mmol_per_cm2 * parameters.scale_retained_share);
  // No faster than acid reaches the film: half a mol of calcite per mol of H+.
  double const supply_kg_per_m2_s =
      0.5 * molar_mass_CaCO3_kg_per_mol * parameters.film_transfer_m_per_s * parameters.anode_acid_mol_per_m3;
  Lanes const dissolution =
      min(-calcite_growth_kg_per_m2_s(anode_water(in.film, k, parameters.anode_acid_mol_per_m3), rate),
          Lanes(supply_kg_per_m2_s));
  Lanes const shedding = parameters.scale_shed_kg_per_m2 * in.reversals_per_s;
  Lanes const bulk = calcite_growth_kg_per_m2_s(in.bulk, rate) * parameters.scale_retained_share;
  Lanes const change = (0.5 * (growth - max(dissolution, Lanes(0.0))) - shedding) * in.share_on * in.step_s +
                       bulk * max(in.share_flowing - in.share_on, Lanes(0.0)) * in.step_s;
  return max(change, -in.scale_kg_per_m2);
}

/// Share of the plates that this much scale blocks.
template <class Lanes>
Lanes scale_coverage(Lanes scale_kg_per_m2, Parameters const& parameters) {
  return 1.0 - exp(scale_kg_per_m2 * (-1.0 / parameters.scale_covering_kg_per_m2));
}

}  // namespace brinecast::models
