#pragma once
// The plan of rounds: which pool is visited on which working day of the planning period, by whom, in which order.

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "sim/rounds/travel.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

/// What planning needs to know of a pool under one policy.
struct PlannedPool {
  PoolId pool{};
  double visit_interval_d = 7.0;  // the policy's fixed or typical interval, calendar days
  double service_s = 1800.0;      // expected work at a visit, with the overhead of the stop
  double supplies_kg = 5.0;       // expected load taken from the van
};

struct PlannedStop {
  PoolId pool{};
  std::int32_t arrival_s = 0;  // seconds after midnight
  std::int32_t start_s = 0;    // arrival plus waiting for the gate or the break
  std::int32_t leave_s = 0;
  bool restocked_before = false;  // the van went back to its start for supplies on the way here
};

/// One technician's working day.
struct Round {
  TechnicianId technician{};
  int day = 0;  // working day of the period, from 0
  std::vector<PlannedStop> stops;
  std::int32_t leave_start_s = 0;
  std::int32_t reach_end_s = 0;
  std::int32_t driving_s = 0;
  std::int32_t driving_m = 0;
  std::int32_t overtime_s = 0;
  double load_kg = 0.0;
};

struct RoundsPlan {
  int period_days = 5;           // working days after which the plan repeats
  std::vector<Round> rounds;     // by day, then technician; days without stops are absent
  double cost = 0.0;             // money for the period: wages of driving and work, overtime, mileage
  double lower_bound = 0.0;      // no plan that serves the same pools can cost less
  double largest_stretch = 0.0;  // relative change of an interval to fit the period, 0.1 = 10 %
  std::vector<PoolId> unserved;  // pools that no capacity can serve
};

using PlanProgress = std::function<bool(double done_share, double best_cost)>;  // false stops the search

/// Searches a plan. Deterministic for (inputs, seed): effort is counted in moves, never in time.
RoundsPlan plan_rounds(Scenario const& scenario, TravelTable const& travel, std::vector<PlannedPool> const& pools,
                       std::uint64_t seed, PlanProgress const& progress = {});

}  // namespace brinecast::sim
