#pragma once
// The line on the map that a round drives.

#include <vector>

#include "sim/rounds/plan.hpp"

namespace brinecast::sim {

/// One line for each round of each plan.
using RouteShapes = std::vector<std::vector<std::vector<Position>>>;  // [plan][round][point]

/// Lines from start to end over all stops, at least two positions each, no position twice in a row: along the roads of
/// an extract, straight for the other kinds of roads. Faults of the extract go to `problems`.
RouteShapes route_shapes(Scenario const& scenario, std::vector<RoundsPlan> const& plans, Problems& problems);

/// The same, straight from place to place whatever the roads.
RouteShapes straight_shapes(Scenario const& scenario, std::vector<RoundsPlan> const& plans);

/// The line without those positions that lie within `tolerance_m` of what is left: Douglas and Peucker, "Algorithms for
/// the reduction of the number of points required to represent a digitized line or its caricature", Cartographica 10
/// (1973) 112-122. Both ends stay. Distances are flat, which holds over a district.
std::vector<Position> thinned(std::vector<Position> const& line, double tolerance_m);

}  // namespace brinecast::sim
