#pragma once
// Algae: they grow when the active chlorine, not the free chlorine, stays too low.

#include "models/chlorine/demand.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"

namespace brinecast::models {

template <class Lanes>
struct AlgaeInputs {
  Lanes algae;  // 1 is just visible
  Lanes hypochlorous_mol_per_m3;
  Lanes temperature_K;
  double step_s;
};

/// Algae after a step: exponential growth, doubling faster in warm water, against a kill in proportion to hypochlorous
/// acid; spores keep a floor, light and nutrients set a ceiling. Growth and kill are assumptions set so that the active
/// chlorine at 3 mg/L of free chlorine under 60 mg/L of cyanuric acid (20:1, Falk et al. 2019) just holds at 28 degC.
template <class Lanes>
Lanes step_algae(AlgaeInputs<Lanes> const& in, Parameters const& parameters) {
  Lanes const growth =
      parameters.algae_growth_at_25_C_per_s * arrhenius_factor(in.temperature_K, parameters.algae_growth_activation_K);
  Lanes const kill = parameters.algae_kill_m3_per_mol_s * in.hypochlorous_mol_per_m3;
  Lanes const factor = exp(clamp<Lanes>((growth - kill) * in.step_s, -30.0, 3.0));
  return clamp<Lanes>(in.algae * factor, parameters.algae_floor, parameters.algae_ceiling);
}

/// First-order loss rate of free chlorine to algae, 1/s. Assumption, no source.
template <class Lanes>
Lanes algae_demand_per_s(Lanes algae, Parameters const& parameters) {
  return algae * parameters.algae_demand_per_s;
}

}  // namespace brinecast::models
