#include "sim/rounds/search/check.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

namespace brinecast::sim::search {

namespace {

Amount travel_time(Problem const& problem, std::size_t from, std::size_t to) {
  return problem.travel_duration.places == 0 ? 0 : problem.travel_duration(from, to);
}

}  // namespace

VehicleDayFigures figures_of(Problem const& problem, VehicleDay const& round) {
  VehicleKind const& kind = problem.kinds[static_cast<std::size_t>(round.kind)];
  VehicleDayFigures figures;
  figures.cost = kind.fixed_cost;

  // Forwards: leave at once, wait where a gate is closed. A stop reached too late is served as if on time, as the
  // search counts it: the lateness is charged once and not passed on.
  std::size_t place = kind.start_place;
  Amount clock = kind.earliest_start;
  for (int const index : round.customers) {
    Customer const& customer = problem.customers[static_cast<std::size_t>(index)];
    figures.cost += problem.travel_cost(place, customer.place);
    if (!customer.kind_cost.empty()) figures.cost += customer.kind_cost[static_cast<std::size_t>(round.kind)];
    figures.load += customer.demand;
    clock = std::max(clock + travel_time(problem, place, customer.place), customer.opens);
    if (clock > customer.closes) {
      figures.lateness += clock - customer.closes;
      clock = customer.closes;
    }
    clock += customer.service_duration;
    place = customer.place;
  }
  figures.cost += problem.travel_cost(place, kind.end_place);
  clock += travel_time(problem, place, kind.end_place);
  if (clock > kind.latest_end) {
    figures.lateness += clock - kind.latest_end;
    clock = kind.latest_end;
  }
  figures.returns = clock;

  // Backwards from the return: the latest start that still returns at that time.
  place = kind.end_place;
  Amount latest = figures.returns;
  for (auto index = round.customers.rbegin(); index != round.customers.rend(); ++index) {
    Customer const& customer = problem.customers[static_cast<std::size_t>(*index)];
    latest -= travel_time(problem, customer.place, place) + customer.service_duration;
    latest = std::min(latest, customer.closes);
    place = customer.place;
  }
  latest -= travel_time(problem, kind.start_place, place);
  figures.leaves = std::max(latest, kind.earliest_start);
  figures.duration = figures.returns - figures.leaves;
  figures.cost += kind.duration_cost * figures.duration;
  figures.cost += kind.overtime_cost * std::max<Amount>(0, figures.duration - kind.regular_duration);
  return figures;
}

Verdict check_solution(Problem const& problem, Solution const& solution) {
  Verdict verdict;
  auto fault = [&](std::string text) { verdict.faults.push_back(std::move(text)); };

  if (solution.patterns.size() != problem.customers.size()) {
    fault(fmt::format("{} patterns for {} customers", solution.patterns.size(), problem.customers.size()));
    return verdict;
  }
  std::vector<std::uint64_t> visited(problem.customers.size(), 0);
  std::set<std::tuple<int, int, int>> vehicle_days;
  for (VehicleDay const& round : solution.rounds) {
    if (round.kind < 0 || static_cast<std::size_t>(round.kind) >= problem.kinds.size()) {
      fault(fmt::format("day {}: kind {} of vehicle does not exist", round.day, round.kind));
      continue;
    }
    VehicleKind const& kind = problem.kinds[static_cast<std::size_t>(round.kind)];
    std::string const name = fmt::format("day {}, kind {}, vehicle {}", round.day, round.kind, round.vehicle);
    if (round.day < 0 || round.day >= problem.days) {
      fault(name + ": outside the period");
      continue;
    }
    if ((kind.days >> round.day & 1) == 0) fault(name + ": does not work on this day");
    if (round.vehicle < 0 || round.vehicle >= kind.count) fault(name + fmt::format(": there are only {}", kind.count));
    if (!vehicle_days.insert({round.day, round.kind, round.vehicle}).second) fault(name + ": leaves twice");
    if (round.customers.empty()) fault(name + ": leaves for nobody");

    bool customers_exist = true;
    for (int const index : round.customers) {
      if (index < 0 || static_cast<std::size_t>(index) >= problem.customers.size()) {
        fault(name + fmt::format(": customer {} does not exist", index));
        customers_exist = false;
        continue;
      }
      Customer const& customer = problem.customers[static_cast<std::size_t>(index)];
      std::uint64_t const day = std::uint64_t{1} << round.day;
      if ((visited[static_cast<std::size_t>(index)] & day) != 0)
        fault(name + fmt::format(": customer {} twice", index));
      visited[static_cast<std::size_t>(index)] |= day;
      if (!customer.kind_cost.empty() && customer.kind_cost[static_cast<std::size_t>(round.kind)] >= forbidden)
        fault(name + fmt::format(": must not serve customer {}", index));
    }
    if (!customers_exist) continue;
    VehicleDayFigures const figures = figures_of(problem, round);
    verdict.cost += figures.cost;
    if (figures.load > kind.capacity) fault(name + fmt::format(": load {} of {}", figures.load, kind.capacity));
    if (figures.duration > kind.longest_duration)
      fault(name + fmt::format(": lasts {} of {}", figures.duration, kind.longest_duration));
    if (figures.lateness > 0) fault(name + fmt::format(": {} too late", figures.lateness));
  }
  for (std::size_t index = 0; index < problem.customers.size(); ++index) {
    Customer const& customer = problem.customers[index];
    int const choice = solution.patterns[index];
    if (choice < 0 || static_cast<std::size_t>(choice) >= customer.patterns.size()) {
      fault(fmt::format("customer {}: pattern {} does not exist", index, choice));
      continue;
    }
    DayPattern const& pattern = customer.patterns[static_cast<std::size_t>(choice)];
    verdict.cost += pattern.cost;
    if (visited[index] != pattern.days)
      fault(fmt::format("customer {}: visited on days {:b}, pattern says {:b}", index, visited[index], pattern.days));
  }
  return verdict;
}

}  // namespace brinecast::sim::search
