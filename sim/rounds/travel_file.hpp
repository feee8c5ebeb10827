#pragma once
// Travel times given by the user as a table of drives.

#include "sim/rounds/travel.hpp"

namespace brinecast::sim {

/// Reads `scenario.roads.file`: a CSV file with the header `from,to,time (s),distance (m)` and a line for each ordered
/// pair of different places. A place is the name of a pool, `start:NAME` or `end:NAME` of a technician. Pairs that no
/// round drives (from an end, to a start) may be left out: starts serve for restocking, so drives to them are needed
/// where vans restock. Mistakes go to `problems`.
TravelTable read_travel_file(Scenario const& scenario, Problems& problems);

}  // namespace brinecast::sim
