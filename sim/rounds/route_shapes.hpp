#pragma once
// The line on the map that a round drives.

#include <vector>

#include "sim/rounds/plan.hpp"

namespace brinecast::sim {

/// One line for each round of the plan, start to end with its stops, at least two positions: along the roads of an
/// extract, straight from place to place for the other kinds of roads. Faults of the extract go to `problems`.
std::vector<std::vector<Position>> route_shapes(Scenario const& scenario, RoundsPlan const& plan, Problems& problems);

}  // namespace brinecast::sim
