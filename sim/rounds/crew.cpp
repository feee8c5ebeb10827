#include "sim/rounds/crew.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "sim/rounds/draft.hpp"
#include "sim/rounds/period.hpp"

namespace brinecast::sim {

namespace {

std::vector<double> intervals_of(std::vector<PlannedPool> const& pools) {
  std::vector<double> intervals_d;
  for (PlannedPool const& pool : pools) intervals_d.push_back(pool.visit_interval_d);
  return intervals_d;
}

/// Technicians that the work alone fills, driving left out.
int least_crew(Scenario const& scenario, std::vector<PlannedPool> const& pools) {
  Period const period = planning_period(intervals_of(pools), scenario.rounds);
  double work_s = 0.0;
  for (std::size_t index = 0; index < pools.size(); ++index) {
    work_s += pools[index].service_s * (period.days / period.cycles[index]);
  }
  double longest_day_s = 1.0;
  for (Technician const& technician : scenario.technicians) {
    longest_day_s = std::max(longest_day_s, technician.shift_length_s + technician.overtime_limit_s);
  }
  return std::max(1, static_cast<int>(std::ceil(work_s / (longest_day_s * period.days))));
}

}  // namespace

std::vector<CrewTrial> smallest_crew(Scenario const& scenario, TravelTable const& travel,
                                     std::vector<PlannedPool> const& pools, std::uint64_t seed, int most,
                                     PlanProgress const& progress) {
  std::vector<CrewTrial> trials;
  std::size_t const known = scenario.technicians.size();
  if (known == 0) return trials;
  for (int crew = std::min(most, least_crew(scenario, pools)); crew <= most; ++crew) {
    Scenario trial = scenario;
    std::vector<std::size_t> who;  // [technician of the trial] of the scenario
    trial.technicians.clear();
    for (std::size_t index = 0; index < static_cast<std::size_t>(crew); ++index) {
      who.push_back(std::min(index, known - 1));
      trial.technicians.push_back(scenario.technicians[who.back()]);
      if (index >= known) trial.technicians.back().name += fmt::format(" {}", index - known + 2);
    }
    std::vector<std::size_t> place;  // [place of the trial] of the scenario
    for (std::size_t pool = 0; pool < scenario.pools.size(); ++pool) place.push_back(pool);
    for (std::size_t const index : who) place.push_back(place_of_start(scenario, static_cast<TechnicianId>(index)));
    for (std::size_t const index : who) place.push_back(place_of_end(scenario, static_cast<TechnicianId>(index)));
    trials.push_back({crew, plan_rounds(trial, travel.of_places(place), pools, seed, progress)});
    if (trials.back().plan.unserved.empty()) break;
  }
  return trials;
}

std::vector<MarginalCost> marginal_costs(Scenario const& scenario, TravelTable const& travel, RoundsPlan const& plan,
                                         std::vector<PlannedPool> const& pools) {
  Period const period = planning_period(intervals_of(pools), scenario.rounds);
  constexpr double days_per_month = 365.2425 / 12.0;
  double const periods_per_month = working_days_in(days_per_month, scenario.rounds) / period.days;
  std::map<std::string, MarginalCost> by_name;
  Draft const full(scenario, travel, plan, pools);
  for (std::size_t index = 0; index < pools.size(); ++index) {
    PoolId const pool = pools[index].pool;
    if (std::binary_search(plan.unserved.begin(), plan.unserved.end(), pool)) continue;
    std::string const& neighbourhood = scenario.pools[index_of(pool)].neighbourhood;
    MarginalCost& entry = by_name[neighbourhood];
    entry.neighbourhood = neighbourhood;
    ++entry.pools;
    Draft draft = full;
    draft.remove(pool);
    double const before = draft.cost();
    if (draft.insert(work_of(pools[index]), period.cycles[index])) {
      entry.money_per_month += (draft.cost() - before) * periods_per_month;
    } else {
      ++entry.without_place;
    }
  }
  std::vector<MarginalCost> all;
  for (auto& [name, entry] : by_name) {
    std::size_t const priced = entry.pools - entry.without_place;
    if (priced > 0) entry.money_per_month /= static_cast<double>(priced);
    all.push_back(entry);
  }
  return all;
}

}  // namespace brinecast::sim
