#pragma once
// What the unit believes: its salt reading and its two warnings, with what can deceive them.

#include "models/cell/voltage.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"
#include "models/water/conductivity.hpp"

namespace brinecast::models {

template <class Lanes>
struct UnitSaltInputs {
  Lanes conductivity_S_per_m;  // true, at the water's temperature
  Lanes water_temperature_K;
  Lanes sensor_gain;    // drifts about 1
  Lanes share_covered;  // of the plates that also sense
  Lanes air_in_line;    // 0 or 1: bubbles leave less water between the plates
};

/// Salt as the unit reads it, kg/m3. It compensates temperature by a straight 2 %/K about 25 degC, so it errs in cold
/// water; it takes all ions for salt; scale, air and drift read low or wrong (common practice, no source).
/// Check: mix of 3.2 kg/m3 NaCl, hardness 300 and alkalinity 100 mg/L at 25 degC reads 3.632.
template <class Lanes>
Lanes unit_salt_reading_kg_per_m3(UnitSaltInputs<Lanes> const& in, Parameters const& parameters) {
  Lanes const compensation = 1.0 + 0.02 * (in.water_temperature_K - reference_temperature_K);
  Lanes const sensed = in.conductivity_S_per_m * in.sensor_gain *
                       (1.0 - parameters.sensor_scale_share * in.share_covered) *
                       (1.0 - parameters.sensor_air_share * in.air_in_line) / compensation;
  // Inverse of the conductivity of salt alone at 25 degC, limiting root^2 - bending root^3 = conductivity with the root
  // of the salt as unknown: two Newton steps from the slope near 3.2 kg/m3, within 3e-7 from 0.5 to 8 kg/m3.
  constexpr double limiting = 2.09627;
  constexpr double bending = 0.0036053 * 31.622776601683793;  // root of 1000 mg/L per kg/m3
  Lanes const scaled = max(sensed, Lanes(0.0)) * 10.0;
  Lanes root = sqrt(scaled * (1.0 / 1.89));
  for (int step = 0; step < 2; ++step) {
    Lanes const slope = root * (2.0 * limiting - 3.0 * bending * root);
    root -= (root * root * (limiting - bending * root) - scaled) / max(slope, Lanes(1e-30));
  }
  return root * root;
}

template <class Lanes>
struct WarningInputs {
  Lanes unit_salt_kg_per_m3;
  Lanes voltage_V;
  Lanes relative_output;  // of what the setting asks for
  Lanes air_in_line;
  Lanes powered_and_flowing;  // 1 while the unit can judge
  Lanes low_salt_warning;     // as it stood, 0 or 1
  Lanes check_cell_warning;
};
template <class Lanes>
struct Warnings {
  Lanes low_salt;  // 0 or 1
  Lanes check_cell;
};

/// Low salt lights when the reading falls under the limit and clears with a margin above it. Check cell lights when the
/// voltage is high, the output poor or bubbles disturb the current, whatever the cause: scale, worn coating, cold or
/// dilute water, air. It stays lit until the unit is restarted with its cause gone.
template <class Lanes>
Warnings<Lanes> judge_warnings(WarningInputs<Lanes> const& in, Parameters const& parameters) {
  auto const judging = in.powered_and_flowing > 0.5;
  auto const low = in.unit_salt_kg_per_m3 < parameters.warning_salt_kg_per_m3;
  auto const clear =
      in.unit_salt_kg_per_m3 > parameters.warning_salt_kg_per_m3 + parameters.warning_salt_margin_kg_per_m3;
  Lanes const low_salt = select(judging & low, 1.0, select(judging & clear, 0.0, in.low_salt_warning));
  auto const trouble = (in.voltage_V > parameters.warning_voltage_V) |
                       ((in.relative_output < parameters.warning_output_share)) | (in.air_in_line > 0.5);
  Lanes const check_cell = select(judging & trouble, 1.0, in.check_cell_warning);
  return {low_salt, check_cell};
}

}  // namespace brinecast::models
