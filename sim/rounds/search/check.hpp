#pragma once
// Judges a solution from the problem alone. Shares no code with the search, so that neither hides the other's mistakes.

#include <string>
#include <vector>

#include "sim/rounds/search/route_search.hpp"

namespace brinecast::sim::search {

/// What one vehicle does on one day, worked out stop by stop.
struct VehicleDayFigures {
  Amount cost = 0;  // travel, wages, overtime, fixed cost, kind_cost of the customers
  Amount load = 0;
  Amount leaves = 0;  // as late as possible without reaching the end later
  Amount returns = 0;
  Amount duration = 0;  // returns - leaves, waiting included
  Amount lateness = 0;  // summed over stops that are reached after they close, and the end of the shift
};

VehicleDayFigures figures_of(Problem const& problem, VehicleDay const& round);

struct Verdict {
  Amount cost = 0;                  // with pattern costs
  std::vector<std::string> faults;  // empty: feasible
  [[nodiscard]] bool feasible() const { return faults.empty(); }
};

/// Recomputes the cost and finds every broken rule: customers not visited by their pattern, loads, durations, windows,
/// kinds, numbers of vehicles.
Verdict check_solution(Problem const& problem, Solution const& solution);

}  // namespace brinecast::sim::search
