#pragma once
// What check and run have to say of a scenario that reads well.

#include "sim/policy/policy_problems.hpp"

namespace brinecast::tools {

/// The findings of the policies, with what a plan of rounds cannot hold of them and pools out of proportion as
/// warnings.
sim::PolicyFindings findings_of(sim::Scenario const& scenario);

}  // namespace brinecast::tools
