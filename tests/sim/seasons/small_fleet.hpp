#pragma once
// Whole seasons of a small fleet, one pair of policies at a time, on the same weather and luck.

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numeric>
#include <string>
#include <vector>

#include "sim/ensemble/ensemble.hpp"
#include "sim/policy/policy.hpp"
#include "sim/scenario/read_scenario.hpp"
#include "tools/small_fleet/small_fleet.hpp"

namespace brinecast::sim {

/// A small fleet with technicians to spare, so that only the policies limit the care.
inline Scenario small_fleet(tools::SmallFleet const& setting, PolicySpec const& policy) {
  Problems problems;
  auto scenario = read_scenario_text(tools::small_fleet_text(setting), "small_fleet.toml", problems);
  INFO(problems.text());
  REQUIRE(scenario);
  scenario->policies = {policy};
  return std::move(*scenario);
}

/// The seasons of some replicates under one policy.
inline std::vector<TaskResult> seasons(tools::SmallFleet const& setting, PolicySpec const& policy,
                                       std::uint32_t replicates = 2) {
  Problems problems;
  auto const prepared = prepare(small_fleet(setting, policy), problems);
  INFO(problems.text());
  REQUIRE(prepared);
  std::vector<TaskResult> results;
  for (std::uint32_t replicate = 0; replicate < replicates; ++replicate) {
    results.push_back(simulate(*prepared, {.policy = 0, .replicate = replicate}));
  }
  return results;
}

using PoolColumn = std::vector<double> PoolTally::*;

inline double sum(std::vector<TaskResult> const& results, PoolColumn column) {
  double total = 0.0;
  for (TaskResult const& result : results) {
    for (double const value : result.pools.*column) total += std::isnan(value) ? 0.0 : value;
  }
  return total;
}

/// Mean over pools and replicates.
inline double mean(std::vector<TaskResult> const& results, PoolColumn column) {
  double total = 0.0;
  int count = 0;
  for (TaskResult const& result : results) {
    for (double const value : result.pools.*column) {
      if (std::isnan(value)) continue;
      total += value;
      ++count;
    }
  }
  return total / count;
}

/// Visits whose log fulfils a condition.
inline int count_visits(std::vector<TaskResult> const& results, std::function<bool(VisitRecord const&)> const& what) {
  int count = 0;
  for (TaskResult const& result : results) {
    count += static_cast<int>(std::count_if(result.visits.begin(), result.visits.end(), what));
  }
  return count;
}
inline int count_rule(std::vector<TaskResult> const& results, FiredRule rule) {
  return count_visits(results, [rule](VisitRecord const& visit) { return has(visit.rules, rule); });
}
inline int count_reason(std::vector<TaskResult> const& results, VisitReason reason) {
  return count_visits(results, [reason](VisitRecord const& visit) { return has(visit.reasons, reason); });
}

/// Water tests in the log, of the quantities that it keeps.
inline int count_tests(std::vector<TaskResult> const& results) {
  int count = 0;
  for (TaskResult const& result : results) {
    for (VisitRecord const& visit : result.visits) {
      for (float const reading : {visit.free_chlorine_reading, visit.ph_reading, visit.alkalinity_reading,
                                  visit.calcium_reading, visit.cyanuric_acid_reading, visit.salt_reading}) {
        count += std::isnan(reading) ? 0 : 1;
      }
    }
  }
  return count;
}

}  // namespace brinecast::sim
