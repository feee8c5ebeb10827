#include "sim/rounds/plan.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <tuple>

#include "sim/rounds/lower_bound.hpp"
#include "sim/rounds/period.hpp"
#include "sim/rounds/round_clock.hpp"

namespace brinecast::sim {

namespace {

/// A plan while it is built: stops by technician and day.
class Draft {
 public:
  Draft(Scenario const& scenario, TravelTable const& travel, Period const& period)
      : clock_(scenario, travel),
        period_(&period),
        technicians_(scenario.technicians.size()),
        days_(technicians_ * static_cast<std::size_t>(period.days)) {}

  struct Choice {
    double cost = 0.0;
    std::size_t technician = 0;
    int offset = 0;
    bool found = false;
  };

  /// The technician and first day that take all visits of a pool for the least money.
  [[nodiscard]] Choice cheapest(StopWork const& work, int cycle, auto const& extra_cost_of) {
    Choice best;
    for (std::size_t technician = 0; technician < technicians_; ++technician) {
      if (!clock_.has_skill(static_cast<TechnicianId>(technician), work.pool)) continue;
      for (int offset = 0; offset < cycle; ++offset) {
        double cost = extra_cost_of(technician);
        bool possible = true;
        for (int day = offset; possible && day < period_->days; day += cycle) {
          auto const place = cheapest_position(technician, day, work);
          possible = place.second >= 0;
          cost += place.first;
        }
        if (possible && (!best.found || cost < best.cost)) best = {cost, technician, offset, true};
      }
    }
    return best;
  }

  void add(Choice const& choice, StopWork const& work, int cycle) {
    for (int day = choice.offset; day < period_->days; day += cycle) {
      auto const position = cheapest_position(choice.technician, day, work).second;
      auto& stops = stops_of(choice.technician, day);
      stops.insert(stops.begin() + position, work);
    }
  }

  [[nodiscard]] std::vector<Round> rounds() {
    std::vector<Round> all;
    for (int day = 0; day < period_->days; ++day) {
      for (std::size_t technician = 0; technician < technicians_; ++technician) {
        auto const& stops = stops_of(technician, day);
        if (!stops.empty()) all.push_back(clock_.timed_round(static_cast<TechnicianId>(technician), day, stops));
      }
    }
    return all;
  }

  [[nodiscard]] double cost() {
    double sum = 0.0;
    for (std::size_t slot = 0; slot < days_.size(); ++slot) {
      auto const technician = static_cast<TechnicianId>(slot % technicians_);
      if (!days_[slot].empty()) sum += clock_.cost(clock_.figures(technician, days_[slot]));
    }
    return sum;
  }

 private:
  std::vector<StopWork>& stops_of(std::size_t technician, int day) {
    return days_[static_cast<std::size_t>(day) * technicians_ + technician];
  }

  /// Added money and position, -1 when the day cannot take the stop.
  std::pair<double, int> cheapest_position(std::size_t technician, int day, StopWork const& work) {
    auto const id = static_cast<TechnicianId>(technician);
    auto const& stops = stops_of(technician, day);
    double const before = stops.empty() ? 0.0 : clock_.cost(clock_.figures(id, stops));
    std::pair<double, int> best{0.0, -1};
    for (std::size_t position = 0; position <= stops.size(); ++position) {
      trial_.assign(stops.begin(), stops.end());
      trial_.insert(trial_.begin() + static_cast<std::ptrdiff_t>(position), work);
      DayFigures const figures = clock_.figures(id, trial_);
      if (!figures.allowed()) continue;
      double const added = clock_.cost(figures) - before;
      if (best.second < 0 || added < best.first) best = {added, static_cast<int>(position)};
    }
    return best;
  }

  RoundClock clock_;
  Period const* period_;
  std::size_t technicians_;
  std::vector<std::vector<StopWork>> days_;  // [day][technician]
  std::vector<StopWork> trial_;
};

}  // namespace

RoundsPlan plan_rounds(Scenario const& scenario, TravelTable const& travel, std::vector<PlannedPool> const& pools,
                       std::uint64_t /*seed*/, PlanProgress const& progress) {
  std::vector<double> intervals_d;
  for (PlannedPool const& pool : pools) intervals_d.push_back(pool.visit_interval_d);
  Period const period = planning_period(intervals_d, scenario.rounds);
  RoundsPlan plan;
  plan.period_days = period.days;

  // Far pools first: they decide where the rounds go, the near ones fill them.
  std::vector<std::size_t> order(pools.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  auto const nearest_start_s = [&](PlannedPool const& pool) {
    std::int32_t nearest = std::numeric_limits<std::int32_t>::max();
    for (std::size_t technician = 0; technician < scenario.technicians.size(); ++technician) {
      nearest = std::min(nearest, travel.seconds(place_of_start(scenario, static_cast<TechnicianId>(technician)),
                                                 place_of_pool(pool.pool)));
    }
    return nearest;
  };
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return std::tuple(-nearest_start_s(pools[a]), a) < std::tuple(-nearest_start_s(pools[b]), b);
  });

  Draft draft(scenario, travel, period);
  std::vector<PeriodVisits> visits;
  std::size_t done = 0;
  for (std::size_t const index : order) {
    PlannedPool const& pool = pools[index];
    StopWork const work{.pool = pool.pool,
                        .service_s = static_cast<std::int32_t>(std::lround(pool.service_s)),
                        .supplies_kg = static_cast<float>(pool.supplies_kg)};
    int const cycle = period.cycles[index];
    std::string const& preferred = scenario.pools[index_of(pool.pool)].preferred_technician;
    auto const choice = draft.cheapest(work, cycle, [&](std::size_t technician) {
      bool const other = !preferred.empty() && scenario.technicians[technician].name != preferred;
      return other ? scenario.rounds.other_technician_cost * (period.days / cycle) : 0.0;
    });
    if (choice.found) {
      draft.add(choice, work, cycle);
      visits.push_back({pool.pool, period.days / cycle, pool.service_s});
    } else {
      plan.unserved.push_back(pool.pool);
    }
    if (progress && !progress(static_cast<double>(++done) / static_cast<double>(pools.size()), draft.cost())) break;
  }
  std::sort(plan.unserved.begin(), plan.unserved.end());
  plan.rounds = draft.rounds();
  plan.cost = draft.cost();
  plan.lower_bound = rounds_lower_bound(scenario, travel, visits, period.days);
  return plan;
}

}  // namespace brinecast::sim
