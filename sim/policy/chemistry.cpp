// What a technician works out from readings with the help of models/: acid for a pH, the saturation index.

#include <algorithm>
#include <cmath>

#include "sim/policy/rules.hpp"

namespace brinecast::sim {

double acid_to_reach_ph_mol_per_m3(PoolRecord const& record, double ph, double alkalinity_mol_per_m3,
                                   double wanted_ph) {
  (void)record;
  auto const charge_per_carbon = [](double at_ph) {
    double const first = std::pow(10.0, 6.2 - at_ph);
    double const second = std::pow(10.0, at_ph - 9.95);
    return (1.0 + 2.0 * second) / (1.0 + first + second);
  };
  return std::max(0.0, alkalinity_mol_per_m3 * (1.0 - charge_per_carbon(wanted_ph) / charge_per_carbon(ph)));
}

std::optional<double> saturation_index_of(PoolRecord const& record, DayKnowledge const& today) {
  (void)record;
  (void)today;
  return std::nullopt;
}

}  // namespace brinecast::sim
