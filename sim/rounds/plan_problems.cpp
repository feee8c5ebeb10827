#include "sim/rounds/plan_problems.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <string>

#include "sim/rounds/period.hpp"
#include "sim/scenario/policy_lines.hpp"

namespace brinecast::sim {

namespace {

constexpr double told_change = 0.1;
constexpr double same_interval = 0.01;  // a mean over the season that is this near to an interval is this interval

struct StatedInterval {
  std::string key;
  double interval_d;
};

std::vector<StatedInterval> stated_intervals(PolicySpec const& policy) {
  std::vector<StatedInterval> stated{{"visits.interval", policy.visits.interval_d}};
  for (std::size_t i = 0; i < policy.visits.rules.size(); ++i) {
    stated.push_back({fmt::format("visits.rules[{}].interval", i + 1), policy.visits.rules[i].interval_d});
  }
  return stated;
}

/// Between two visits that come on the plan's days nearest to when they are due: never before half of the interval.
double served_interval_d(double interval_d, double cycle_d) {
  return std::max(1.0, std::ceil(interval_d / (2.0 * cycle_d))) * cycle_d;
}

}  // namespace

bool outlasts_every_period(PolicySpec const& policy, RoundsSpec const& rounds) {
  auto const stated = stated_intervals(policy);
  double const longest_d = longest_planned_interval_d(rounds);
  return std::any_of(stated.begin(), stated.end(),
                     [&](auto const& interval) { return interval.interval_d > longest_d; });
}

Problems find_plan_problems(Scenario const& scenario, PolicySpec const& policy, std::vector<PlannedPool> const& pools) {
  std::vector<double> intervals_d;
  intervals_d.reserve(pools.size());
  for (PlannedPool const& pool : pools) intervals_d.push_back(pool.visit_interval_d);
  Period const period = planning_period(intervals_d, scenario.rounds);
  double const longest_d = longest_planned_interval_d(scenario.rounds);
  double const days_per_working_day = longest_d / longest_period_days;
  auto const stated = stated_intervals(policy);
  std::set<std::string> told;
  Problems problems;
  for (std::size_t i = 0; i < pools.size(); ++i) {
    double const interval_d = intervals_d[i];
    double const served_d = served_interval_d(interval_d, period.cycles[i] * days_per_working_day);
    if (interval_d <= longest_d || std::fabs(served_d / interval_d - 1.0) <= told_change) continue;
    // A mean of several intervals, as rules by date have it, binds nobody to the plan's days.
    auto const source = std::find_if(stated.begin(), stated.end(), [&](auto const& interval) {
      return std::fabs(interval.interval_d / interval_d - 1.0) < same_interval;
    });
    if (source == stated.end() || !told.insert(source->key).second) continue;
    StatedAt const at = where_stated(scenario, policy.name, source->key);
    problems.add({.file = at.file,
                  .line = at.line,
                  .column = at.column,
                  .place = fmt::format("policies.{}.{}", policy.name, source->key),
                  .message = fmt::format("the plan of rounds repeats after {} working days at the latest, and on its "
                                         "days a visit due after {:g} d comes after {:g} d; write at most {:g} d",
                                         longest_period_days, interval_d, served_d, longest_d)});
  }
  return problems;
}

}  // namespace brinecast::sim
