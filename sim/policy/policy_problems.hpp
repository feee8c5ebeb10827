#pragma once
// What is wrong with policies as they stand in their scenario: rules that can never fire, rules that contradict, doses
// beyond what a pool can take, intervals that no crew can serve.

#include "sim/scenario/problems.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

/// Adds one problem for each finding, in the order of the policies. The place names the key; the line is unknown here.
void policy_problems(Scenario const& scenario, Problems& problems);

}  // namespace brinecast::sim
