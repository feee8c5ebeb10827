#pragma once
// Wear of the plates' active coating.

#include "models/constants.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"

namespace brinecast::models {

template <class Lanes>
struct WearInputs {
  Lanes share_on;        // of the step at rated current
  Lanes coating_life_h;  // of this cell at rated current, drawn once
  Lanes reversals_per_s;
  Lanes salt_kg_per_m3;
  Lanes water_temperature_K;
  Lanes share_covered;  // scale crowds the current onto what is left of the plates
  double step_s;
};

/// Share of the coating's life used in a step: wear in proportion to charge, more with each reversal, in water poor in
/// salt (oxygen instead of chlorine), in cold water, and where scale raises the current density beyond that at which
/// oxide anodes in dilute brine begin to dissolve (about 320 A/m2: abstract, journal of the Don region). The form is an
/// assumption; hours of life are common practice, no source.
template <class Lanes>
Lanes coating_wear(WearInputs<Lanes> const& in, Parameters const& parameters) {
  Lanes const reversal = 1.0 + parameters.wear_per_daily_reversal * in.reversals_per_s * seconds_per_day;
  Lanes const dilute = 1.0 + parameters.wear_low_salt *
                                 max(1.0 - in.salt_kg_per_m3 * (1.0 / parameters.wear_salt_kg_per_m3), Lanes(0.0));
  Lanes const cold =
      1.0 + parameters.wear_cold_per_K * max(parameters.wear_cold_below_K - in.water_temperature_K, Lanes(0.0));
  auto const [per_bare_share, per_life] = inverses<Lanes>(max(1.0 - in.share_covered, Lanes(0.2)), in.coating_life_h);
  Lanes const density = parameters.cell_current_density_A_per_m2 * per_bare_share;
  Lanes const crowding =
      1.0 + parameters.wear_crowding * max(density * (1.0 / parameters.wear_density_A_per_m2) - 1.0, Lanes(0.0));
  return in.share_on * (in.step_s / seconds_per_hour) * per_life * reversal * dilute * cold * crowding;
}

/// Life of a coating in hours at rated current for a uniform draw in (0, 1): Weibull's quantile.
double coating_life_h(double uniform, Parameters const& parameters);

}  // namespace brinecast::models
