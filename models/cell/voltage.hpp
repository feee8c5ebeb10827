#pragma once
// Voltage between neighbouring plates at rated current.

#include "models/lanes.hpp"
#include "models/parameters.hpp"

namespace brinecast::models {

template <class Lanes>
struct VoltageInputs {
  Lanes conductivity_S_per_m;
  Lanes share_covered;
  Lanes coating_left;  // share of its life
};

/// Chlorine evolution 1.36 V and hydrogen evolution 0.83 V at the plates (from memory).
inline constexpr double reversible_cell_V = 1.36 + 0.83;

/// V. Reversible voltage, overpotential (from memory), ohmic drop in the gap; scale raises the local current density, a
/// coating near its end the overpotential (assumptions). Check: 300 A/m2, 2 mm, 0.6 S/m: ohmic 1.00 V.
template <class Lanes>
Lanes cell_voltage_V(VoltageInputs<Lanes> const& in, Parameters const& parameters) {
  // The current crowds onto the plates' bare part.
  Lanes const ohmic = parameters.cell_current_density_A_per_m2 * parameters.cell_gap_m /
                      (max(1.0 - in.share_covered, Lanes(0.05)) * in.conductivity_S_per_m);
  Lanes const fading = max(1.0 - in.coating_left * (1.0 / parameters.coating_fade_share), Lanes(0.0));
  return reversible_cell_V + parameters.cell_overpotential_V + ohmic + parameters.worn_overpotential_V * fading;
}

}  // namespace brinecast::models
