#pragma once
// Chlorine made by the cell.

#include "models/constants.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"

namespace brinecast::models {

/// mol/s of Cl2 from a current. Faraday's law, two electrons per Cl2. Check: 1 A for 1 h at efficiency 1 makes 1.3228
/// g.
template <class Lanes>
Lanes chlorine_production_mol_per_s(Lanes current_A, Lanes current_efficiency) {
  return current_A * current_efficiency * (1.0 / (2.0 * faraday_constant_C_per_mol));
}
/// The current behind a production.
template <class Lanes>
Lanes current_for_production_A(Lanes production_mol_per_s, double current_efficiency) {
  return production_mol_per_s * (2.0 * faraday_constant_C_per_mol / current_efficiency);
}

/// Share of the current that makes chlorine: saturating with salt, as chloride must diffuse to the anode (form from
/// studies of dilute brine; constants are an engineering assumption: 0.70 near 3.2 kg/m3, half of the plateau at 0.7).
template <class Lanes>
Lanes current_efficiency(Lanes salt_kg_per_m3, Parameters const& parameters) {
  Lanes const salt = max(salt_kg_per_m3, Lanes(0.0));
  return parameters.cell_efficiency_plateau * salt / (salt + parameters.cell_efficiency_half_salt_kg_per_m3);
}

/// Mean over a step of the output while the unit warms up: a ramp over the warm-up time, integrated exactly.
template <class Lanes>
Lanes warm_share(Lanes hours_on_before, double step_h, Parameters const& parameters) {
  double const ramp_h = parameters.cell_warm_up_h;
  auto const integral = [&](Lanes hours) {
    Lanes const ramping = min(hours, Lanes(ramp_h));
    return ramping * ramping * (0.5 / ramp_h) + (hours - ramping);
  };
  return (integral(hours_on_before + step_h) - integral(hours_on_before)) * (1.0 / step_h);
}

template <class Lanes>
struct CurrentInputs {
  Lanes salt_kg_per_m3;
  Lanes water_temperature_K;
  Lanes share_warm;  // of the step, from warm_share
};

/// Share of the rated current that the unit's controller lets flow, mean over a step in which the cell is on. It fades
/// the cell out between two temperatures (mid-60s degF: common practice, no source), stops outside the salt window and
/// ramps up after a cold start.
template <class Lanes>
Lanes relative_current(CurrentInputs<Lanes> const& in, Parameters const& parameters) {
  Lanes const warmth = clamp<Lanes>((in.water_temperature_K - parameters.cell_cold_stop_K) *
                                        (1.0 / (parameters.cell_cold_full_K - parameters.cell_cold_stop_K)),
                                    0.0, 1.0);
  Lanes const window = select((in.salt_kg_per_m3 > parameters.cell_salt_stop_low_kg_per_m3) &
                                  (in.salt_kg_per_m3 < parameters.cell_salt_stop_high_kg_per_m3),
                              1.0, 0.0);
  return warmth * window * in.share_warm;
}

template <class Lanes>
struct OutputInputs {
  Lanes relative_current;
  Lanes salt_kg_per_m3;
  Lanes share_covered;  // of the plates, from scale_coverage
  Lanes coating_left;   // share of its life
};

/// Output relative to the rating at 25 degC, clean plates and rated salt: what the current makes in water of this salt;
/// scale takes active area; a worn-out coating fades over the last part of its life.
template <class Lanes>
Lanes relative_output(OutputInputs<Lanes> const& in, Parameters const& parameters) {
  Lanes const salt = current_efficiency(in.salt_kg_per_m3, parameters) *
                     (1.0 / current_efficiency(parameters.cell_rated_salt_kg_per_m3, parameters));
  Lanes const coating = min(in.coating_left * (1.0 / parameters.coating_fade_share), Lanes(1.0));
  return in.relative_current * salt * max(coating, Lanes(0.0)) * (1.0 - in.share_covered);
}

}  // namespace brinecast::models
