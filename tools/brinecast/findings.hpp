#pragma once
// What check and run have to say of policies that read well.

#include "sim/policy/policy_problems.hpp"

namespace brinecast::tools {

/// The findings of the policies themselves and of what a plan of rounds can hold of them.
sim::PolicyFindings findings_of(sim::Scenario const& scenario);

}  // namespace brinecast::tools
