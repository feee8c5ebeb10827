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

/// A small fleet with technicians to spare, so that only the policies limit the care; what all its policies meet.
inline std::unique_ptr<Prepared> prepared_fleet(tools::SmallFleet const& setting, std::vector<PolicySpec> policies) {
  Problems problems;
  auto scenario = read_scenario_text(tools::small_fleet_text(setting), "small_fleet.toml", problems);
  INFO(problems.text());
  REQUIRE(scenario);
  scenario->policies = std::move(policies);
  auto prepared = prepare(std::move(*scenario), problems);
  INFO(problems.text());
  REQUIRE(prepared);
  return prepared;
}

inline std::vector<TaskResult> seasons(Prepared const& prepared, std::size_t policy, std::uint32_t replicates) {
  std::vector<TaskResult> results;
  for (std::uint32_t replicate = 0; replicate < replicates; ++replicate) {
    results.push_back(simulate(prepared, {.policy = policy, .replicate = replicate}));
  }
  return results;
}

/// The seasons of some replicates under one policy.
inline std::vector<TaskResult> seasons(tools::SmallFleet const& setting, PolicySpec const& policy,
                                       std::uint32_t replicates = 2) {
  return seasons(*prepared_fleet(setting, {policy}), 0, replicates);
}

/// The seasons of two policies on the same weather and luck.
struct Pair {
  std::vector<TaskResult> first, second;
};
inline Pair paired_seasons(tools::SmallFleet const& setting, PolicySpec const& first, PolicySpec const& second,
                           std::uint32_t replicates) {
  auto const prepared = prepared_fleet(setting, {first, second});
  return {seasons(*prepared, 0, replicates), seasons(*prepared, 1, replicates)};
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

/// What a figure of every pool changes by from one policy to the other.
struct PairedChange {
  double before = 0.0;          // mean over pools and replicates under the first policy
  double mean = 0.0;            // of the paired differences, second less first
  double standard_error = 0.0;  // of that mean
};
inline PairedChange paired_change(std::vector<TaskResult> const& first, std::vector<TaskResult> const& second,
                                  std::function<double(TaskResult const&, std::size_t)> const& figure) {
  PairedChange change;
  double squares = 0.0;
  double count = 0.0;
  for (std::size_t i = 0; i < first.size(); ++i) {
    for (std::size_t pool = 0; pool < first[i].pools.visits.size(); ++pool) {
      double const before = figure(first[i], pool);
      double const difference = figure(second[i], pool) - before;
      change.before += before;
      change.mean += difference;
      squares += difference * difference;
      ++count;
    }
  }
  change.before /= count;
  change.mean /= count;
  change.standard_error = std::sqrt(std::max(0.0, squares / count - change.mean * change.mean) / (count - 1.0));
  return change;
}

}  // namespace brinecast::sim
