#pragma once
// What every pool-hour of a run shares: parameters, bands, and what follows from them once.

#include "models/chlorine/speciation.hpp"
#include "models/parameters.hpp"
#include "sim/scenario/water_bands.hpp"

namespace brinecast::sim {

struct KernelSettings {
  models::Parameters parameters;
  WaterBands bands;
  models::CyanurateSet cyanurates;
  double step_s = 3600.0;
  double stabiliser_dissolving_share = 0.0;     // of the granules in a step
  double skimmed_share = 0.0;                   // of the debris in a step of flow
  double active_chlorine_low_mol_per_m3 = 0.0;  // under which algae gain at 25 degC
  double rated_efficiency = 0.7;
};

/// Settings for a step of `step_s`; an hour except in tests of convergence.
KernelSettings kernel_settings(models::Parameters const& parameters, WaterBands const& bands, double step_s = 3600.0);

}  // namespace brinecast::sim
