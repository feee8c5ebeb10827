#include "sim/ensemble/plan_index.hpp"

#include <algorithm>
#include <chrono>

namespace brinecast::sim {

PlanIndex::PlanIndex(Scenario const& scenario, RoundsPlan const& plan)
    : period_days_(std::max(1, plan.period_days)),
      pools_(scenario.pools.size()),
      places_(static_cast<std::size_t>(period_days_) * pools_),
      usual_(pools_),
      first_day_(pools_, 0) {
  std::vector<int> first_in_period(pools_, -1);
  for (Round const& round : plan.rounds) {
    for (std::size_t position = 0; position < round.stops.size(); ++position) {
      std::size_t const pool = index_of(round.stops[position].pool);
      Place const place{round.technician, static_cast<int>(position)};
      places_[static_cast<std::size_t>(round.day) * pools_ + pool] = place;
      if (usual_[pool].position < 0) usual_[pool] = place;
      if (first_in_period[pool] < 0 || round.day < first_in_period[pool]) first_in_period[pool] = round.day;
    }
  }
  std::vector<int> day_of_working_day;
  auto const working = number_working_days(scenario);
  for (std::size_t day = 0; day < working.size(); ++day) {
    if (working[day] >= 0) day_of_working_day.push_back(static_cast<int>(day));
  }
  for (std::size_t pool = 0; pool < pools_; ++pool) {
    auto const first = static_cast<std::size_t>(std::max(0, first_in_period[pool]));
    first_day_[pool] = first < day_of_working_day.size() ? day_of_working_day[first] : scenario.season.days;
  }
}

PlanIndex::Place PlanIndex::place(std::size_t working_day, PoolId pool) const {
  return places_[working_day % static_cast<std::size_t>(period_days_) * pools_ + index_of(pool)];
}

std::vector<int> number_working_days(Scenario const& scenario) {
  std::vector<int> numbers(static_cast<std::size_t>(scenario.season.days), -1);
  int next = 0;
  for (std::size_t day = 0; day < numbers.size(); ++day) {
    auto const date = scenario.season.first_day + std::chrono::days{static_cast<int>(day)};
    if (scenario.is_working_day(date)) numbers[day] = next++;
  }
  return numbers;
}

}  // namespace brinecast::sim
