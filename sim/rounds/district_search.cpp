#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <tuple>

#include "sim/rounds/districts.hpp"
#include "sim/rounds/round_clock.hpp"
#include "sim/rounds/search/route_search.hpp"

namespace brinecast::sim {

namespace {

using search::Amount;

constexpr std::int32_t day_s = 86400;

/// Technicians of a district that no rule tells apart.
std::vector<std::vector<std::size_t>> kinds_of(Scenario const& scenario, std::vector<std::size_t> const& technicians,
                                               std::set<std::string> const& preferred) {
  auto const alike = [&](Technician const& a, Technician const& b) {
    auto const traits = [](Technician const& t) {
      return std::tie(t.start.longitude_deg, t.start.latitude_deg, t.end.longitude_deg, t.end.latitude_deg,
                      t.shift_start_s, t.shift_length_s, t.break_s, t.overtime_limit_s, t.payload_kg, t.skills);
    };
    return traits(a) == traits(b) && preferred.count(a.name) == 0 && preferred.count(b.name) == 0;
  };
  std::vector<std::vector<std::size_t>> kinds;
  for (std::size_t const technician : technicians) {
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

/// The places of a district with the drives between them: pools, then the start of each kind, then the end of each.
struct LocalTable {
  std::vector<std::int32_t> seconds, metres;  // [from][to]
  std::size_t places = 0;

  LocalTable(TravelTable const& travel, std::vector<std::size_t> const& place)
      : seconds(place.size() * place.size()), metres(seconds.size()), places(place.size()) {
    for (std::size_t from = 0; from < places; ++from) {
      for (std::size_t to = 0; to < places; ++to) {
        Drive drive = travel.drive(place[from], place[to]);
        // No shift has room for a drive of a day: longer ones would only coarsen the unit of money.
        if (drive.seconds > day_s) {
          drive.metres = static_cast<std::int32_t>(std::int64_t{drive.metres} * day_s / drive.seconds);
          drive.seconds = day_s;
        }
        seconds[from * places + to] = drive.seconds;
        metres[from * places + to] = drive.metres;
      }
    }
  }
};

/// The search counts money in whole units, which follow from the prices: a plan does not depend on the currency.
struct SearchMoney {
  double units = 1e6;      // in one of the currency: a power of ten, a million at the prices of dollars or euros
  Amount leaving_out = 0;  // what a visit not made counts as: more than any visit costs

  [[nodiscard]] Amount in_units(double money) const { return std::llround(money * units); }

  SearchMoney(Scenario const& scenario, LocalTable const& table, std::vector<std::vector<std::size_t>> const& kinds,
              int period_days) {
    Prices const& prices = scenario.prices;
    double const wage_per_s = prices.wage_per_h / 3600.0;
    double const longest_s = *std::max_element(table.seconds.begin(), table.seconds.end());
    double const longest_km = *std::max_element(table.metres.begin(), table.metres.end()) / 1000.0;
    double longest_day_s = 0.0;
    for (auto const& kind : kinds) {
      Technician const& technician = scenario.technicians[kind.front()];
      longest_day_s = std::max(longest_day_s, technician.shift_length_s + technician.overtime_limit_s);
    }
    double const dearest_drive = wage_per_s * longest_s + prices.driving_per_km * longest_km;
    double const dearest_visit = prices.overtime_factor * wage_per_s * longest_day_s +
                                 2.0 * prices.driving_per_km * longest_km + scenario.rounds.other_technician_cost;

    // An hour with 50 km of driving comes to tens of millions, so that seconds and metres keep their digits.
    double const hour = prices.wage_per_h + 50.0 * prices.driving_per_km;
    constexpr double least_hour = 1e7, finest = 1e15;
    while (hour > 0.0 && hour * units < least_hour && units < finest) units *= 10.0;
    // The dearest drive must fit 31 bits; a pool left out for a whole period must fit the sums of the search.
    constexpr double largest_drive = 2e9, largest_sum = 1e13;
    while (hour * units >= 10.0 * least_hour || dearest_drive * units > largest_drive ||
           dearest_visit * period_days * units > largest_sum) {
      units /= 10.0;
    }
    leaving_out = std::max<Amount>(1'000'000'000, in_units(dearest_visit));
  }
};

/// Work of an even day in the district, driving guessed.
double even_day_s(LocalTable const& table, std::vector<PlannedPool> const& pools, Period const& period,
                  District const& district) {
  double work_s = 0.0;
  std::vector<std::int32_t> near;
  for (std::size_t row = 0; row < district.pools.size(); ++row) {
    // Driving to a stop is guessed as the way from its third nearest neighbour.
    near.clear();
    for (std::size_t other = 0; other < district.pools.size(); ++other) {
      if (other != row) near.push_back(table.seconds[other * table.places + row]);
    }
    std::size_t const third = std::min<std::size_t>(2, near.size());
    std::nth_element(near.begin(), near.begin() + static_cast<std::ptrdiff_t>(third), near.end());
    double const driving_s = third < near.size() ? near[third] : 0.0;
    std::size_t const index = district.pools[row];
    work_s += (pools[index].service_s + driving_s) * (period.days / period.cycles[index]);
  }
  return work_s / (static_cast<double>(district.technicians.size()) * period.days);
}

/// A working day without overtime that spreads the work evenly, but not thinner than half a shift: hours beyond it
/// count as overtime in the search, so that days come out balanced.
double balanced_day_s(double even_s, Technician const& technician) {
  constexpr double slack = 1.1;
  double const regular_s = technician.shift_length_s - technician.break_s;
  return std::min(regular_s, std::max(technician.shift_length_s / 2.0, slack * even_s));
}

/// The planning problem in the search's terms. The break is not known to the search: every day is shortened by it, and
/// gates that close in the second half of the shift close earlier by it.
search::Problem search_problem(Scenario const& scenario, TravelTable const& travel,
                               std::vector<PlannedPool> const& pools, Period const& period, District const& district,
                               std::vector<std::vector<std::size_t>> const& kinds, LocalTable const& table,
                               std::vector<std::int32_t> const& mileage, SearchMoney const& money) {
  search::Problem problem;
  problem.days = period.days;
  problem.travel_cost = {mileage.data(), table.places};
  problem.travel_duration = {table.seconds.data(), table.places};
  double const even_s = even_day_s(table, pools, period, district);
  double const wage_per_s = scenario.prices.wage_per_h / 3600.0;
  double earliest_half_s = 86400.0;
  double longest_break_s = 0.0;
  for (auto const& kind : kinds) {
    Technician const& technician = scenario.technicians[kind.front()];
    double const working_s = technician.shift_length_s - technician.break_s;
    earliest_half_s = std::min(earliest_half_s, technician.shift_start_s + technician.shift_length_s / 2.0);
    longest_break_s = std::max(longest_break_s, technician.break_s);
    search::VehicleKind vehicle;
    vehicle.start_place = district.pools.size() + problem.kinds.size();
    vehicle.end_place = district.pools.size() + kinds.size() + problem.kinds.size();
    vehicle.count = static_cast<int>(kind.size());
    vehicle.capacity = std::llround(1000.0 * technician.payload_kg);
    vehicle.earliest_start = std::llround(technician.shift_start_s);
    vehicle.longest_duration = std::llround(working_s + technician.overtime_limit_s);
    vehicle.latest_end = vehicle.earliest_start + vehicle.longest_duration;
    vehicle.regular_duration = std::llround(balanced_day_s(even_s, technician));
    vehicle.duration_cost = money.in_units(wage_per_s);
    vehicle.overtime_cost = money.in_units(wage_per_s * (scenario.prices.overtime_factor - 1.0));
    problem.kinds.push_back(vehicle);
  }
  RoundClock const clock(scenario, travel);
  for (std::size_t row = 0; row < district.pools.size(); ++row) {
    std::size_t const index = district.pools[row];
    PlannedPool const& planned = pools[index];
    Pool const& pool = scenario.pools[index_of(planned.pool)];
    search::Customer customer;
    customer.place = row;
    customer.demand = std::llround(1000.0 * planned.supplies_kg);
    customer.service_duration = std::llround(planned.service_s);
    customer.opens = std::llround(pool.gate_opens_s);
    double const closes_s = pool.gate_closes_s - (pool.gate_closes_s > earliest_half_s ? longest_break_s : 0.0);
    if (pool.gate_closes_s < 86400.0) customer.closes = std::max(customer.opens, static_cast<Amount>(closes_s));
    for (auto const& kind : kinds) {
      bool const skilled = clock.has_skill(static_cast<TechnicianId>(kind.front()), planned.pool);
      bool const other =
          !pool.preferred_technician.empty() && scenario.technicians[kind.front()].name != pool.preferred_technician;
      customer.kind_cost.push_back(!skilled ? search::forbidden
                                   : other  ? money.in_units(scenario.rounds.other_technician_cost)
                                            : 0);
    }
    bool const served = std::any_of(customer.kind_cost.begin(), customer.kind_cost.end(),
                                    [](Amount cost) { return cost < search::forbidden; });
    customer.patterns.clear();
    int const cycle = period.cycles[index];
    for (int offset = 0; served && offset < cycle; ++offset) {
      search::DayPattern pattern{.days = 0, .cost = 0};
      for (int day = offset; day < period.days; day += cycle) pattern.days |= std::uint64_t{1} << day;
      customer.patterns.push_back(pattern);
    }
    customer.patterns.push_back({.days = 0, .cost = money.leaving_out * (period.days / cycle)});
    problem.customers.push_back(std::move(customer));
  }
  return problem;
}

/// Offspring that the planning time pays for: about 625 a second for 150 visits on one core of a server of the year
/// 2023, falling with the power 2.5 of the visits: a rough fit to two sizes. Fleets of more than 250 visits get more
/// time, in proportion.
std::int64_t search_iterations(double planning_time_s, std::size_t visits) {
  double const size = std::max<double>(20.0, static_cast<double>(visits));
  double const relative = 150.0 / size;
  double const per_s = 625.0 * relative * relative * std::sqrt(relative);
  // A small plan is as good as it gets long before the time is over.
  constexpr double most_per_visit = 100.0;
  double const in_time = planning_time_s * std::max(1.0, size / 250.0) * per_s;
  return std::max<std::int64_t>(10, std::llround(std::min(in_time, most_per_visit * size)));
}

}  // namespace

std::set<std::string> preferred_technicians(Scenario const& scenario) {
  std::set<std::string> names;
  for (Pool const& pool : scenario.pools) {
    if (!pool.preferred_technician.empty()) names.insert(pool.preferred_technician);
  }
  return names;
}

DistrictRounds search_district(Scenario const& scenario, TravelTable const& travel,
                               std::vector<PlannedPool> const& pools, Period const& period,
                               std::set<std::string> const& preferred, District const& district, std::uint64_t seed,
                               PlanProgress const& progress) {
  DistrictRounds found;
  if (district.pools.empty()) return found;
  auto const kinds = kinds_of(scenario, district.technicians, preferred);
  std::vector<std::size_t> places;
  for (std::size_t const index : district.pools) places.push_back(place_of_pool(pools[index].pool));
  for (auto const& kind : kinds) places.push_back(place_of_start(scenario, static_cast<TechnicianId>(kind.front())));
  for (auto const& kind : kinds) places.push_back(place_of_end(scenario, static_cast<TechnicianId>(kind.front())));
  LocalTable const table(travel, places);
  SearchMoney const money(scenario, table, kinds, period.days);
  std::vector<std::int32_t> mileage;
  mileage.reserve(table.metres.size());
  for (std::int32_t const metres : table.metres) {
    mileage.push_back(static_cast<std::int32_t>(money.in_units(scenario.prices.driving_per_km * metres / 1000.0)));
  }
  auto const problem = search_problem(scenario, travel, pools, period, district, kinds, table, mileage, money);
  if (auto const faults = search::faults_of(problem); !faults.empty()) {
    throw std::logic_error("rounds that cannot be searched: " + faults.front());
  }
  search::SearchOptions options;
  options.seed = seed;
  options.iterations = search_iterations(scenario.rounds.planning_time_s, visits_in(district, period));
  search::SearchObserver observer;
  if (progress) {
    observer = [&](search::SearchProgress const& state) {
      return progress(static_cast<double>(state.iterations) / static_cast<double>(options.iterations),
                      static_cast<double>(state.best_cost) / money.units);
    };
  }
  search::Solution const solution = search::search_rounds(problem, options, observer);
  std::vector<char> visited(district.pools.size(), false);
  for (search::VehicleDay const& round : solution.rounds) {
    DistrictRounds::Day day;
    day.technician = kinds[static_cast<std::size_t>(round.kind)][static_cast<std::size_t>(round.vehicle)];
    day.day = round.day;
    for (int const customer : round.customers) {
      visited[static_cast<std::size_t>(customer)] = true;
      day.pools.push_back(district.pools[static_cast<std::size_t>(customer)]);
    }
    found.days.push_back(std::move(day));
  }
  for (std::size_t row = 0; row < district.pools.size(); ++row) {
    if (!visited[row]) found.left_out.push_back(district.pools[row]);
  }
  return found;
}

}  // namespace brinecast::sim
