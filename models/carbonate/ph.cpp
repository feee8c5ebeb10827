#include "models/carbonate/ph.hpp"

#include <algorithm>

namespace brinecast::models {

AcidBase<double> solve_ph(AcidBaseTotals<double> const& totals, WaterEquilibrium<double> const& equilibrium) {
  double acid = 0.0;
  double basic = 14.0;
  for (int halving = 0; halving < 48; ++halving) {
    double const middle = 0.5 * (acid + basic);
    (alkalinity_at(exp10(-middle), totals, equilibrium).alkalinity < totals.alkalinity ? acid : basic) = middle;
  }
  double const ph = 0.5 * (acid + basic);
  double const h = exp10(-ph);
  return acid_base_at(h, ph, totals, alkalinity_at(h, totals, equilibrium));
}

double alkalinity_for_ph(double ph, AcidBaseTotals<double> const& totals, WaterEquilibrium<double> const& equilibrium) {
  return alkalinity_at(exp10(-ph), totals, equilibrium).alkalinity;
}

double inorganic_carbon_for_ph(double ph, AcidBaseTotals<double> const& totals,
                               WaterEquilibrium<double> const& equilibrium) {
  AcidBaseTotals<double> without = totals;
  without.inorganic_carbon = 0.0;
  auto const at = alkalinity_at(exp10(-ph), without, equilibrium);
  return std::max(0.0, (totals.alkalinity - at.alkalinity) / at.charge_per_carbon);
}

}  // namespace brinecast::models
