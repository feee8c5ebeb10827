#include "sim/rounds/plan.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <tuple>

#include "sim/rounds/draft.hpp"
#include "sim/rounds/lower_bound.hpp"
#include "sim/rounds/period.hpp"
#include "sim/rounds/round_clock.hpp"
#include "sim/rounds/search/route_search.hpp"

namespace brinecast::sim {

namespace {

using search::Amount;

constexpr double micros = 1e6;                  // the search counts millionths of the currency, seconds and grams
constexpr double cost_of_leaving_out = 1000.0;  // money a visit not made counts as: more than any detour

Amount in_micros(double money) { return std::llround(money * micros); }

/// Technicians that no rule tells apart.
std::vector<std::vector<std::size_t>> kinds_of(Scenario const& scenario) {
  auto const preferred = [&](Technician const& technician) {
    return std::any_of(scenario.pools.begin(), scenario.pools.end(),
                       [&](Pool const& pool) { return pool.preferred_technician == technician.name; });
  };
  auto const alike = [&](Technician const& a, Technician const& b) {
    auto const traits = [](Technician const& t) {
      return std::tie(t.start.longitude_deg, t.start.latitude_deg, t.end.longitude_deg, t.end.latitude_deg,
                      t.shift_start_s, t.shift_length_s, t.break_s, t.overtime_limit_s, t.payload_kg, t.skills);
    };
    return traits(a) == traits(b) && !preferred(a) && !preferred(b);
  };
  std::vector<std::vector<std::size_t>> kinds;
  for (std::size_t technician = 0; technician < scenario.technicians.size(); ++technician) {
    auto const same = std::find_if(kinds.begin(), kinds.end(), [&](std::vector<std::size_t> const& kind) {
      return alike(scenario.technicians[kind.front()], scenario.technicians[technician]);
    });
    if (same == kinds.end()) {
      kinds.push_back({technician});
    } else {
      same->push_back(technician);
    }
  }
  return kinds;
}

/// A working day without overtime that spreads the work evenly, but not thinner than half a shift: hours beyond it
/// count as overtime in the search, so that days come out balanced.
double balanced_day_s(Scenario const& scenario, TravelTable const& travel, std::vector<PlannedPool> const& pools,
                      Period const& period, Technician const& technician) {
  double work_s = 0.0;
  std::vector<std::int32_t> near;
  for (std::size_t index = 0; index < pools.size(); ++index) {
    // Driving to a stop is guessed as the way from its third nearest neighbour.
    near.clear();
    for (PlannedPool const& other : pools) {
      if (other.pool != pools[index].pool) {
        near.push_back(travel.seconds(place_of_pool(other.pool), place_of_pool(pools[index].pool)));
      }
    }
    std::size_t const third = std::min<std::size_t>(2, near.size());
    std::nth_element(near.begin(), near.begin() + static_cast<std::ptrdiff_t>(third), near.end());
    double const driving_s = third < near.size() ? near[third] : 0.0;
    work_s += (pools[index].service_s + driving_s) * (period.days / period.cycles[index]);
  }
  double const even_s = work_s / (static_cast<double>(scenario.technicians.size()) * period.days);
  constexpr double slack = 1.1;
  double const regular_s = technician.shift_length_s - technician.break_s;
  return std::min(regular_s, std::max(technician.shift_length_s / 2.0, slack * even_s));
}

/// The planning problem in the search's terms. The break is not known to the search: every day is shortened by it, and
/// gates that close in the second half of the shift close earlier by it.
search::Problem search_problem(Scenario const& scenario, TravelTable const& travel,
                               std::vector<PlannedPool> const& pools, Period const& period,
                               std::vector<std::vector<std::size_t>> const& kinds,
                               std::vector<std::int32_t> const& mileage) {
  search::Problem problem;
  problem.days = period.days;
  problem.travel_cost = {mileage.data(), travel.places()};
  problem.travel_duration = {travel.seconds_row(0).data(), travel.places()};
  double const wage_per_s = scenario.prices.wage_per_h / 3600.0;
  double earliest_half_s = 86400.0;
  double longest_break_s = 0.0;
  for (auto const& kind : kinds) {
    Technician const& technician = scenario.technicians[kind.front()];
    double const working_s = technician.shift_length_s - technician.break_s;
    earliest_half_s = std::min(earliest_half_s, technician.shift_start_s + technician.shift_length_s / 2.0);
    longest_break_s = std::max(longest_break_s, technician.break_s);
    search::VehicleKind vehicle;
    vehicle.start_place = place_of_start(scenario, static_cast<TechnicianId>(kind.front()));
    vehicle.end_place = place_of_end(scenario, static_cast<TechnicianId>(kind.front()));
    vehicle.count = static_cast<int>(kind.size());
    vehicle.capacity = std::llround(1000.0 * technician.payload_kg);
    vehicle.earliest_start = std::llround(technician.shift_start_s);
    vehicle.longest_duration = std::llround(working_s + technician.overtime_limit_s);
    vehicle.latest_end = vehicle.earliest_start + vehicle.longest_duration;
    vehicle.regular_duration = std::llround(balanced_day_s(scenario, travel, pools, period, technician));
    vehicle.duration_cost = in_micros(wage_per_s);
    vehicle.overtime_cost = in_micros(wage_per_s * (scenario.prices.overtime_factor - 1.0));
    problem.kinds.push_back(vehicle);
  }
  RoundClock const clock(scenario, travel);
  for (std::size_t index = 0; index < pools.size(); ++index) {
    PlannedPool const& planned = pools[index];
    Pool const& pool = scenario.pools[index_of(planned.pool)];
    search::Customer customer;
    customer.place = place_of_pool(planned.pool);
    customer.demand = std::llround(1000.0 * planned.supplies_kg);
    customer.service_duration = std::llround(planned.service_s);
    customer.opens = std::llround(pool.gate_opens_s);
    double const closes_s = pool.gate_closes_s - (pool.gate_closes_s > earliest_half_s ? longest_break_s : 0.0);
    if (pool.gate_closes_s < 86400.0) customer.closes = std::max(customer.opens, static_cast<Amount>(closes_s));
    customer.patterns.clear();
    int const cycle = period.cycles[index];
    for (int offset = 0; offset < cycle; ++offset) {
      search::DayPattern pattern{.days = 0, .cost = 0};
      for (int day = offset; day < period.days; day += cycle) pattern.days |= std::uint64_t{1} << day;
      customer.patterns.push_back(pattern);
    }
    customer.patterns.push_back({.days = 0, .cost = in_micros(cost_of_leaving_out) * (period.days / cycle)});
    for (auto const& kind : kinds) {
      bool const skilled = clock.has_skill(static_cast<TechnicianId>(kind.front()), planned.pool);
      bool const other =
          !pool.preferred_technician.empty() && scenario.technicians[kind.front()].name != pool.preferred_technician;
      customer.kind_cost.push_back(!skilled ? search::forbidden
                                   : other  ? in_micros(scenario.rounds.other_technician_cost)
                                            : 0);
    }
    problem.customers.push_back(std::move(customer));
  }
  return problem;
}

/// Offspring that the planning time pays for: 625 a second for 150 visits on one core of a server of the year 2023, by
/// measurement falling with the power 2.5 of the visits. Fleets of more than 250 visits get more time, in proportion.
std::int64_t search_iterations(double planning_time_s, std::size_t visits) {
  double const size = std::max<double>(20.0, static_cast<double>(visits));
  double const relative = 150.0 / size;
  double const per_s = 625.0 * relative * relative * std::sqrt(relative);
  return std::max<std::int64_t>(10, std::llround(planning_time_s * std::max(1.0, size / 250.0) * per_s));
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
  {
    std::vector<std::int32_t> mileage(travel.places() * travel.places());
    for (std::size_t from = 0; from < travel.places(); ++from) {
      for (std::size_t to = 0; to < travel.places(); ++to) {
        double const money = scenario.prices.driving_per_km * travel.metres(from, to) / 1000.0;
        mileage[from * travel.places() + to] = static_cast<std::int32_t>(std::min(1e9, std::round(money * micros)));
      }
    }
    auto const kinds = kinds_of(scenario);
    auto const problem = search_problem(scenario, travel, pools, period, kinds, mileage);
    std::size_t visits = 0;
    for (int const cycle : period.cycles) visits += static_cast<std::size_t>(period.days / cycle);
    search::SearchOptions options;
    options.seed = seed;
    options.iterations = search_iterations(scenario.rounds.planning_time_s, visits);
    search::SearchObserver observer;
    if (progress) {
      observer = [&](search::SearchProgress const& state) {
        return progress(static_cast<double>(state.iterations) / static_cast<double>(options.iterations),
                        static_cast<double>(state.best_cost) / micros);
      };
    }
    search::Solution const solution = search::search_rounds(problem, options, observer);
    std::vector<char> visited(pools.size(), false);
    for (search::VehicleDay const& round : solution.rounds) {
      std::size_t const technician =
          kinds[static_cast<std::size_t>(round.kind)][static_cast<std::size_t>(round.vehicle)];
      for (int const customer : round.customers) {
        visited[static_cast<std::size_t>(customer)] = true;
        draft.stops(technician, round.day).push_back(work_of(pools[static_cast<std::size_t>(customer)]));
      }
    }
    for (std::size_t index = 0; index < pools.size(); ++index) {
      if (!visited[index]) left_out.push_back(index);
    }
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
