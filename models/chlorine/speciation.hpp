#pragma once
// How free chlorine is shared between hypochlorous acid (the active part), hypochlorite and chlorinated cyanurates.
// Full set: J. E. O'Brien, J. C. Morris & W. P. Butler 1974 at 25 degC, from memory; it closes thermodynamically.
// Simple set: D. G. Wahman & N. A. Alexander 2019. The two differ by x1.5 in hypochlorous acid: a parameter chooses.
// Equilibrium is instant against an hour (same 2019 paper).

#include "models/carbonate/equilibrium.hpp"
#include "models/constants.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"

namespace brinecast::models {

/// -log10 K at 25 degC and zero ionic strength; H+ and HOCl in mol/L.
struct CyanurateConstants {
  double cyanuric_shift;     // the set's own pK of H3Cy less the one used for alkalinity
  double dissociation_2;     // H2Cy- = H+ + HCy--
  double dissociation_3;     // HCy-- = H+ + Cy---
  double mono_hydrolysis;    // HClCy- + H2O = H2Cy- + HOCl
  double di_hydrolysis;      // Cl2Cy- + H2O = HClCy- + HOCl
  double tri_hydrolysis;     // Cl3Cy + H2O = HCl2Cy + HOCl
  double mono_protonation;   // H2ClCy = H+ + HClCy-
  double mono_dissociation;  // HClCy- = H+ + ClCy--
  double di_protonation;     // HCl2Cy = H+ + Cl2Cy-
};
/// A species that a set leaves out: so weak that it never counts.
inline constexpr double absent = 99.0;
inline constexpr CyanurateConstants full_1974{.cyanuric_shift = 6.88 - 6.966,
                                              .dissociation_2 = 11.40,
                                              .dissociation_3 = 13.5,
                                              .mono_hydrolysis = 5.62,
                                              .di_hydrolysis = 4.51,
                                              .tri_hydrolysis = 1.80,
                                              .mono_protonation = 5.33,
                                              .mono_dissociation = 10.12,
                                              .di_protonation = 3.75};
inline constexpr CyanurateConstants simple_2019{.cyanuric_shift = 0.0,
                                                .dissociation_2 = absent,
                                                .dissociation_3 = absent,
                                                .mono_hydrolysis = 5.83,
                                                .di_hydrolysis = 2028.0 / reference_temperature_K - 2.15,
                                                .tri_hydrolysis = -absent,
                                                .mono_protonation = -absent,
                                                .mono_dissociation = absent,
                                                .di_protonation = -absent};

/// The chosen set as factors, made once a run.
struct CyanurateSet {
  double protonation_factor;                                          // on the alkalinity set's constant of H3Cy
  double dissociation_2, dissociation_3, mono_dissociation;           // mol/L
  double per_mono_protonation, per_di_protonation;                    // L/mol
  double per_mono_m3_per_mol, per_di_m3_per_mol, per_tri_m3_per_mol;  // chlorination, 1/K on the mol/m3 scale
  double mono_slope_K, di_slope_K;                                    // change of ln K per change of 1/T
};
CyanurateSet cyanurate_set(Parameters const& parameters);

template <class Lanes>
struct SpeciationInputs {
  Lanes hydrogen_activity;
  Lanes temperature_K;
  Lanes free_chlorine_mol_per_m3;  // as Cl2
  Lanes cyanuric_acid_mol_per_m3;  // chlorinated or not
};

/// mol/m3. Bound chlorine is the rest of the free chlorine.
template <class Lanes>
struct Speciation {
  Lanes hypochlorous_mol_per_m3;
  Lanes hypochlorite_mol_per_m3;
  Lanes bound_mol_per_m3;            // as Cl2
  Lanes bound_cyanurate_mol_per_m3;  // cyanurate that carries chlorine
};

/// Cyanurates by number of chlorines, relative to H2Cy-, as a polynomial in the concentration of HOCl.
template <class Lanes>
struct ChlorinationPolynomial {
  Lanes none, one, two, three;
};
template <class Lanes>
ChlorinationPolynomial<Lanes> chlorination(Lanes hydrogen_activity, Lanes temperature_K,
                                           WaterEquilibrium<Lanes> const& k, CyanurateSet const& set) {
  Lanes const h = hydrogen_activity;
  auto const [inverse_hydrogen, inverse_cyanuric] = inverses<Lanes>(h, k.cyanuric);
  Lanes const basicity = k.inverse_activity * inverse_hydrogen;
  Lanes const acidity = h * k.activity;
  Lanes const inverse_difference = 1.0 / temperature_K - 1.0 / reference_temperature_K;
  // pK rises on cooling: bound chlorine is then bound more tightly.
  Lanes mono_tightness = set.per_mono_m3_per_mol;
  if (set.mono_slope_K != 0.0) mono_tightness *= exp(set.mono_slope_K * inverse_difference);
  Lanes const di_tightness = set.per_di_m3_per_mol * exp(set.di_slope_K * inverse_difference);
  Lanes const pair = mono_tightness * di_tightness;
  Lanes const di_acid = acidity * set.per_di_protonation;
  return {.none = 1.0 + h * set.protonation_factor * inverse_cyanuric +
                  set.dissociation_2 * basicity * (1.0 + set.dissociation_3 * basicity),
          .one = mono_tightness * (1.0 + acidity * set.per_mono_protonation + set.mono_dissociation * basicity),
          .two = pair * (1.0 + di_acid),
          .three = pair * di_acid * set.per_tri_m3_per_mol};
}

/// Newton steps of the hourly step: HOCl within 1e-5 for free chlorine to 10 mg/L over cyanuric acid from 20 mg/L,
/// within 3 % in the hours after a shock of 20 mg/L. With 8 steps it is exact for anything.
inline constexpr int hourly_newton_steps = 3;
inline constexpr int converged_newton_steps = 8;

/// Solves the two balances for HOCl without history: start from the closed solution with at most one chlorine per
/// cyanurate, then Newton. Total free chlorine rises with HOCl along a concave curve, so every tangent crosses the
/// total at or below the root: after the first step the approach is from below, and the tangent at zero bounds it.
/// Check: 25 degC, pH 7.5, free chlorine 3 and cyanuric acid 50 mg/L, no salt: HOCl .0246 mg/L as Cl2.
template <class Lanes>
Speciation<Lanes> chlorine_speciation(SpeciationInputs<Lanes> const& in, WaterEquilibrium<Lanes> const& k,
                                      CyanurateSet const& set, int newton_steps = hourly_newton_steps) {
  Lanes const hypochlorite_ratio = k.hypochlorous / in.hydrogen_activity;
  Lanes const free_factor = 1.0 + hypochlorite_ratio;
  ChlorinationPolynomial<Lanes> const p = chlorination(in.hydrogen_activity, in.temperature_K, k, set);
  Lanes const total = max(in.free_chlorine_mol_per_m3, Lanes(0.0));
  Lanes const cyanuric = max(in.cyanuric_acid_mol_per_m3, Lanes(0.0));
  // free_factor one x^2 + (free_factor none + one (cyanuric - total)) x - none total = 0, by the root that stays exact
  // for small totals.
  Lanes const linear = free_factor * p.none + p.one * (cyanuric - total);
  Lanes const root = sqrt(linear * linear + 4.0 * free_factor * p.one * p.none * total);
  auto const few = linear > 0.0;
  auto const [per_start, per_lowest] =
      inverses<Lanes>(select(few, max(root + linear, Lanes(1e-300)), 2.0 * free_factor * p.one),
                      free_factor * p.none + p.one * cyanuric);
  Lanes x = select(few, 2.0 * p.none * total, root - linear) * per_start;
  Lanes const lowest = total * p.none * per_lowest;
  auto const all_at = [&](Lanes at) { return p.none + at * (p.one + at * (p.two + at * p.three)); };
  for (int step = 0; step < newton_steps; ++step) {
    Lanes const all = all_at(x);
    Lanes const first = x * (p.one + x * (2.0 * p.two + x * (3.0 * p.three)));   // x d(all)/dx
    Lanes const second = x * (p.one + x * (4.0 * p.two + x * (9.0 * p.three)));  // x d(first)/dx
    // Bound chlorine is cyanuric first / all. Residual and slope times all and all^2, so that one division does.
    Lanes const unbound = x * free_factor;
    Lanes const residual = (unbound - total) * all + cyanuric * first;
    Lanes const slope = unbound * (all * all) + cyanuric * (second * all - first * first);
    x = max(x * (1.0 - residual * all / max(slope, Lanes(1e-300))), lowest);
  }
  Lanes const carriers = cyanuric * (1.0 - p.none / all_at(x));
  Lanes const hypochlorite = x * hypochlorite_ratio;
  return {.hypochlorous_mol_per_m3 = x,
          .hypochlorite_mol_per_m3 = hypochlorite,
          .bound_mol_per_m3 = max(total - x - hypochlorite, Lanes(0.0)),
          .bound_cyanurate_mol_per_m3 = carriers};
}

}  // namespace brinecast::models
