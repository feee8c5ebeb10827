#include "sim/rounds/draft.hpp"

#include <cmath>

namespace brinecast::sim {

StopWork work_of(PlannedPool const& pool) {
  return {.pool = pool.pool,
          .service_s = static_cast<std::int32_t>(std::lround(pool.service_s)),
          .supplies_kg = static_cast<float>(pool.supplies_kg)};
}

Draft::Draft(Scenario const& scenario, TravelTable const& travel, int period_days)
    : scenario_(&scenario),
      clock_(scenario, travel),
      period_days_(period_days),
      technicians_(scenario.technicians.size()),
      days_(technicians_ * static_cast<std::size_t>(period_days)) {}

Draft::Draft(Scenario const& scenario, TravelTable const& travel, RoundsPlan const& plan,
             std::vector<PlannedPool> const& pools)
    : Draft(scenario, travel, plan.period_days) {
  std::vector<StopWork> work(scenario.pools.size());
  for (PlannedPool const& pool : pools) work[index_of(pool.pool)] = work_of(pool);
  for (Round const& round : plan.rounds) {
    for (PlannedStop const& stop : round.stops) {
      stops(index_of(round.technician), round.day).push_back(work[index_of(stop.pool)]);
    }
  }
}

bool Draft::allowed(std::size_t technician, int day) const {
  return clock_.figures(static_cast<TechnicianId>(technician), stops(technician, day)).allowed();
}

void Draft::remove(PoolId pool) {
  for (auto& day : days_) std::erase_if(day, [&](StopWork const& stop) { return stop.pool == pool; });
}

std::optional<double> Draft::insert(StopWork const& work, int cycle) {
  std::string const& preferred = scenario_->pools[index_of(work.pool)].preferred_technician;
  std::optional<double> best;
  std::size_t best_technician = 0;
  int best_offset = 0;
  for (std::size_t technician = 0; technician < technicians_; ++technician) {
    if (!clock_.has_skill(static_cast<TechnicianId>(technician), work.pool)) continue;
    bool const other = !preferred.empty() && scenario_->technicians[technician].name != preferred;
    for (int offset = 0; offset < cycle; ++offset) {
      double cost = other ? scenario_->rounds.other_technician_cost * (period_days_ / cycle) : 0.0;
      bool possible = true;
      for (int day = offset; possible && day < period_days_; day += cycle) {
        auto const choice = cheapest_position(technician, day, work);
        possible = choice.has_value();
        if (possible) cost += choice->added;
      }
      if (possible && (!best || cost < *best)) {
        best = cost;
        best_technician = technician;
        best_offset = offset;
      }
    }
  }
  if (!best) return best;
  for (int day = best_offset; day < period_days_; day += cycle) {
    auto const choice = cheapest_position(best_technician, day, work);
    auto& day_stops = stops(best_technician, day);
    day_stops.insert(day_stops.begin() + static_cast<std::ptrdiff_t>(choice->position), work);
  }
  return best;
}

double Draft::cost() const {
  double sum = 0.0;
  for (std::size_t slot = 0; slot < days_.size(); ++slot) {
    if (days_[slot].empty()) continue;
    sum += clock_.cost(clock_.figures(static_cast<TechnicianId>(slot % technicians_), days_[slot]));
  }
  return sum;
}

std::vector<Round> Draft::rounds() const {
  std::vector<Round> all;
  for (std::size_t slot = 0; slot < days_.size(); ++slot) {
    if (days_[slot].empty()) continue;
    all.push_back(clock_.timed_round(static_cast<TechnicianId>(slot % technicians_),
                                     static_cast<int>(slot / technicians_), days_[slot]));
  }
  return all;
}

std::optional<Draft::Choice> Draft::cheapest_position(std::size_t technician, int day, StopWork const& work) {
  auto const id = static_cast<TechnicianId>(technician);
  auto const& day_stops = stops(technician, day);
  std::optional<Choice> best;
  double before = 0.0;
  if (!day_stops.empty()) {
    DayFigures const figures = clock_.figures(id, day_stops);
    before = clock_.cost(figures);
    // Only waiting and a break that falls elsewhere can swallow work.
    std::int32_t const least_end_s = figures.reach_end_s - figures.waiting_s - figures.break_s + work.service_s;
    if (least_end_s > clock_.latest_end_s(id)) return best;
  }
  for (std::size_t position = 0; position <= day_stops.size(); ++position) {
    trial_.assign(day_stops.begin(), day_stops.end());
    trial_.insert(trial_.begin() + static_cast<std::ptrdiff_t>(position), work);
    DayFigures const figures = clock_.figures(id, trial_);
    if (!figures.allowed()) continue;
    double const added = clock_.cost(figures) - before;
    if (!best || added < best->added) best = Choice{technician, position, added};
  }
  return best;
}

}  // namespace brinecast::sim
