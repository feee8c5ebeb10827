#pragma once
// Chlorine used in the dark: by the water itself and by leaves and dust.

#include "models/constants.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"

namespace brinecast::models {

/// Arrhenius factor relative to 25 degC for an activation temperature E / R.
template <class Lanes>
Lanes arrhenius_factor(Lanes temperature_K, double activation_K) {
  return exp(activation_K * (1.0 / reference_temperature_K - 1.0 / temperature_K));
}

/// First-order loss rate of free chlorine in the dark, 1/s, times the pool's own demand factor. Default calibrated on
/// the published 14 % a day of stabilised desert pools near 30 degC, which doubles every 5 K.
template <class Lanes>
Lanes dark_demand_per_s(Lanes temperature_K, Lanes demand_factor, Parameters const& parameters) {
  return parameters.dark_demand_at_25_C_per_s * demand_factor *
         arrhenius_factor(temperature_K, parameters.dark_demand_activation_K);
}

/// First-order loss rate of free chlorine to debris in the water, 1/s. Assumption, no source.
template <class Lanes>
Lanes debris_demand_per_s(Lanes debris_kg_per_m3, Parameters const& parameters) {
  return debris_kg_per_m3 * parameters.debris_demand_m3_per_kg_s;
}

}  // namespace brinecast::models
