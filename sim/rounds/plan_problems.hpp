#pragma once
// What is known of a plan of rounds before it is searched: intervals that it cannot hold.

#include <vector>

#include "sim/rounds/plan.hpp"
#include "sim/scenario/problems.hpp"

namespace brinecast::sim {

/// Whether any interval of the policy is longer than a plan can hold; without one there are no problems to look for.
bool outlasts_every_period(PolicySpec const& policy, RoundsSpec const& rounds);

/// Each interval of the policy that its plan's days serve more than a tenth sooner or later, at the line that states
/// it. `pools` as planned under the policy.
Problems find_plan_problems(Scenario const& scenario, PolicySpec const& policy, std::vector<PlannedPool> const& pools);

}  // namespace brinecast::sim
