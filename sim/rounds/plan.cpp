#include "sim/rounds/plan.hpp"

#include <algorithm>
#include <mutex>
#include <numeric>

#include "sim/parallel/parallel_loop.hpp"
#include "sim/rounds/districts.hpp"
#include "sim/rounds/draft.hpp"
#include "sim/rounds/lower_bound.hpp"
#include "sim/rounds/period.hpp"
#include "sim/rounds/round_clock.hpp"

namespace brinecast::sim {

namespace {

/// Adds up what the districts tell, from several threads.
class SharedProgress {
 public:
  SharedProgress(PlanProgress const& progress, std::vector<double> weights)
      : progress_(&progress), weights_(std::move(weights)), share_(weights_.size(), 0.0), cost_(weights_.size(), 0.0) {}

  bool note(std::size_t district, double share, double cost) {
    std::lock_guard const lock(mutex_);
    share_[district] = share * weights_[district];
    cost_[district] = cost;
    if (going_) {
      going_ = (*progress_)(std::accumulate(share_.begin(), share_.end(), 0.0),
                            std::accumulate(cost_.begin(), cost_.end(), 0.0));
    }
    return going_;
  }

 private:
  PlanProgress const* progress_;
  std::vector<double> weights_, share_, cost_;  // [district]
  std::mutex mutex_;
  bool going_ = true;
};

/// Searches every district, several at a time. What is found does not depend on how many threads there are.
std::vector<DistrictRounds> searched(Scenario const& scenario, TravelTable const& travel,
                                     std::vector<PlannedPool> const& pools, Period const& period, std::uint64_t seed,
                                     PlanProgress const& progress) {
  std::vector<District> const districts = districts_of(scenario, pools, period, {});
  std::vector<double> weights;
  for (District const& district : districts) weights.push_back(static_cast<double>(visits_in(district, period)));
  double const total = std::max(1.0, std::accumulate(weights.begin(), weights.end(), 0.0));
  for (double& weight : weights) weight /= total;
  SharedProgress shared(progress, weights);
  std::set<std::string> const preferred = preferred_technicians(scenario);
  std::vector<DistrictRounds> found(districts.size());
  parallel_loop(districts.size(), [&](std::size_t index) {
    PlanProgress note;
    if (progress) note = [&shared, index](double share, double cost) { return shared.note(index, share, cost); };
    found[index] = search_district(scenario, travel, pools, period, preferred, districts[index], seed + index, note);
  });
  std::vector<char> in_district(pools.size(), false);
  for (District const& district : districts) {
    for (std::size_t const index : district.pools) in_district[index] = true;
  }
  DistrictRounds outside;
  for (std::size_t index = 0; index < pools.size(); ++index) {
    if (!in_district[index]) outside.left_out.push_back(index);
  }
  found.push_back(std::move(outside));
  return found;
}

}  // namespace

RoundsPlan plan_rounds(Scenario const& scenario, TravelTable const& travel, std::vector<PlannedPool> const& pools,
                       std::uint64_t seed, PlanProgress const& progress) {
  RoundsPlan plan;
  std::vector<double> intervals_d;
  for (PlannedPool const& pool : pools) intervals_d.push_back(pool.visit_interval_d);
  Period const period = planning_period(intervals_d, scenario.rounds);
  plan.period_days = period.days;
  plan.largest_stretch = period.largest_stretch;
  if (pools.empty()) return plan;
  Draft draft(scenario, travel, period.days);

  std::vector<std::size_t> left_out;  // index into pools
  for (DistrictRounds& district : searched(scenario, travel, pools, period, seed, progress)) {
    for (DistrictRounds::Day const& day : district.days) {
      auto& stops = draft.stops(day.technician, day.day);
      for (std::size_t const index : day.pools) stops.push_back(work_of(pools[index]));
    }
    left_out.insert(left_out.end(), district.left_out.begin(), district.left_out.end());
  }

  // The search may hand back days that break a rule when it found no others: their last pools look for another place.
  std::vector<std::size_t> index_of_pool(scenario.pools.size(), 0);
  for (std::size_t index = 0; index < pools.size(); ++index) index_of_pool[index_of(pools[index].pool)] = index;
  for (int day = 0; day < period.days; ++day) {
    for (std::size_t technician = 0; technician < scenario.technicians.size(); ++technician) {
      while (!draft.stops(technician, day).empty() && !draft.allowed(technician, day)) {
        PoolId const pool = draft.stops(technician, day).back().pool;
        draft.remove(pool);
        left_out.push_back(index_of_pool[index_of(pool)]);
      }
    }
  }
  std::vector<PeriodVisits> visits;
  std::vector<char> unserved(pools.size(), false);
  for (std::size_t const index : left_out) {
    if (!draft.insert(work_of(pools[index]), period.cycles[index])) {
      unserved[index] = true;
      plan.unserved.push_back(pools[index].pool);
    }
  }
  for (std::size_t index = 0; index < pools.size(); ++index) {
    if (!unserved[index]) {
      visits.push_back({pools[index].pool, period.days / period.cycles[index], pools[index].service_s});
    }
  }
  std::sort(plan.unserved.begin(), plan.unserved.end());
  plan.rounds = draft.rounds();
  plan.cost = draft.cost();
  plan.lower_bound = rounds_lower_bound(scenario, travel, visits, period.days);
  return plan;
}

}  // namespace brinecast::sim
