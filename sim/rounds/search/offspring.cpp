#include "sim/rounds/search/offspring.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

namespace brinecast::sim::search {

namespace {

std::size_t at(int index) { return static_cast<std::size_t>(index); }

/// A route longer than this many capacities is not looked at while a sequence is cut.
constexpr double load_bound = 1.5;

/// How many neighbours a ruin reaches.
constexpr std::size_t ruin_least = 4;
constexpr std::size_t ruin_spread = 22;

bool may_have(std::vector<DayPattern> const& choices, std::uint64_t days) {
  return std::any_of(choices.begin(), choices.end(), [days](DayPattern const& p) { return (days & ~p.days) == 0; });
}

}  // namespace

std::vector<int> Breeder::sequence_of(Individual const& individual, Group const& group) const {
  std::vector<std::pair<double, int>> order;
  for (int slot = group.first_slot; slot < group.first_slot + group.slots; ++slot) {
    auto const& route = individual.routes[at(slot)];
    if (route.empty()) continue;
    double x = 0.0;
    double y = 0.0;
    for (int const customer : route) {
      x += problem_.plane_x[at(customer)];
      y += problem_.plane_y[at(customer)];
    }
    order.emplace_back(std::atan2(y, x), slot);
  }
  std::sort(order.begin(), order.end());
  std::vector<int> sequence;
  for (auto const& [angle, slot] : order)
    sequence.insert(sequence.end(), individual.routes[at(slot)].begin(), individual.routes[at(slot)].end());
  return sequence;
}

Individual Breeder::random_individual(Penalties const& penalties) {
  sequences_.assign(problem_.groups.size(), {});
  left_out_.assign(at(problem_.customers), 0);
  std::vector<int> allowed;
  for (int customer = 0; customer < problem_.customers; ++customer) {
    auto const& choices = problem_.patterns[at(customer)];
    std::uint64_t const days = choices[at(random_.below(choices.size()))].days;
    left_out_[at(customer)] = days == 0 ? 1 : 0;
    for (std::uint64_t left = days; left != 0; left &= left - 1) {
      auto const [first, last] = problem_.groups_of_day[at(std::countr_zero(left))];
      allowed.clear();
      for (int group = first; group < last; ++group)  // once for each vehicle, so that kinds get their share
        if (problem_.extra(problem_.groups[at(group)].kind, customer) < forbidden)
          allowed.insert(allowed.end(), at(problem_.groups[at(group)].slots), group);
      sequences_[at(allowed[at(random_.below(allowed.size()))])].push_back(customer);
    }
  }
  for (auto& sequence : sequences_) random_.shuffle(sequence);
  Individual individual = problem_.empty_individual();
  cut_into_routes(individual, penalties);
  decide_patterns(individual);
  return individual;
}

Individual Breeder::offspring(Individual const& first, Individual const& second, Penalties const& penalties) {
  sequences_.assign(problem_.groups.size(), {});
  for (std::size_t c = 0; c < at(problem_.customers); ++c)
    left_out_[c] =
        problem_.patterns[c][at(first.patterns[c])].days == 0 || problem_.patterns[c][at(second.patterns[c])].days == 0;
  if (problem_.groups.size() == 1)
    cross_order(first, second);
  else
    cross_periods(first, second);
  Individual individual = problem_.empty_individual();
  cut_into_routes(individual, penalties);
  decide_patterns(individual);
  return individual;
}

/// Removing a neighbourhood and putting it back is the ruin and recreate principle (Schrimpf, Schneider,
/// Stamm-Wilbrandt & Dueck, Journal of Computational Physics 159, 2000).
Individual Breeder::ruined(Individual const& individual) {
  Individual child = individual;
  auto const centre = at(random_.below(at(problem_.customers)));
  auto const& near = problem_.nearest[centre];
  auto const reach = std::min(near.size(), ruin_least + at(random_.below(ruin_spread)));
  std::vector<char> removed(at(problem_.customers), 0);
  removed[centre] = 1;
  // One in four around the centre stays, so that the hole is not always the same.
  for (std::size_t index = 0; index < reach; ++index) removed[at(near[index])] = random_.below(4) != 0;
  for (auto& route : child.routes) std::erase_if(route, [&](int customer) { return removed[at(customer)] != 0; });
  for (std::size_t c = 0; c < removed.size(); ++c)
    if (removed[c] != 0) child.patterns[c] = undecided;
  return child;
}

/// One vehicle-day sequence: a section of the first parent, then what is missing in the order of the second.
void Breeder::cross_order(Individual const& first, Individual const& second) {
  std::vector<int> const from_first = sequence_of(first, problem_.groups.front());
  std::vector<int> const from_second = sequence_of(second, problem_.groups.front());
  std::vector<int>& child = sequences_.front();
  std::vector<char> taken(at(problem_.customers), 0);
  if (from_first.empty()) return;
  auto const size = from_first.size();
  auto const start = at(random_.below(size));
  auto const length = 1 + at(random_.below(size));
  for (std::size_t step = 0; step < length; ++step) {
    int const customer = from_first[(start + step) % size];
    child.push_back(customer);
    taken[at(customer)] = 1;
  }
  if (from_second.empty()) return;
  // The second parent is read from where its copy of the last customer taken stands.
  auto const found = std::find(from_second.begin(), from_second.end(), child.back());
  auto const offset =
      found == from_second.end() ? std::size_t{0} : static_cast<std::size_t>(found - from_second.begin());
  for (std::size_t step = 0; step < from_second.size(); ++step) {
    int const customer = from_second[(offset + step) % from_second.size()];
    if (taken[at(customer)] == 0) child.push_back(customer);
  }
}

/// Several sequences (days, kinds of vehicles): some are inherited from one parent, some from the other, some mixed; a
/// visit of the second parent is taken over where it goes with the days already inherited.
void Breeder::cross_periods(Individual const& first, Individual const& second) {
  std::size_t const count = problem_.groups.size();
  std::vector<int> order;
  for (std::size_t group = 0; group < count; ++group) order.push_back(static_cast<int>(group));
  random_.shuffle(order);
  auto cut_a = at(random_.below(count + 1));
  auto cut_b = at(random_.below(count + 1));
  if (cut_a > cut_b) std::swap(cut_a, cut_b);

  std::vector<std::uint64_t> given(at(problem_.customers), 0);
  auto take = [&](int group, int customer) {
    sequences_[at(group)].push_back(customer);
    given[at(customer)] |= std::uint64_t{1} << problem_.groups[at(group)].day;
  };
  for (std::size_t index = 0; index < count; ++index) {
    if (index >= cut_a && index < cut_b) continue;  // from the second parent alone
    std::vector<int> const sequence = sequence_of(first, problem_.groups[at(order[index])]);
    if (sequence.empty()) continue;
    if (index < cut_a) {
      for (int const customer : sequence) take(order[index], customer);
      continue;
    }
    auto const start = at(random_.below(sequence.size()));
    auto const length = at(random_.below(sequence.size() + 1));
    for (std::size_t step = 0; step < length; ++step) take(order[index], sequence[(start + step) % sequence.size()]);
  }
  std::vector<int> rest(order.begin() + static_cast<std::ptrdiff_t>(cut_a), order.end());
  random_.shuffle(rest);
  for (int const group : rest) {
    std::uint64_t const day = std::uint64_t{1} << problem_.groups[at(group)].day;
    for (int const customer : sequence_of(second, problem_.groups[at(group)])) {
      std::uint64_t const present = given[at(customer)];
      if ((present & day) == 0 && may_have(problem_.patterns[at(customer)], present | day)) take(group, customer);
    }
  }
}

void Breeder::cut_into_routes(Individual& individual, Penalties const& penalties) {
  for (std::size_t group = 0; group < sequences_.size(); ++group)
    cut_group(individual, problem_.groups[group], sequences_[group], penalties);
}

/// Cuts a sequence into at most as many routes as the group has vehicles at the least penalised cost, by dynamic
/// programming over (routes used, customers served). Routes much above the capacity are left out unless nothing else
/// remains.
void Breeder::cut_group(Individual& individual, Group const& group, std::vector<int> const& sequence,
                        Penalties const& penalties) {
  if (sequence.empty()) return;
  if (group.slots == 1) {
    individual.routes[at(group.first_slot)] = sequence;
    return;
  }
  FleetKind const& kind = problem_.kinds[at(group.kind)];
  std::int32_t const* costs = problem_.arc_costs(kind.wage_class);
  auto arc = [&](int from, int to) { return static_cast<double>(costs[at(from) * at(problem_.locations) + at(to)]); };
  bool const timed = problem_.timing != Timing::ignored;
  std::size_t const size = sequence.size();
  constexpr double infinity = std::numeric_limits<double>::infinity();

  std::vector<double> reach(size + 1);
  std::vector<double> next_reach(size + 1);
  // All routes that start after `from` customers, offered to `into` from the value at `from`.
  auto extend = [&](std::size_t from, double value, double bound, std::vector<double>& into, std::vector<int>& cuts) {
    double driven = 0.0;
    Amount load = 0;
    Stretch stretch = problem_.shift_of(kind);
    int location = kind.start;
    for (std::size_t to = from; to < size; ++to) {
      int const customer = sequence[to];
      load += problem_.demand[at(customer)];
      if (to > from && static_cast<double>(load) > bound) break;
      driven += arc(location, customer);
      double cost = driven + arc(customer, kind.end) + static_cast<double>(kind.fixed_cost) +
                    penalties.load * static_cast<double>(std::max<Amount>(0, load - kind.capacity));
      if (timed) {
        stretch = joined(stretch, problem_.stretch_of(customer), problem_.travel_time(location, customer));
        Stretch const whole = joined(stretch, problem_.shift_of(kind), problem_.travel_time(customer, kind.end));
        cost += static_cast<double>(kind.duration_cost * whole.waiting +
                                    kind.overtime_cost * std::max<Amount>(0, whole.duration - kind.regular_duration));
        cost += penalties.duration * static_cast<double>(std::max<Amount>(0, whole.duration - kind.longest_duration)) +
                penalties.lateness * static_cast<double>(whole.lateness);
      }
      if (value + cost < into[to + 1]) {
        into[to + 1] = value + cost;
        cuts[to + 1] = static_cast<int>(from);
      }
      location = customer;
    }
  };

  std::vector<int> ends;  // of the routes, last first
  // First without counting routes: that is cheaper and usually enough.
  double bound = load_bound * static_cast<double>(kind.capacity);
  reach.assign(size + 1, infinity);
  reach[0] = 0.0;
  std::vector<int> cuts(size + 1, 0);
  for (std::size_t from = 0; from < size; ++from) extend(from, reach[from], bound, reach, cuts);
  for (int end = static_cast<int>(size); end > 0; end = cuts[at(end)]) ends.push_back(end);

  bool fits = ends.size() <= at(group.slots);
  for (; !fits; bound *= 2.0) {  // beyond the first bound only when even overfull routes cannot take everybody
    std::vector<std::vector<int>> cuts_of;  // [routes][served] start of the last route
    reach.assign(size + 1, infinity);
    reach[0] = 0.0;
    double best = infinity;
    std::size_t best_count = 0;
    for (int route = 0; route < group.slots; ++route) {
      next_reach.assign(size + 1, infinity);
      cuts_of.emplace_back(size + 1, 0);
      for (std::size_t from = 0; from < size; ++from)
        if (reach[from] < infinity) extend(from, reach[from], bound, next_reach, cuts_of.back());
      reach.swap(next_reach);
      if (reach[size] < best) {
        best = reach[size];
        best_count = cuts_of.size();
      }
    }
    if (best_count == 0) continue;
    fits = true;
    ends.clear();
    int end = static_cast<int>(size);
    for (std::size_t count = best_count; count > 0; --count) {
      ends.push_back(end);
      end = cuts_of[count - 1][at(end)];
    }
  }
  int start = 0;
  int slot = group.first_slot;
  for (auto end = ends.rbegin(); end != ends.rend(); ++end, ++slot) {
    individual.routes[at(slot)].assign(sequence.begin() + start, sequence.begin() + *end);
    start = *end;
  }
}

/// Patterns follow from the visits. Customers with a part of a pattern stay undecided, and those without any visit
/// unless they were left out on purpose.
void Breeder::decide_patterns(Individual& individual) const {
  std::vector<std::uint64_t> given(at(problem_.customers), 0);
  for (std::size_t slot = 0; slot < problem_.slots.size(); ++slot)
    for (int const customer : individual.routes[slot])
      given[at(customer)] |= std::uint64_t{1} << problem_.groups[at(problem_.slots[slot].group)].day;
  for (std::size_t c = 0; c < given.size(); ++c) {
    individual.patterns[c] = undecided;
    if (given[c] == 0 && left_out_[c] == 0) continue;
    Amount cheapest = std::numeric_limits<Amount>::max();
    auto const& choices = problem_.patterns[c];
    for (std::size_t choice = 0; choice < choices.size(); ++choice)
      if (choices[choice].days == given[c] && choices[choice].cost < cheapest) {
        cheapest = choices[choice].cost;
        individual.patterns[c] = static_cast<int>(choice);
      }
  }
}

}  // namespace brinecast::sim::search
