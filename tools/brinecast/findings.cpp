#include "tools/brinecast/findings.hpp"

#include "sim/ensemble/ensemble.hpp"
#include "sim/rounds/plan_problems.hpp"

namespace brinecast::tools {

sim::PolicyFindings findings_of(sim::Scenario const& scenario) {
  sim::PolicyFindings findings = sim::check_policies(scenario);
  for (sim::PolicySpec const& policy : scenario.policies) {
    if (!sim::outlasts_every_period(policy, scenario.rounds)) continue;
    auto const found = sim::find_plan_problems(scenario, policy, sim::planned_pools(scenario, policy));
    for (sim::Problem const& problem : found.all()) findings.warnings.add(problem);
  }
  return findings;
}

}  // namespace brinecast::tools
