#pragma once
// Frost on still pipes and cells.

#include "models/constants.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"

namespace brinecast::models {

/// Cold that still water in lines takes up over a step, K s: below -2 degC, and only while nothing flows; forgotten as
/// soon as water flows or the air thaws. Assumption, calibrated to the computed times in which a still 52 mm pipe
/// freezes through (17 h at -7 degC in calm air).
template <class Lanes>
struct FreezeDoseInputs {
  Lanes dose_K_s;
  Lanes air_temperature_K;
  Lanes flowing;  // 1 while the pump runs, 0 when still
  double step_s;
};
template <class Lanes>
Lanes step_freeze_dose(FreezeDoseInputs<Lanes> const& in, Parameters const& parameters) {
  Lanes const cold = parameters.freeze_dose_below_K - in.air_temperature_K;
  Lanes const kept = select((in.flowing > 0.5) | (in.air_temperature_K > celsius_zero_K), 0.0, in.dose_K_s);
  return kept + select(in.flowing > 0.5, 0.0, max(cold, Lanes(0.0)) * in.step_s);
}

/// Probability that lines which have taken this dose are broken: 1 - exp(-(dose / scale)^shape). Assumption.
/// To decide once per pool, compare with one uniform draw kept for the season.
double freeze_break_probability(double dose_K_s, Parameters const& parameters);

}  // namespace brinecast::models
