#include "tools/brinecast/findings.hpp"

#include "sim/ensemble/ensemble.hpp"
#include "sim/rounds/plan_problems.hpp"
#include "sim/scenario/pool_problems.hpp"

namespace brinecast::tools {

sim::PolicyFindings findings_of(sim::Scenario const& scenario) {
  sim::PolicyFindings findings = sim::check_policies(scenario);
  auto const warn = [&findings](sim::Problems const& found) {
    for (sim::Problem const& problem : found.all()) findings.warnings.add(problem);
  };
  warn(sim::find_pool_problems(scenario));
  for (sim::PolicySpec const& policy : scenario.policies) {
    if (!sim::outlasts_every_period(policy, scenario.rounds)) continue;
    warn(sim::find_plan_problems(scenario, policy, sim::planned_pools(scenario, policy)));
  }
  return findings;
}

}  // namespace brinecast::tools
