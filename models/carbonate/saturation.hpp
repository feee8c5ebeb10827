#pragma once
// Whether calcite tends to form (> 0) or to dissolve (< 0).

#include "models/carbonate/equilibrium.hpp"
#include "models/lanes.hpp"

namespace brinecast::models {

template <class Lanes>
struct SaturationInputs {
  Lanes ph;
  Lanes hydrogen_activity;                // 10^-ph
  Lanes carbonate_alkalinity_mol_per_m3;  // without stabiliser's, borate's and chlorine's
  Lanes calcium_mol_per_m3;               // total
};

/// Saturation index of calcite, pH - pHs with pHs = pK2 - pKs + p[Ca] + p[HCO3] + 5 f: Standard Methods 2330 B with the
/// water's true ionic strength. Within 0.03 of a general geochemical code over 5 to 32 degC, pH 7.0 to 8.2, 0.5 to 6
/// kg/m3 of salt. Check: 25 degC, pH 7.4, alkalinity 100 and hardness 300 mg/L as CaCO3, 3200 mg/L NaCl: -0.137.
template <class Lanes>
Lanes saturation_index(SaturationInputs<Lanes> const& in, WaterEquilibrium<Lanes> const& k) {
  Lanes const bicarbonate = in.carbonate_alkalinity_mol_per_m3 * in.hydrogen_activity /
                            (in.hydrogen_activity + 2.0 * k.unpaired_second_carbonic);
  Lanes const product = max(bicarbonate * in.calcium_mol_per_m3, Lanes(1e-12)) * 1e-6;
  return in.ph + k.calcite_minus_second_exponent + log10(product) - 5.0 * k.davies_exponent;
}

struct TabulatedIndexInputs {
  double ph;
  double temperature_K;
  double calcium_hardness_mg_per_L_as_CaCO3;
  double alkalinity_mg_per_L_as_CaCO3;
  double dissolved_solids_mg_per_L;
};
/// The traditional index from tabulated factors, which the trade quotes: pHs = 9.3 + A + B - C - D. From memory.
/// Biased by -0.16 to +0.01 in salt water; for comparison only. Check: 25 degC, pH 7.5, hardness 150, alkalinity 34,
/// solids 320: -0.7.
double tabulated_saturation_index(TabulatedIndexInputs const& in);

}  // namespace brinecast::models
