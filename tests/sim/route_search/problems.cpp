#include "problems.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <map>
#include <numeric>

#include "sim/random/random.hpp"
#include "sim/rounds/search/check.hpp"

namespace brinecast::sim::search::testing {

namespace {

class Draws {
 public:
  explicit Draws(std::uint64_t seed) : seed_(seed) {}
  /// Whole number in [least, most].
  Amount between(Amount least, Amount most) {
    double const draw = uniform_draw({.seed = seed_, .purpose = Purpose::resample, .time = count_++});
    return least + static_cast<Amount>(draw * static_cast<double>(most - least + 1));
  }

 private:
  std::uint64_t seed_;
  std::uint32_t count_ = 0;
};

std::vector<DayPattern> patterns_for(int days, Amount visits, bool may_skip, Draws& draws) {
  std::vector<DayPattern> patterns;
  for (std::uint64_t mask = 0; mask < std::uint64_t{1} << days; ++mask)
    if (std::popcount(mask) == static_cast<int>(visits))
      patterns.push_back({.days = mask, .cost = draws.between(0, 3)});
  if (may_skip) patterns.push_back({.days = 0, .cost = draws.between(50, 400)});
  return patterns;
}

}  // namespace

std::unique_ptr<Generated> generate(Traits const& traits) {
  auto generated = std::make_unique<Generated>();
  Draws draws(traits.seed);
  int const kinds = traits.own_homes ? 3 : 1;
  auto const places = static_cast<std::size_t>(traits.customers + 2 * kinds);
  std::vector<std::pair<Amount, Amount>> points;
  for (std::size_t place = 0; place < places; ++place) points.emplace_back(draws.between(0, 99), draws.between(0, 99));
  for (std::size_t from = 0; from < places; ++from)
    for (std::size_t to = 0; to < places; ++to) {
      auto const dx = static_cast<double>(points[from].first - points[to].first);
      auto const dy = static_cast<double>(points[from].second - points[to].second);
      Amount cost = std::llround(std::sqrt(dx * dx + dy * dy));
      Amount duration = cost + (cost > 50 ? -cost / 4 : 0);
      if (traits.asymmetric && from != to) {
        cost += draws.between(0, 15);
        duration += draws.between(0, 10);
      }
      generated->costs.push_back(static_cast<std::int32_t>(cost));
      generated->durations.push_back(static_cast<std::int32_t>(duration));
    }
  Problem& problem = generated->problem;
  problem.days = traits.days;
  problem.travel_cost = {.values = generated->costs.data(), .places = places};
  problem.travel_duration = {.values = generated->durations.data(), .places = places};
  Amount total_demand = 0;
  for (int index = 0; index < traits.customers; ++index) {
    Customer customer;
    customer.place = static_cast<std::size_t>(index);
    customer.demand = draws.between(1, 9);
    customer.service_duration = draws.between(1, 12);
    Amount const visits = draws.between(1, std::min(traits.days, 2));
    customer.patterns = patterns_for(traits.days, visits, traits.may_skip, draws);
    total_demand += customer.demand * visits;
    if (traits.windows && draws.between(0, 1) == 1) {
      customer.opens = draws.between(0, 200);
      customer.closes = customer.opens + draws.between(60, 250);
    }
    if (traits.skills) {
      customer.kind_cost.assign(static_cast<std::size_t>(kinds), 0);
      customer.kind_cost[static_cast<std::size_t>(draws.between(0, kinds - 1))] =
          draws.between(0, 2) == 0 ? forbidden : 20;
    }
    problem.customers.push_back(std::move(customer));
  }
  int const vehicles = std::max(1, traits.customers / 8);
  for (int index = 0; index < kinds; ++index) {
    VehicleKind kind;
    kind.start_place = static_cast<std::size_t>(traits.customers + 2 * index);
    kind.end_place = traits.own_homes ? kind.start_place + 1 : kind.start_place;
    kind.count = vehicles;
    kind.capacity = total_demand / (traits.days * vehicles * kinds) * 5 / 4 + 9;
    if (traits.windows) kind.latest_end = 700;
    if (traits.longest_durations) kind.longest_duration = 450;
    if (traits.own_homes) {
      kind.regular_duration = 150;
      kind.overtime_cost = 2;
      kind.duration_cost = index;
      kind.fixed_cost = 30 * index;
    }
    problem.kinds.push_back(kind);
  }
  return generated;
}

namespace {

constexpr Amount nothing_found = unlimited;

/// The least cost of serving a set of customers with one vehicle of a kind on a day.
Amount least_tour(Problem const& problem, int day, int kind, std::uint32_t set) {
  VehicleDay round{.day = day, .kind = kind, .vehicle = 0, .customers = {}};
  VehicleKind const& vehicle = problem.kinds[static_cast<std::size_t>(kind)];
  for (int index = 0; set >> index != 0; ++index) {
    if ((set >> index & 1) == 0) continue;
    round.customers.push_back(index);
    auto const& allowed = problem.customers[static_cast<std::size_t>(index)].kind_cost;
    if (!allowed.empty() && allowed[static_cast<std::size_t>(kind)] >= forbidden) return nothing_found;
  }
  Amount least = nothing_found;
  do {
    VehicleDayFigures const figures = figures_of(problem, round);
    if (figures.load <= vehicle.capacity && figures.duration <= vehicle.longest_duration && figures.lateness == 0)
      least = std::min(least, figures.cost);
  } while (std::next_permutation(round.customers.begin(), round.customers.end()));
  return least;
}

}  // namespace

std::optional<Amount> least_cost_by_trying_all(Problem const& problem) {
  auto const sets = std::size_t{1} << problem.customers.size();
  // [day][set] least cost of a day that serves exactly the set.
  std::vector<std::vector<Amount>> day_cost;
  for (int day = 0; day < problem.days; ++day) {
    std::vector<Amount> least(sets, nothing_found);
    least[0] = 0;
    for (std::size_t kind = 0; kind < problem.kinds.size(); ++kind) {
      if ((problem.kinds[kind].days >> day & 1) == 0) continue;
      std::vector<Amount> tour(sets, 0);
      for (std::size_t set = 1; set < sets; ++set)
        tour[set] = least_tour(problem, day, static_cast<int>(kind), static_cast<std::uint32_t>(set));
      for (int vehicle = 0; vehicle < problem.kinds[kind].count; ++vehicle) {
        std::vector<Amount> const before = least;
        for (std::size_t set = 1; set < sets; ++set)
          for (std::size_t part = set; part != 0; part = (part - 1) & set)
            if (tour[part] < nothing_found && before[set ^ part] < nothing_found)
              least[set] = std::min(least[set], before[set ^ part] + tour[part]);
      }
    }
    day_cost.push_back(std::move(least));
  }
  // All combinations of patterns.
  std::vector<std::size_t> choice(problem.customers.size(), 0);
  Amount best = nothing_found;
  for (bool more = true; more;) {
    Amount cost = 0;
    for (int day = 0; day < problem.days && cost < nothing_found; ++day) {
      std::size_t set = 0;
      for (std::size_t index = 0; index < choice.size(); ++index)
        set |= static_cast<std::size_t>(problem.customers[index].patterns[choice[index]].days >> day & 1) << index;
      Amount const of_day = day_cost[static_cast<std::size_t>(day)][set];
      cost = of_day >= nothing_found ? nothing_found : cost + of_day;
    }
    if (cost < nothing_found) {
      for (std::size_t index = 0; index < choice.size(); ++index)
        cost += problem.customers[index].patterns[choice[index]].cost;
      best = std::min(best, cost);
    }
    more = false;
    for (std::size_t index = 0; index < choice.size() && !more; ++index) {
      more = ++choice[index] < problem.customers[index].patterns.size();
      if (!more) choice[index] = 0;
    }
  }
  if (best >= nothing_found) return std::nullopt;
  return best;
}

}  // namespace brinecast::sim::search::testing
