#pragma once
// pH from what is conserved: alkalinity and inorganic carbon, with stabiliser, borate and chlorine taking their part.
// Alkalinity = HCO3 + 2 CO3 + OH - H + H2Cy- + chlorinated cyanurate anions + B(OH)4- + OCl-. Solved for ln {H+}.

#include "models/carbonate/equilibrium.hpp"
#include "models/constants.hpp"
#include "models/lanes.hpp"
#include "models/step.hpp"

namespace brinecast::models {

/// Amounts per volume, mol/m3.
template <class Lanes>
struct AcidBaseTotals {
  Lanes alkalinity;  // equivalents
  Lanes inorganic_carbon;
  Lanes cyanuric_acid;          // that carries no chlorine
  Lanes chlorinated_cyanurate;  // counted as univalent anions
  Lanes borate;
  Lanes free_hypochlorous;  // HOCl and OCl-
};

/// The alkalinity that these totals have at a pH, and its first two derivatives by ln {H+}.
template <class Lanes>
struct AlkalinityAtPh {
  Lanes alkalinity;
  Lanes slope;  // < 0; its magnitude is the buffer intensity in mol/m3 per unit of ln {H+}
  Lanes curvature;
  Lanes carbon_dioxide_share;  // of the inorganic carbon
  Lanes charge_per_carbon;     // mean charge of the inorganic carbon, 0 to 2
};

template <class Lanes>
AlkalinityAtPh<Lanes> alkalinity_at(Lanes hydrogen_activity, AcidBaseTotals<Lanes> const& totals,
                                    WaterEquilibrium<Lanes> const& k) {
  Lanes const h = hydrogen_activity;
  // Carbon with charges 0, 1, 2: derivatives by ln h are the cumulants of the charge.
  Lanes const weight_1 = k.first_carbonic * h;
  Lanes const weight_2 = k.first_carbonic * k.second_carbonic;
  auto const [inverse, per_cyanuric, per_boric, per_hypochlorous, per_h] = inverses<Lanes>(
      h * h + weight_1 + weight_2, h + k.cyanuric, h + k.boric, h + k.hypochlorous, h);
  Lanes const share_1 = weight_1 * inverse;
  Lanes const share_2 = weight_2 * inverse;
  Lanes const mean = share_1 + 2.0 * share_2;
  Lanes const square = share_1 + 4.0 * share_2;
  Lanes const cube = share_1 + 8.0 * share_2;
  Lanes const variance = square - mean * mean;
  Lanes const third = cube - 3.0 * mean * square + 2.0 * mean * mean * mean;
  Lanes alkalinity = totals.chlorinated_cyanurate + totals.inorganic_carbon * mean;
  Lanes slope = -totals.inorganic_carbon * variance;
  Lanes curvature = totals.inorganic_carbon * third;
  auto const add_weak_acid = [&](Lanes amount, Lanes share) {
    Lanes const spread = amount * share * (1.0 - share);
    alkalinity += amount * share;
    slope -= spread;
    curvature += spread * (1.0 - 2.0 * share);
  };
  add_weak_acid(totals.cyanuric_acid, k.cyanuric * per_cyanuric);
  add_weak_acid(totals.borate, k.boric * per_boric);
  add_weak_acid(totals.free_hypochlorous, k.hypochlorous * per_hypochlorous);
  Lanes const hydroxide = k.water_mol_per_m3 * per_h;
  Lanes const hydrogen = 1000.0 * h * k.inverse_activity;
  return {.alkalinity = alkalinity + hydroxide - hydrogen,
          .slope = slope - hydroxide - hydrogen,
          .curvature = curvature + hydroxide - hydrogen,
          .carbon_dioxide_share = h * h * inverse,
          .charge_per_carbon = mean};
}

/// pH and what follows from it.
template <class Lanes>
struct AcidBase {
  Lanes ph;
  Lanes hydrogen_activity;  // mol/L
  Lanes carbon_dioxide_mol_per_m3;
  Lanes carbonate_alkalinity_mol_per_m3;  // HCO3 + 2 CO3, pairs included
  Lanes carbon_dioxide_per_carbon;        // change of CO2 per change of inorganic carbon at constant alkalinity
};

template <class Lanes>
AcidBase<Lanes> acid_base_at(Lanes hydrogen_activity, Lanes ph, AcidBaseTotals<Lanes> const& totals,
                             AlkalinityAtPh<Lanes> const& at) {
  Lanes const response = -totals.inorganic_carbon * at.charge_per_carbon * at.charge_per_carbon / at.slope;
  return {.ph = ph,
          .hydrogen_activity = hydrogen_activity,
          .carbon_dioxide_mol_per_m3 = totals.inorganic_carbon * at.carbon_dioxide_share,
          .carbonate_alkalinity_mol_per_m3 = totals.inorganic_carbon * at.charge_per_carbon,
          .carbon_dioxide_per_carbon = at.carbon_dioxide_share * (1.0 + response)};
}

/// Two Halley steps in ln {H+} from last hour's pH: third order each, so a change of 0.3 pH in the hour is found to
/// 1e-6. For larger jumps (a dose) take several, or solve_ph. Far from the root Halley's denominator falls and turns
/// negative; it is held to that of twice Newton's step, so that every step goes towards the root.
template <class Lanes>
AcidBase<Lanes> follow_ph(Lanes last_ph, AcidBaseTotals<Lanes> const& totals, WaterEquilibrium<Lanes> const& k) {
  Lanes h = exp10(-last_ph);
  AlkalinityAtPh<Lanes> at = alkalinity_at(h, totals, k);
  for (int step = 0; step < 2; ++step) {
    Lanes const excess = at.alkalinity - totals.alkalinity;
    Lanes const square = at.slope * at.slope;
    Lanes const move = -2.0 * excess * at.slope / max(2.0 * square - excess * at.curvature, square);
    h *= exp_of_small(clamp<Lanes>(move, -1.5, 1.5));
    at = alkalinity_at(h, totals, k);
  }
  return acid_base_at(h, -log10(h), totals, at);
}

/// By bisection between pH 0 and 14, for jumps and for readings; to 1e-12.
AcidBase<double> solve_ph(AcidBaseTotals<double> const& totals, WaterEquilibrium<double> const& equilibrium);

/// The alkalinity that the totals have at this pH (their own `alkalinity` is not used), mol/m3.
double alkalinity_for_ph(double ph, AcidBaseTotals<double> const& totals, WaterEquilibrium<double> const& equilibrium);

/// The inorganic carbon that gives this pH with the totals' alkalinity (their own `inorganic_carbon` is not used),
/// mol/m3; 0 where even none leaves the water more acid.
double inorganic_carbon_for_ph(double ph, AcidBaseTotals<double> const& totals,
                               WaterEquilibrium<double> const& equilibrium);

}  // namespace brinecast::models
