#pragma once
// What is told of pools that read well: figures out of proportion to each other, as a slip of a unit makes them.

#include "sim/scenario/problems.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

/// Each at its row and column of the list; a figure that the list leaves out, once at the trait that gives it.
Problems find_pool_problems(Scenario const& scenario);

}  // namespace brinecast::sim
