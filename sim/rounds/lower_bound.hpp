#pragma once
// What no plan of rounds can cost less than.

#include <span>

#include "sim/rounds/plan.hpp"
#include "sim/rounds/travel.hpp"

namespace brinecast::sim {

/// Visits of one pool within the period.
struct PeriodVisits {
  PoolId pool{};
  int visits = 1;
  double service_s = 0.0;  // of each
};

/// A lower bound of the period's money for any plan that makes these visits, whatever days, technicians and orders it
/// chooses. `period_days` working days.
///
/// Every round leaves a start, strings visits together and reaches an end. With V visits in R rounds, the drives
/// between visits are V - R edges without a cycle (R paths), with R drives from starts and R to ends; every visit has
/// two ends of drives. Dropping "two ends at every visit" leaves the cheapest forest of V - R edges (a minimum spanning
/// tree without its R - 1 dearest edges) and the R cheapest starts and ends; pricing the dropped rule with multipliers
/// by visit keeps a bound for whatever multipliers (Held & Karp, "The traveling-salesman problem and minimum spanning
/// trees", Operations Research 18, 1970), and subgradient steps make it a good one. A drive counts with the lesser time
/// and way of its two directions. Overtime is what the whole time exceeds R shifts by, at least; a further multiplier
/// between 0 and 1 prices it in the same way. Of drives between pools that are not near neighbours only a least time
/// and way are used, so that large fleets need no table of all pairs. The least value over all numbers of rounds R is
/// the bound; waiting, skills, gates and loads can only add to it.
double rounds_lower_bound(Scenario const& scenario, TravelTable const& travel, std::span<PeriodVisits const> visits,
                          int period_days);

}  // namespace brinecast::sim
