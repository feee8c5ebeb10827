#include <tbb/parallel_for.h>

#include "sim/ensemble/ensemble.hpp"
#include "sim/policy/policy.hpp"

namespace brinecast::sim {

std::vector<PlannedPool> planned_pools(Scenario const& scenario, PolicySpec const& policy) {
  std::vector<PlannedPool> pools;
  for (std::size_t i = 0; i < scenario.pools.size(); ++i) {
    Pool const& pool = scenario.pools[i];
    pools.push_back({.pool = PoolId{static_cast<std::uint32_t>(i)},
                     .visit_interval_d = typical_interval_d(policy, pool, scenario.season),
                     .service_s = typical_service_s(policy, pool, scenario.season) + scenario.rounds.stop_overhead_s,
                     .supplies_kg = typical_load_kg(policy, pool, scenario.season)});
  }
  return pools;
}

std::unique_ptr<Prepared> prepare(Scenario scenario, Problems& problems) {
  auto prepared = std::make_unique<Prepared>();
  prepared->scenario = std::move(scenario);
  prepared->weather = open_weather(prepared->scenario, problems);
  prepared->travel = travel_table(prepared->scenario, problems);
  if (!problems.empty()) return nullptr;
  auto const& policies = prepared->scenario.policies;
  prepared->plans.resize(policies.size());
  tbb::parallel_for(std::size_t{0}, policies.size(), [&](std::size_t policy) {
    prepared->plans[policy] = plan_rounds(prepared->scenario, prepared->travel,
                                          planned_pools(prepared->scenario, policies[policy]), prepared->scenario.seed);
  });
  return prepared;
}

}  // namespace brinecast::sim
