#include "sim/fleet/kernel_settings.hpp"

#include <cmath>

#include "models/cell/production.hpp"

namespace brinecast::sim {

KernelSettings kernel_settings(models::Parameters const& parameters, WaterBands const& bands, double step_s) {
  return {.parameters = parameters,
          .bands = bands,
          .cyanurates = models::cyanurate_set(parameters),
          .step_s = step_s,
          .stabiliser_dissolving_share = -std::expm1(-parameters.stabiliser_dissolving_per_s * step_s),
          .skimmed_share = -std::expm1(-parameters.skimming_per_s * step_s),
          .active_chlorine_low_mol_per_m3 = parameters.algae_growth_at_25_C_per_s / parameters.algae_kill_m3_per_mol_s,
          .rated_efficiency = models::current_efficiency(parameters.cell_rated_salt_kg_per_m3, parameters)};
}

}  // namespace brinecast::sim
