#pragma once
// How many technicians does the plan need, and what does one more pool cost?

#include <string>
#include <vector>

#include "sim/rounds/plan.hpp"

namespace brinecast::sim {

struct CrewTrial {
  int technicians = 0;
  RoundsPlan plan;
};

/// Plans with growing crews: the scenario's technicians in their order, further ones like the last. Ends with the first
/// crew that serves every pool it can be asked to serve (one that no crew of `most` serves stays out). The last trial
/// is the answer when its plan leaves nobody out.
std::vector<CrewTrial> smallest_crew(Scenario const& scenario, TravelTable const& travel,
                                     std::vector<PlannedPool> const& pools, std::uint64_t seed, int most,
                                     PlanProgress const& progress = {});

struct MarginalCost {
  std::string neighbourhood;
  std::size_t pools = 0;
  double money_per_month = 0.0;   // mean over its pools that the plan can take again
  std::size_t without_place = 0;  // pools that, once out, would not find a place again
};

/// What one more pool costs in each neighbourhood, wages and mileage without supplies: every pool of the plan is taken
/// out and put back where it adds least; the money it then adds is what a pool like it costs. By neighbourhood, by
/// name.
std::vector<MarginalCost> marginal_costs(Scenario const& scenario, TravelTable const& travel, RoundsPlan const& plan,
                                         std::vector<PlannedPool> const& pools);

}  // namespace brinecast::sim
