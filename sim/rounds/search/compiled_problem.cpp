#include "sim/rounds/search/compiled_problem.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <map>
#include <numeric>
#include <tuple>

namespace brinecast::sim::search {

namespace {

std::size_t at(int index) { return static_cast<std::size_t>(index); }

}  // namespace

CompiledProblem::CompiledProblem(Problem const& problem, int wanted_neighbours)
    : customers(static_cast<int>(problem.customers.size())) {
  for (Customer const& customer : problem.customers) {
    demand.push_back(customer.demand);
    service.push_back(customer.service_duration);
    opens.push_back(customer.opens);
    closes.push_back(customer.closes);
    original_patterns_.push_back(customer.patterns);
    place_of_location_.push_back(customer.place);
  }
  fold_days(problem);
  add_kinds(problem);
  fill_tables(problem);
  find_neighbours(wanted_neighbours);
  fit_plane();
}

/// Where every customer is visited on at most one day, the days are nothing but more vehicles of one long day, and
/// moves between days become moves between routes.
void CompiledProblem::fold_days(Problem const& problem) {
  days = problem.days;
  folded_ = problem.days > 1;
  for (Customer const& customer : problem.customers)
    for (DayPattern const& pattern : customer.patterns) folded_ = folded_ && std::popcount(pattern.days) <= 1;
  if (!folded_) {
    patterns = original_patterns_;
    return;
  }
  days = 1;
  for (Customer const& customer : problem.customers) {
    std::vector<DayPattern> choices;
    for (DayPattern const& pattern : customer.patterns)
      if (pattern.days == 0)
        choices.push_back({.days = 0, .cost = pattern.cost});
      else if (std::none_of(choices.begin(), choices.end(), [](DayPattern const& p) { return p.days == 1; }))
        choices.push_back({.days = 1, .cost = 0});
    patterns.push_back(std::move(choices));
  }
}

void CompiledProblem::add_kinds(Problem const& problem) {
  std::map<std::size_t, int> depots;
  auto location_of = [&](std::size_t place) {
    auto const [found, fresh] = depots.try_emplace(place, static_cast<int>(place_of_location_.size()));
    if (fresh) place_of_location_.push_back(place);
    return found->second;
  };
  bool const windows = std::any_of(problem.customers.begin(), problem.customers.end(), [](Customer const& customer) {
    return customer.opens > 0 || customer.closes < unlimited;
  });

  // One entry for each day and kind of the caller, in terms of the folded days.
  struct Entry {
    FleetKind kind;
    std::vector<Amount> extra;
    int day;
    int original_day;
    int original_kind;
    int count;
  };
  std::vector<Entry> entries;
  for (int day = 0; day < problem.days; ++day) {
    for (std::size_t k = 0; k < problem.kinds.size(); ++k) {
      VehicleKind const& original = problem.kinds[k];
      if ((original.days >> day & 1) == 0 || original.count == 0) continue;
      Entry entry{.kind = {.start = location_of(original.start_place),
                           .end = location_of(original.end_place),
                           .capacity = original.capacity,
                           .earliest_start = original.earliest_start,
                           .latest_end = original.latest_end,
                           .longest_duration = original.longest_duration,
                           .regular_duration = original.overtime_cost > 0 ? original.regular_duration : unlimited,
                           .duration_cost = original.duration_cost,
                           .overtime_cost = original.overtime_cost,
                           .fixed_cost = original.fixed_cost},
                  .extra = std::vector<Amount>(at(customers)),
                  .day = folded_ ? 0 : day,
                  .original_day = day,
                  .original_kind = static_cast<int>(k),
                  .count = std::min(original.count, customers)};
      // Without windows at the stops a shift is nothing but a longest duration.
      entry.kind.longest_duration = std::min(original.longest_duration, original.latest_end - original.earliest_start);
      if (!windows) {
        entry.kind.earliest_start = 0;
        entry.kind.latest_end = unlimited;
      }
      for (std::size_t c = 0; c < at(customers); ++c) {
        Amount extra = original.duration_cost * service[c];
        if (!problem.customers[c].kind_cost.empty()) {
          Amount const own = problem.customers[c].kind_cost[k];
          extra = own >= forbidden ? forbidden : extra + own;
        }
        if (folded_) {
          Amount cheapest = forbidden;
          for (DayPattern const& pattern : original_patterns_[c])
            if (pattern.days == std::uint64_t{1} << day) cheapest = std::min(cheapest, pattern.cost);
          extra = extra >= forbidden || cheapest >= forbidden ? forbidden : extra + cheapest;
        }
        entry.extra[c] = extra;
      }
      entries.push_back(std::move(entry));
    }
  }

  // What a visit costs with the cheapest kind is no matter for routes: it goes to the patterns.
  std::vector<Amount> cheapest(at(customers), forbidden);
  for (Entry const& entry : entries)
    for (std::size_t c = 0; c < at(customers); ++c) cheapest[c] = std::min(cheapest[c], entry.extra[c]);
  for (std::size_t c = 0; c < at(customers); ++c) {
    if (cheapest[c] >= forbidden) cheapest[c] = 0;
    for (DayPattern& pattern : patterns[c]) pattern.cost += cheapest[c] * std::popcount(pattern.days);
  }
  for (Entry& entry : entries)
    for (std::size_t c = 0; c < at(customers); ++c)
      if (entry.extra[c] < forbidden) entry.extra[c] -= cheapest[c];

  // Merge the vehicles that are alike, day by day.
  auto const key = [](FleetKind const& kind) {
    return std::array<Amount, 10>{kind.start,
                                  kind.end,
                                  kind.capacity,
                                  kind.earliest_start,
                                  kind.latest_end,
                                  kind.longest_duration,
                                  kind.regular_duration,
                                  kind.duration_cost,
                                  kind.overtime_cost,
                                  kind.fixed_cost};
  };
  std::map<std::pair<std::array<Amount, 10>, std::vector<Amount>>, int> known;
  std::map<Amount, int> wage_classes;
  for (int day = 0; day < days; ++day) {
    int const first_group = static_cast<int>(groups.size());
    int const first_slot = static_cast<int>(slots.size());
    std::vector<std::vector<Entry const*>> of_kind;  // entries of this day
    for (Entry const& entry : entries) {
      if (entry.day != day) continue;
      auto const [found, fresh] = known.try_emplace({key(entry.kind), entry.extra}, static_cast<int>(kinds.size()));
      if (fresh) {
        kinds.push_back(entry.kind);
        auto const [wage, new_class] =
            wage_classes.try_emplace(entry.kind.duration_cost, static_cast<int>(class_wages_.size()));
        if (new_class) class_wages_.push_back(entry.kind.duration_cost);
        kinds.back().wage_class = wage->second;
        extra_.insert(extra_.end(), entry.extra.begin(), entry.extra.end());
      }
      if (of_kind.size() <= at(found->second)) of_kind.resize(at(found->second) + 1);
      of_kind[at(found->second)].push_back(&entry);
    }
    for (std::size_t kind = 0; kind < of_kind.size(); ++kind) {
      if (of_kind[kind].empty()) continue;
      Group group{.day = day, .kind = static_cast<int>(kind), .first_slot = static_cast<int>(slots.size())};
      for (Entry const* entry : of_kind[kind])
        for (int vehicle = 0; vehicle < entry->count && group.slots < customers; ++vehicle, ++group.slots)
          slots.push_back(
              {.group = static_cast<int>(groups.size()),
               .original = {
                   .day = entry->original_day, .kind = entry->original_kind, .vehicle = vehicle, .customers = {}}});
      groups.push_back(group);
    }
    groups_of_day.emplace_back(first_group, static_cast<int>(groups.size()));
    slots_of_day.emplace_back(first_slot, static_cast<int>(slots.size()));
  }
  kind_matters = std::any_of(extra_.begin(), extra_.end(), [](Amount amount) { return amount != 0; });

  locations = static_cast<int>(place_of_location_.size());
  if (problem.travel_duration.places == 0)
    timing = Timing::ignored;
  else if (windows)
    timing = Timing::windows;
  else if (std::any_of(kinds.begin(), kinds.end(), [](FleetKind const& kind) {
             return kind.longest_duration < unlimited / 2 || kind.regular_duration < unlimited;
           }))
    timing = Timing::durations;
}

void CompiledProblem::fill_tables(Problem const& problem) {
  auto const size = at(locations);
  if (timing != Timing::ignored) durations_.resize(size * size);
  arc_costs_.assign(class_wages_.size(), std::vector<std::int32_t>(size * size));
  for (std::size_t from = 0; from < size; ++from) {
    for (std::size_t to = 0; to < size; ++to) {
      if (from >= at(customers) && to >= at(customers)) continue;
      std::size_t const a = place_of_location_[from];
      std::size_t const b = place_of_location_[to];
      Amount const time = problem.travel_duration.places == 0 ? 0 : problem.travel_duration(a, b);
      if (timing != Timing::ignored) durations_[from * size + to] = static_cast<std::int32_t>(time);
      for (std::size_t wage_class = 0; wage_class < class_wages_.size(); ++wage_class)
        arc_costs_[wage_class][from * size + to] =
            static_cast<std::int32_t>(problem.travel_cost(a, b) + class_wages_[wage_class] * time);
    }
  }
  symmetric = true;
  for (std::size_t from = 0; from < size && symmetric; ++from)
    for (std::size_t to = 0; to < from && symmetric; ++to) {
      for (auto const& table : arc_costs_) symmetric = symmetric && table[from * size + to] == table[to * size + from];
      if (!durations_.empty()) symmetric = symmetric && durations_[from * size + to] == durations_[to * size + from];
    }
}

/// The nearest customers of each, both ways; more of them where only a part of the customers is visited on a day.
void CompiledProblem::find_neighbours(int wanted) {
  double visits = 0.0;
  for (auto const& choices : patterns) {
    double own = 0.0;
    for (DayPattern const& pattern : choices) own = std::max(own, static_cast<double>(std::popcount(pattern.days)));
    visits += own;
  }
  double const share = customers == 0 ? 1.0 : std::max(visits / (static_cast<double>(days) * customers), 0.05);
  int const count = std::min(customers - 1, static_cast<int>(std::ceil(wanted / std::min(1.0, share))));

  // Waiting and lateness that a pair forces on any route count as distance, in cost units through the mean speed.
  std::int32_t const* costs = arc_costs(0);
  double cost_of_time = 0.0;
  if (timing == Timing::windows) {
    double cost_sum = 0.0;
    double time_sum = 0.0;
    for (int from = 0; from < customers; ++from)
      for (int to = 0; to < customers; ++to) {
        cost_sum += costs[at(from) * at(locations) + at(to)];
        time_sum += static_cast<double>(travel_time(from, to));
      }
    cost_of_time = time_sum > 0.0 ? cost_sum / time_sum : 0.0;
  }
  auto one_way = [&](int from, int to) {
    double distance = costs[at(from) * at(locations) + at(to)];
    if (timing == Timing::windows) {
      Amount const reach = service[at(from)] + travel_time(from, to);
      double const waiting = static_cast<double>(std::max<Amount>(0, opens[at(to)] - reach - closes[at(from)]));
      double const late = static_cast<double>(std::max<Amount>(0, opens[at(from)] + reach - closes[at(to)]));
      distance += cost_of_time * (0.2 * waiting + late);
    }
    return distance;
  };

  nearest.resize(at(customers));
  std::vector<std::pair<double, int>> others;
  for (int customer = 0; customer < customers; ++customer) {
    others.clear();
    for (int other = 0; other < customers; ++other)
      if (other != customer) others.emplace_back(std::min(one_way(customer, other), one_way(other, customer)), other);
    auto const end = others.begin() + std::max(count, 0);
    std::partial_sort(others.begin(), end, others.end());
    for (auto near = others.begin(); near != end; ++near) nearest[at(customer)].push_back(near->second);
  }
  neighbours = nearest;
  for (int customer = 0; customer < customers; ++customer)
    for (int const other : nearest[at(customer)]) neighbours[at(other)].push_back(customer);
  for (auto& list : neighbours) {
    std::sort(list.begin(), list.end());
    list.erase(std::unique(list.begin(), list.end()), list.end());
  }
}

/// Places the customers in a plane whose distances resemble the travel costs (classical scaling: the two leading
/// eigenvectors of the centred squared distances), for the order of routes around the depot. Exact for straight lines.
void CompiledProblem::fit_plane() {
  auto const size = at(locations);
  plane_x.assign(at(customers), 0.0);
  plane_y.assign(at(customers), 0.0);
  if (customers < 3) return;
  std::vector<double> gram(size * size);
  std::vector<double> row_mean(size, 0.0);
  double mean = 0.0;
  std::int32_t const* costs = arc_costs(0);
  for (std::size_t from = 0; from < size; ++from)
    for (std::size_t to = 0; to < size; ++to) {
      double const distance = 0.5 * (static_cast<double>(costs[from * size + to]) + costs[to * size + from]);
      gram[from * size + to] = from == to ? 0.0 : distance * distance;
      row_mean[from] += gram[from * size + to] / static_cast<double>(size);
    }
  for (double const value : row_mean) mean += value / static_cast<double>(size);
  for (std::size_t from = 0; from < size; ++from)
    for (std::size_t to = 0; to < size; ++to)
      gram[from * size + to] = -0.5 * (gram[from * size + to] - row_mean[from] - row_mean[to] + mean);

  std::vector<std::vector<double>> axes;
  for (int axis = 0; axis < 2; ++axis) {
    std::vector<double> vector(size);
    for (std::size_t i = 0; i < size; ++i) vector[i] = 1.0 + static_cast<double>((i * 7919 + at(axis) * 31) % 101);
    double norm = 0.0;
    for (int round = 0; round < 60; ++round) {
      if (axis == 1) {
        double const along = std::inner_product(vector.begin(), vector.end(), axes[0].begin(), 0.0) /
                             std::inner_product(axes[0].begin(), axes[0].end(), axes[0].begin(), 1e-300);
        for (std::size_t i = 0; i < size; ++i) vector[i] -= along * axes[0][i];
      }
      std::vector<double> image(size, 0.0);
      for (std::size_t i = 0; i < size; ++i)
        image[i] =
            std::inner_product(vector.begin(), vector.end(), gram.begin() + static_cast<std::ptrdiff_t>(i * size), 0.0);
      norm = std::sqrt(std::inner_product(image.begin(), image.end(), image.begin(), 0.0));
      if (norm <= 0.0) break;
      for (std::size_t i = 0; i < size; ++i) vector[i] = image[i] / norm;
    }
    for (double& value : vector) value *= std::sqrt(std::max(norm, 0.0));
    axes.push_back(std::move(vector));
  }
  auto const centre = at(kinds.empty() ? 0 : kinds.front().start);
  for (std::size_t c = 0; c < at(customers); ++c) {
    plane_x[c] = axes[0][c] - axes[0][centre];
    plane_y[c] = axes[1][c] - axes[1][centre];
  }
}

Individual CompiledProblem::empty_individual() const {
  Individual individual;
  individual.patterns.assign(at(customers), undecided);
  individual.routes.resize(slots.size());
  return individual;
}

void CompiledProblem::evaluate(Individual& individual) const {
  individual.cost = individual.excess_load = individual.excess_duration = individual.lateness = 0;
  individual.next.assign(at(days) * at(customers), absent_mark);
  individual.previous.assign(at(days) * at(customers), absent_mark);
  for (std::size_t c = 0; c < at(customers); ++c) individual.cost += patterns[c][at(individual.patterns[c])].cost;
  for (std::size_t slot = 0; slot < slots.size(); ++slot) {
    std::vector<int> const& route = individual.routes[slot];
    if (route.empty()) continue;
    Group const& group = groups[at(slots[slot].group)];
    FleetKind const& kind = kinds[at(group.kind)];
    std::int32_t const* costs = arc_costs(kind.wage_class);
    individual.cost += kind.fixed_cost;
    Amount load = 0;
    Stretch stretch = shift_of(kind);
    int location = kind.start;
    for (std::size_t position = 0; position < route.size(); ++position) {
      int const customer = route[position];
      auto const link = at(group.day) * at(customers) + at(customer);
      individual.previous[link] = position == 0 ? depot_mark : route[position - 1];
      individual.next[link] = position + 1 == route.size() ? depot_mark : route[position + 1];
      individual.cost += costs[at(location) * at(locations) + at(customer)] + extra(group.kind, customer);
      load += demand[at(customer)];
      if (timing != Timing::ignored) stretch = joined(stretch, stretch_of(customer), travel_time(location, customer));
      location = customer;
    }
    individual.cost += costs[at(location) * at(locations) + at(kind.end)];
    individual.excess_load += std::max<Amount>(0, load - kind.capacity);
    if (timing != Timing::ignored) {
      stretch = joined(stretch, shift_of(kind), travel_time(location, kind.end));
      individual.cost += kind.duration_cost * stretch.waiting;
      individual.cost += kind.overtime_cost * std::max<Amount>(0, stretch.duration - kind.regular_duration);
      individual.excess_duration += std::max<Amount>(0, stretch.duration - kind.longest_duration);
      individual.lateness += stretch.lateness;
    }
  }
}

Solution CompiledProblem::solution_of(Individual const& individual) const {
  Solution solution;
  solution.feasible = individual.feasible();
  solution.cost = individual.cost;
  solution.patterns = individual.patterns;
  if (folded_) {
    for (std::size_t c = 0; c < at(customers); ++c)
      for (std::size_t choice = 0; choice < original_patterns_[c].size(); ++choice)
        if (original_patterns_[c][choice].days == 0) solution.patterns[c] = static_cast<int>(choice);
  }
  for (std::size_t slot = 0; slot < slots.size(); ++slot) {
    if (individual.routes[slot].empty()) continue;
    VehicleDay round = slots[slot].original;
    round.customers = individual.routes[slot];
    if (folded_) {
      for (int const customer : round.customers) {
        auto const& choices = original_patterns_[at(customer)];
        Amount cheapest = unlimited;
        for (std::size_t choice = 0; choice < choices.size(); ++choice)
          if (choices[choice].days == std::uint64_t{1} << round.day && choices[choice].cost < cheapest) {
            cheapest = choices[choice].cost;
            solution.patterns[at(customer)] = static_cast<int>(choice);
          }
      }
    }
    solution.rounds.push_back(std::move(round));
  }
  std::sort(solution.rounds.begin(), solution.rounds.end(), [](VehicleDay const& a, VehicleDay const& b) {
    return std::tie(a.day, a.kind, a.vehicle) < std::tie(b.day, b.kind, b.vehicle);
  });
  return solution;
}

/// A unit too much costs at first as much as the longest arc spread over the largest demand, or the mean cost of a unit
/// of driving.
Penalties CompiledProblem::first_penalties() const {
  double longest_arc = 1.0;
  double cost_sum = 0.0;
  double time_sum = 0.0;
  std::int32_t const* costs = arc_costs(0);
  for (int from = 0; from < locations; ++from)
    for (int to = 0; to < locations; ++to) {
      double const cost = costs[at(from) * at(locations) + at(to)];
      longest_arc = std::max(longest_arc, cost);
      cost_sum += cost;
      if (timing != Timing::ignored) time_sum += static_cast<double>(travel_time(from, to));
    }
  Amount const largest_demand =
      demand.empty() ? 1 : std::max<Amount>(1, *std::max_element(demand.begin(), demand.end()));
  double const cost_of_time = time_sum > 0.0 ? std::max(cost_sum / time_sum, 1e-3) : 1.0;
  return {
      .load = longest_arc / static_cast<double>(largest_demand), .duration = cost_of_time, .lateness = cost_of_time};
}

}  // namespace brinecast::sim::search
