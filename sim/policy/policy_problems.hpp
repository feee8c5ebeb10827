#pragma once
// What is wrong with policies that read well: rules that can never fire, rules that contradict each other, doses beyond
// what the water can take, visits that no crew can make.

#include <string>
#include <vector>

#include "sim/scenario/problems.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

struct PolicyFindings {
  Problems errors;    // contradictions and doses that harm: no run
  Problems warnings;  // rules that never fire, work beyond the crew: a run does what it says, but not what was meant
  std::vector<std::string> cautions;  // what keeps bathers safe while the policies do as they say
};

/// Each finding stands at the line of the value that causes it.
PolicyFindings check_policies(Scenario const& scenario);

}  // namespace brinecast::sim
