#pragma once
// Equilibrium constants of pool water at its temperature and ionic strength, ready for use with the activity of H+
// (10^-pH) and concentrations in mol/m3.
// Carbonate and calcite: L. N. Plummer & E. Busenberg 1982. Water: H. S. Harned & W. J. Hamer 1933 form, from a public
// water-treatment model. Ion pairs CaCO3, CaHCO3+, NaHCO3: database of the USGS geochemical code. Activity: Davies 1962
// with the temperature dependence of Standard Methods 2330. Hypochlorous acid: J. C. Morris 1966. Cyanuric acid:
// D. G. Wahman 2018. Boric acid: the same database. Valid 0 to 40 degC, ionic strength to 0.2 mol/L.

#include "models/constants.hpp"
#include "models/lanes.hpp"

namespace brinecast::models {

/// Concentrations that set the ionic medium, mol/m3.
template <class Lanes>
struct IonicMedium {
  Lanes chloride_mol_per_m3;
  Lanes calcium_mol_per_m3;
  Lanes alkalinity_mol_per_m3;
};

/// Sodium follows from electroneutrality: Na + 2 Ca = Cl + alkalinity.
template <class Lanes>
Lanes sodium_mol_per_m3(IonicMedium<Lanes> const& in) {
  return max(in.chloride_mol_per_m3 + in.alkalinity_mol_per_m3 - 2.0 * in.calcium_mol_per_m3, Lanes(0.0));
}

/// mol/L. Half the sum of charge squared times concentration, bases counted as univalent, sodium by electroneutrality:
/// I = Cl + Ca + alkalinity. Check: 3200 mg/L NaCl, 3 mol/m3 CaCl2, 2 mol/m3 NaHCO3: 0.0659.
template <class Lanes>
Lanes ionic_strength_mol_per_L(IonicMedium<Lanes> const& in) {
  // Strongly acid water has negative alkalinity: no ions are lost by that.
  return (in.chloride_mol_per_m3 + in.calcium_mol_per_m3 + max(in.alkalinity_mol_per_m3, Lanes(0.0))) * 1e-3;
}

/// -log10 of the activity coefficient of a univalent ion; four times that for a divalent one.
/// Check: A 0.5108 at 25 degC; coefficient 0.805 at 0.066 mol/L.
template <class Lanes>
Lanes davies_exponent(Lanes temperature_K, Lanes ionic_strength_mol_per_L) {
  Lanes const root = sqrt(ionic_strength_mol_per_L);
  auto const [per_temperature, per_root] = inverses<Lanes>(temperature_K + 116.0, 1.0 + root);
  Lanes const permittivity = 60954.0 * per_temperature - 68.937;
  Lanes const product = permittivity * temperature_K;
  Lanes const slope = 1.82e6 / (product * sqrt(product));
  return slope * (root * per_root - 0.3 * ionic_strength_mol_per_L);
}

/// Thermodynamic constants at zero ionic strength, as -log10 K with K on the mol/L scale.
template <class Lanes>
struct ThermodynamicConstants {
  Lanes first_carbonic;       // CO2 + H2O = H+ + HCO3-
  Lanes second_carbonic;      // HCO3- = H+ + CO3--
  Lanes calcite;              // CaCO3(s) = Ca++ + CO3--
  Lanes water;                // H2O = H+ + OH-
  Lanes carbon_dioxide;       // CO2(g, atm) = CO2(aq)
  Lanes hypochlorous;         // HOCl = H+ + OCl-
  Lanes cyanuric;             // H3Cy = H+ + H2Cy-
  Lanes boric;                // B(OH)3 + H2O = H+ + B(OH)4-
  Lanes calcium_carbonate;    // CaCO3(aq) = Ca++ + CO3--, negative of the association's log
  Lanes calcium_bicarbonate;  // CaHCO3+ = Ca++ + HCO3-
  Lanes sodium_bicarbonate;   // NaHCO3(aq) = Na+ + HCO3-
};

/// van 't Hoff shift of -log10 K from 25 degC for an enthalpy of reaction.
template <class Lanes>
Lanes van_t_hoff_shift(double enthalpy_J_per_mol, Lanes inverse_temperature) {
  return enthalpy_J_per_mol / (gas_constant_J_per_mol_K * ln10) * (inverse_temperature - 1.0 / reference_temperature_K);
}

/// Check at 25 degC: 6.352, 10.329, 8.480, 13.995, 1.468, 7.537, 6.966.
template <class Lanes>
ThermodynamicConstants<Lanes> thermodynamic_constants(Lanes temperature_K) {
  Lanes const t = temperature_K;
  Lanes const inverse = 1.0 / t;
  Lanes const inverse_squared = inverse * inverse;
  Lanes const log_t = log10(t);
  Lanes const second_carbonic =
      107.8871 + 0.03252849 * t - 5151.79 * inverse - 38.92561 * log_t + 563713.9 * inverse_squared;
  return {
      .first_carbonic = 356.3094 + 0.06091964 * t - 21834.37 * inverse - 126.8339 * log_t + 1684915.0 * inverse_squared,
      .second_carbonic = second_carbonic,
      .calcite = 171.9065 + 0.077993 * t - 2839.319 * inverse - 71.595 * log_t,
      .water = 4471.0 * inverse + 0.01706 * t - 6.0875,
      .carbon_dioxide = -108.3865 - 0.01985076 * t + 6919.53 * inverse + 40.45154 * log_t - 669365.0 * inverse_squared,
      .hypochlorous = 3000.0 * inverse - 10.0686 + 0.0253 * t,
      .cyanuric = 1743.0 * inverse + 1.12,
      .boric = 9.24 + van_t_hoff_shift(13490.0, inverse),
      .calcium_carbonate = -1228.732 - 0.29944 * t + 35512.75 * inverse + 485.818 * log_t,
      .calcium_bicarbonate = -6.009 + 0.03377 * t + 2044.0 * inverse,  // with H+: still to be reduced by pK2
      .sodium_bicarbonate = -0.06 - van_t_hoff_shift(21000.0, inverse),
  };
}

/// Constants for concentrations in mol/m3 and the activity of H+ in mol/L.
template <class Lanes>
struct WaterEquilibrium {
  Lanes davies_exponent;                  // -log10 of a univalent ion's activity coefficient
  Lanes activity;                         // that coefficient
  Lanes inverse_activity;                 // 1 over it
  Lanes first_carbonic;                   // {H+} [HCO3 and its pairs] / [CO2]
  Lanes second_carbonic;                  // {H+} [CO3 and its pairs] / [HCO3 and its pairs]
  Lanes unpaired_second_carbonic;         // {H+} [CO3--] / [HCO3-]
  Lanes bicarbonate_pairing;              // [HCO3- and its pairs] / [HCO3-]
  Lanes carbonate_pairing;                // [CO3-- and its pair] / [CO3--]
  Lanes calcium_bicarbonate_association;  // [CaHCO3+] / ([Ca++] [HCO3-]), m3/mol
  Lanes calcium_carbonate_association;    // [CaCO3] / ([Ca++] [CO3--]), m3/mol
  Lanes water_mol_per_m3;                 // {H+} [OH-]
  Lanes hypochlorous;                     // {H+} [OCl-] / [HOCl]
  Lanes cyanuric;                         // {H+} [H2Cy-] / [H3Cy]
  Lanes boric;                            // {H+} [B(OH)4-] / [B(OH)3]
  Lanes carbon_dioxide_mol_per_m3_Pa;     // solubility
  Lanes calcite_minus_second_exponent;    // pKs - pK2, thermodynamic
  Lanes calcite_exponent;                 // pKs, thermodynamic
};

template <class Lanes>
struct EquilibriumInputs {
  Lanes temperature_K;
  IonicMedium<Lanes> medium;
  Lanes free_calcium_mol_per_m3;  // that is not paired itself; the total serves within 1 % below pH 9
};

template <class Lanes>
WaterEquilibrium<Lanes> water_equilibrium(EquilibriumInputs<Lanes> const& in) {
  ThermodynamicConstants<Lanes> const pk = thermodynamic_constants(in.temperature_K);
  Lanes const f = davies_exponent(in.temperature_K, ionic_strength_mol_per_L(in.medium));
  Lanes powers[] = {f,
                    3.0 * f - pk.second_carbonic,
                    pk.calcium_bicarbonate - pk.second_carbonic,
                    pk.calcium_carbonate,
                    pk.sodium_bicarbonate,
                    -pk.first_carbonic,
                    3.0 - pk.water,
                    -pk.hypochlorous,
                    -pk.cyanuric,
                    -pk.boric,
                    -pk.carbon_dioxide};
  raise_ten_to(powers);
  auto const& [inverse_activity, unpaired_second, calcium_bicarbonate_pair, calcium_carbonate_pair,
               sodium_bicarbonate_pair, first_carbonic, water, hypochlorous, cyanuric, boric, carbon_dioxide] = powers;
  Lanes const activity = 1.0 / inverse_activity;
  Lanes const activity_2 = activity * activity;
  Lanes const activity_4 = activity_2 * activity_2;
  // CaHCO3+ and NaHCO3 pull bicarbonate, CaCO3 carbonate out of the free ions; constants on the mol/L scale.
  Lanes const calcium_bicarbonate = calcium_bicarbonate_pair * activity_4 * 1e-3;
  Lanes const calcium_carbonate = calcium_carbonate_pair * activity_4 * activity_4 * 1e-3;
  Lanes const sodium_bicarbonate = sodium_bicarbonate_pair * activity_2 * 1e-3;
  Lanes const bicarbonate_pairing =
      1.0 + calcium_bicarbonate * in.free_calcium_mol_per_m3 + sodium_bicarbonate * sodium_mol_per_m3(in.medium);
  Lanes const carbonate_pairing = 1.0 + calcium_carbonate * in.free_calcium_mol_per_m3;
  return {
      .davies_exponent = f,
      .activity = activity,
      .inverse_activity = inverse_activity,
      .first_carbonic = first_carbonic * inverse_activity * bicarbonate_pairing,
      .second_carbonic = unpaired_second * carbonate_pairing / bicarbonate_pairing,
      .unpaired_second_carbonic = unpaired_second,
      .bicarbonate_pairing = bicarbonate_pairing,
      .carbonate_pairing = carbonate_pairing,
      .calcium_bicarbonate_association = calcium_bicarbonate,
      .calcium_carbonate_association = calcium_carbonate,
      .water_mol_per_m3 = water * inverse_activity,
      .hypochlorous = hypochlorous * inverse_activity,
      .cyanuric = cyanuric * inverse_activity,
      .boric = boric * inverse_activity,
      .carbon_dioxide_mol_per_m3_Pa = carbon_dioxide * (1000.0 / standard_atmosphere_Pa),
      .calcite_minus_second_exponent = pk.calcite - pk.second_carbonic,
      .calcite_exponent = pk.calcite,
  };
}

}  // namespace brinecast::models
