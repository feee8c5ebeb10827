#include "sim/rounds/search/local_search.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <limits>

namespace brinecast::sim::search {

namespace {

/// Gains below this are rounding of penalties: amounts are whole numbers.
constexpr double least_gain = 1e-3;
constexpr double impossible = 1e300;
/// SWAP* looks at two routes when a visit of one is among this many nearest visits of a visit of the other.
constexpr int touching_neighbours = 8;
constexpr int pattern_exchange_neighbours = 16;

std::size_t at(int index) { return static_cast<std::size_t>(index); }

struct Route;

/// A visit, or the start or end of a route. Sums run from the start of the route up to and including this stop.
struct alignas(64) Stop {
  // What most moves read comes first: one line of the cache.
  Stop* next = nullptr;
  Stop* previous = nullptr;
  Route* route = nullptr;  // null: not visited
  int location = 0;
  int customer = -1;  // -1: start or end
  int position = 0;
  std::int64_t tested = -1;
  Amount demand = 0;
  Amount load = 0;

  Amount arcs = 0;       // cost of driving here
  Amount arcs_back = 0;  // cost of driving back from here over the same stops
  Amount removal = 0;    // change of arc costs by leaving this visit out
  Amount service = 0;
  Amount travel = 0;
  Amount travel_back = 0;
  Amount work = 0;
  Stretch before;  // start ... here
  Stretch after;   // here ... end
  [[nodiscard]] bool is_visit() const { return customer >= 0; }
};

struct Route {
  Stop start;
  Stop end;
  int slot = 0;
  int group = 0;
  int day = 0;
  int kind_index = 0;
  FleetKind const* kind = nullptr;
  std::int32_t const* costs = nullptr;
  int size = 0;
  Amount load = 0;
  double excess = 0.0;  // everything but arc costs and extras: penalties, overtime, waiting, fixed cost
  std::int64_t modified = 0;
  std::int64_t swap_star_tested = -1;
};

/// A section of a present route, both ends included, driven forwards or backwards.
struct Section {
  Stop const* first = nullptr;  // null: empty
  Stop const* last = nullptr;
  bool turned = false;
};
using Sections = std::array<Section, 5>;

/// The cheapest places in a route for a customer, by arc costs.
struct BestPlaces {
  std::int64_t seen = -1;
  std::array<Amount, 3> cost{};
  std::array<Stop*, 3> after{};
  void offer(Amount new_cost, Stop* stop) {
    if (new_cost >= cost[2]) return;
    std::size_t place = 2;
    for (; place > 0 && new_cost < cost[place - 1]; --place) {
      cost[place] = cost[place - 1];
      after[place] = after[place - 1];
    }
    cost[place] = new_cost;
    after[place] = stop;
  }
};

/// The cheapest place in a route for a customer, penalties included.
struct Insertion {
  double cost = impossible;
  Stop* after = nullptr;
};

template <Timing timing>
class Engine final : public LocalSearch {
 public:
  Engine(CompiledProblem const& problem, SearchRandom& random);
  void improve(Individual& individual, Penalties const& penalties) override;

 private:
  [[nodiscard]] Amount arc(Route const& route, Stop const* from, Stop const* to) const {
    return route.costs[at(from->location) * locations_ + at(to->location)];
  }
  [[nodiscard]] Amount time(Stop const* from, Stop const* to) const {
    return problem_.travel_time(from->location, to->location);
  }
  [[nodiscard]] double price(Route const& route, int size, Amount load, Stretch const& stretch) const;
  [[nodiscard]] double excess_of(Route const& route, int size, Amount load, Sections const& sections) const;
  [[nodiscard]] Amount arcs_of(Route const& route, Sections const& sections) const;

  bool load(Individual const& individual, Penalties const& penalties);
  void store(Individual& individual) const;
  void complete(Individual& individual);
  void refresh(Route& route);
  void relink(Route& route, std::vector<Stop*> const& order);
  void apply(Route& route, Sections const& sections);
  void apply(Route& first, Sections const& first_sections, Route& second, Sections const& second_sections);
  void collect(Sections const& sections, std::vector<Stop*>& order) const;

  [[nodiscard]] double penalised_cost() const;
  void begin_move() {
    if (audit) cost_before_ = penalised_cost();
  }
  void end_move(double predicted) {
    if (audit) audit(predicted, penalised_cost() - cost_before_);
  }

  bool improve_routes(bool from_scratch);
  bool try_pair(Stop* u, Stop* v);
  bool try_after_start(Stop* u, Stop* start);
  bool try_relocate(Stop* first, Stop* last, bool turned, Stop* v);
  bool try_swap(Stop* first_u, Stop* last_u, Stop* first_v, Stop* last_v);
  bool try_turn(Stop* u, Stop* v);
  bool try_tails(Stop* u, Stop* v);
  bool try_turned_tails(Stop* u, Stop* v);
  bool commit(double change, Route& route, Sections const& sections);
  bool commit(double change, Route& first, Sections const& first_sections, Route& second,
              Sections const& second_sections);
  /// Change of extras when a section of a route with this kind changes to another kind; false: forbidden.
  bool add_extras(Stop const* first, Stop const* last, Route const& from, Route const& to, Amount& change) const;

  bool improve_by_swap_star();
  bool try_swap_star(Route& first, Route& second);
  BestPlaces& best_places(int customer, Route& route);
  std::pair<Amount, Stop*> cheapest_without(Stop const* inserted, Stop const* removed);
  static Sections replaced(Route const& route, Stop const* removed, Section inserted, Stop const* after);

  bool improve_patterns();
  bool try_patterns(int customer);
  bool try_pattern_exchange(int first, int second);
  Insertion best_insertion(int customer, Route& route);
  Insertion best_insertion_on(int customer, int day);
  [[nodiscard]] double removal_change(Stop const* stop) const;
  void insert(Stop* stop, Stop* after);
  void remove(Stop* stop);
  [[nodiscard]] std::uint64_t days_of(int customer) const {
    return problem_.patterns[at(customer)][at(pattern_[at(customer)])].days;
  }
  /// When a route of the customer changed last.
  std::int64_t last_change(int customer) {
    std::int64_t last = 0;
    for (std::uint64_t left = days_of(customer); left != 0; left &= left - 1)
      last = std::max(last, stop_of(std::countr_zero(left), customer)->route->modified);
    return last;
  }
  /// When a day on which the customer could be visited changed last.
  std::int64_t last_change_around(int customer) const {
    std::int64_t last = 0;
    for (DayPattern const& choice : problem_.patterns[at(customer)])
      for (std::uint64_t left = choice.days; left != 0; left &= left - 1)
        last = std::max(last, day_modified_[at(std::countr_zero(left))]);
    return last;
  }
  Stop* stop_of(int day, int customer) { return &stops_[at(day) * at(problem_.customers) + at(customer)]; }
  Route* empty_route(Group const& group) {
    for (int slot = group.first_slot; slot < group.first_slot + group.slots; ++slot)
      if (routes_[at(slot)].size == 0) return &routes_[at(slot)];
    return nullptr;
  }

  CompiledProblem const& problem_;
  SearchRandom& random_;
  std::size_t locations_;
  Penalties penalties_;
  std::vector<Stop> stops_;    // [day][customer]
  std::vector<Route> routes_;  // [slot]
  std::vector<int> pattern_;   // [customer]
  std::vector<std::vector<int>> neighbours_;
  std::vector<Stop*> visits_;
  std::vector<int> customer_order_;
  std::vector<BestPlaces> best_places_;        // [customer][slot]
  std::vector<Insertion> insertions_;          // [customer][slot]
  std::vector<std::int64_t> insertion_seen_;   // [customer][slot]
  std::vector<std::int64_t> day_modified_;     // [day] when a route of it changed last
  std::vector<std::int64_t> patterns_tested_;  // [customer]
  std::vector<std::int64_t> exchange_tested_;  // [customer]
  std::vector<Route*> changed_;
  bool loaded_ = false;
  std::vector<std::int64_t> touched_;  // [slot]
  std::vector<Stop*> order_;
  std::vector<Stop*> other_order_;
  std::int64_t moves_ = 0;
  std::int64_t touch_ = 0;
  double cost_before_ = 0.0;
};

template <Timing timing>
Engine<timing>::Engine(CompiledProblem const& problem, SearchRandom& random)
    : problem_(problem),
      random_(random),
      locations_(at(problem.locations)),
      stops_(at(problem.days) * at(problem.customers)),
      routes_(problem.slots.size()),
      pattern_(at(problem.customers), undecided),
      neighbours_(problem.neighbours),
      best_places_(at(problem.customers) * problem.slots.size()),
      insertions_(best_places_.size()),
      insertion_seen_(best_places_.size(), -1),
      day_modified_(at(problem.days), 0),
      patterns_tested_(at(problem.customers), -1),
      exchange_tested_(at(problem.customers), -1),
      touched_(problem.slots.size(), 0) {
  for (int day = 0; day < problem.days; ++day)
    for (int customer = 0; customer < problem.customers; ++customer) {
      Stop& stop = *stop_of(day, customer);
      stop.location = customer;
      stop.customer = customer;
      stop.demand = problem.demand[at(customer)];
      stop.service = problem.service[at(customer)];
    }
  for (std::size_t slot = 0; slot < routes_.size(); ++slot) {
    Route& route = routes_[slot];
    route.slot = static_cast<int>(slot);
    route.group = problem.slots[slot].group;
    route.day = problem.groups[at(route.group)].day;
    route.kind_index = problem.groups[at(route.group)].kind;
    route.kind = &problem.kinds[at(route.kind_index)];
    route.costs = problem.arc_costs(route.kind->wage_class);
    route.start.route = route.end.route = &route;
    route.start.location = route.kind->start;
    route.end.location = route.kind->end;
  }
  for (int customer = 0; customer < problem.customers; ++customer) customer_order_.push_back(customer);
}

// ---- Costs ----

template <Timing timing>
double Engine<timing>::price(Route const& route, int size, Amount load, Stretch const& stretch) const {
  if (size == 0) return 0.0;
  FleetKind const& kind = *route.kind;
  double excess = static_cast<double>(kind.fixed_cost);
  if (load > kind.capacity) excess += penalties_.load * static_cast<double>(load - kind.capacity);
  if constexpr (timing != Timing::ignored) {
    if (stretch.duration > kind.longest_duration)
      excess += penalties_.duration * static_cast<double>(stretch.duration - kind.longest_duration);
    if (stretch.duration > kind.regular_duration)
      excess += static_cast<double>(kind.overtime_cost * (stretch.duration - kind.regular_duration));
  }
  if constexpr (timing == Timing::windows)
    excess += penalties_.lateness * static_cast<double>(stretch.lateness) +
              static_cast<double>(kind.duration_cost * stretch.waiting);
  return excess;
}

/// Everything but arcs and extras of a route that would consist of the given sections.
template <Timing timing>
double Engine<timing>::excess_of(Route const& route, int size, Amount load, Sections const& sections) const {
  Stretch whole;
  if constexpr (timing == Timing::durations) {
    Stop const* reached = nullptr;
    for (Section const& section : sections) {
      if (section.first == nullptr) continue;
      Stop const* entry = section.turned ? section.last : section.first;
      if (reached != nullptr) whole.duration += time(reached, entry);
      whole.duration += section.turned ? section.last->travel_back - section.first->travel_back
                                       : section.last->travel - section.first->travel;
      whole.duration += section.last->work - section.first->work + section.first->service;
      reached = section.turned ? section.first : section.last;
    }
  } else if constexpr (timing == Timing::windows) {
    Stop const* reached = nullptr;
    auto add = [&](Stretch const& stretch, Stop const* entry, Stop const* exit) {
      whole = reached == nullptr ? stretch : joined(whole, stretch, time(reached, entry));
      reached = exit;
    };
    auto alone = [&](Stop const* stop) {
      return stop->is_visit() ? problem_.stretch_of(stop->customer) : problem_.shift_of(*route.kind);
    };
    for (Section const& section : sections) {
      if (section.first == nullptr) continue;
      if (section.turned) {
        for (Stop const* stop = section.last;; stop = stop->previous) {
          add(alone(stop), stop, stop);
          if (stop == section.first) break;
        }
      } else if (!section.first->is_visit() && section.first->previous == nullptr) {
        add(section.last->before, section.first, section.last);
      } else if (!section.last->is_visit() && section.last->next == nullptr) {
        add(section.first->after, section.first, section.last);
      } else {
        for (Stop const* stop = section.first;; stop = stop->next) {
          add(alone(stop), stop, stop);
          if (stop == section.last) break;
        }
      }
    }
  }
  return price(route, size, load, whole);
}

template <Timing timing>
Amount Engine<timing>::arcs_of(Route const& route, Sections const& sections) const {
  Amount cost = 0;
  Stop const* reached = nullptr;
  for (Section const& section : sections) {
    if (section.first == nullptr) continue;
    if (reached != nullptr) cost += arc(route, reached, section.turned ? section.last : section.first);
    cost +=
        section.turned ? section.last->arcs_back - section.first->arcs_back : section.last->arcs - section.first->arcs;
    reached = section.turned ? section.first : section.last;
  }
  return cost;
}

template <Timing timing>
bool Engine<timing>::add_extras(Stop const* first, Stop const* last, Route const& from, Route const& to,
                                Amount& change) const {
  if (!problem_.kind_matters || from.kind_index == to.kind_index) return true;
  for (Stop const* stop = first;; stop = stop->next) {
    Amount const extra = problem_.extra(to.kind_index, stop->customer);
    if (extra >= forbidden) return false;
    change += extra - problem_.extra(from.kind_index, stop->customer);
    if (stop == last) return true;
  }
}

/// The penalised cost of everything, worked out stop by stop.
template <Timing timing>
double Engine<timing>::penalised_cost() const {
  double cost = 0.0;
  for (Route const& route : routes_) {
    if (route.size == 0) continue;
    Stretch stretch = problem_.shift_of(*route.kind);
    Amount load = 0;
    for (Stop const* stop = route.start.next;; stop = stop->next) {
      cost += static_cast<double>(arc(route, stop->previous, stop));
      if constexpr (timing != Timing::ignored)
        stretch =
            joined(stretch, stop->is_visit() ? problem_.stretch_of(stop->customer) : problem_.shift_of(*route.kind),
                   time(stop->previous, stop));
      if (!stop->is_visit()) break;
      cost += static_cast<double>(problem_.extra(route.kind_index, stop->customer));
      load += stop->demand;
    }
    cost += price(route, route.size, load, stretch);
  }
  for (std::size_t customer = 0; customer < pattern_.size(); ++customer)
    if (pattern_[customer] != undecided)
      cost += static_cast<double>(problem_.patterns[customer][at(pattern_[customer])].cost);
  return cost;
}

// ---- Routes as linked lists ----

template <Timing timing>
void Engine<timing>::refresh(Route& route) {
  Stop* stop = &route.start;
  stop->load = stop->arcs = stop->arcs_back = stop->travel = stop->travel_back = stop->work = 0;
  stop->before = problem_.shift_of(*route.kind);
  while (stop != &route.end) {
    Stop* const from = stop;
    stop = stop->next;
    stop->position = from->position + 1;
    stop->route = &route;
    stop->load = from->load + stop->demand;
    stop->arcs = from->arcs + arc(route, from, stop);
    stop->arcs_back = problem_.symmetric ? stop->arcs : from->arcs_back + arc(route, stop, from);
    if constexpr (timing == Timing::durations) {
      stop->travel = from->travel + time(from, stop);
      stop->travel_back = from->travel_back + time(stop, from);
      stop->work = from->work + stop->service;
    }
    if constexpr (timing == Timing::windows)
      stop->before =
          joined(from->before, stop->is_visit() ? problem_.stretch_of(stop->customer) : problem_.shift_of(*route.kind),
                 time(from, stop));
  }
  route.size = route.end.position - 1;
  route.load = route.end.load;
  Stretch whole = route.end.before;
  if constexpr (timing == Timing::durations) whole.duration = route.end.travel + route.end.work;
  route.excess = price(route, route.size, route.load, whole);
  if constexpr (timing == Timing::windows) {
    stop->after = problem_.shift_of(*route.kind);
    while (stop != &route.start) {
      Stop* const from = stop;
      stop = stop->previous;
      stop->after = joined(stop->is_visit() ? problem_.stretch_of(stop->customer) : problem_.shift_of(*route.kind),
                           from->after, time(stop, from));
    }
  }
  for (Stop* visit = route.start.next; visit != &route.end; visit = visit->next)
    visit->removal =
        arc(route, visit->previous, visit->next) - arc(route, visit->previous, visit) - arc(route, visit, visit->next);
  route.modified = moves_;
  day_modified_[at(route.day)] = moves_;
}

template <Timing timing>
void Engine<timing>::relink(Route& route, std::vector<Stop*> const& order) {
  Stop* reached = &route.start;
  for (Stop* stop : order) {
    reached->next = stop;
    stop->previous = reached;
    reached = stop;
  }
  reached->next = &route.end;
  route.end.previous = reached;
}

template <Timing timing>
void Engine<timing>::collect(Sections const& sections, std::vector<Stop*>& order) const {
  order.clear();
  auto add = [&](Stop const* stop) {
    if (stop->is_visit()) order.push_back(const_cast<Stop*>(stop));
  };
  for (Section const& section : sections) {
    if (section.first == nullptr) continue;
    Stop const* const from = section.turned ? section.last : section.first;
    Stop const* const to = section.turned ? section.first : section.last;
    for (Stop const* stop = from;; stop = section.turned ? stop->previous : stop->next) {
      add(stop);
      if (stop == to) break;
    }
  }
}

template <Timing timing>
void Engine<timing>::apply(Route& route, Sections const& sections) {
  collect(sections, order_);
  relink(route, order_);
  ++moves_;
  refresh(route);
}

template <Timing timing>
void Engine<timing>::apply(Route& first, Sections const& first_sections, Route& second,
                           Sections const& second_sections) {
  collect(first_sections, order_);
  collect(second_sections, other_order_);
  relink(first, order_);
  relink(second, other_order_);
  ++moves_;
  refresh(first);
  refresh(second);
}

template <Timing timing>
bool Engine<timing>::commit(double change, Route& route, Sections const& sections) {
  if (change > -least_gain) return false;
  begin_move();
  apply(route, sections);
  end_move(change);
  return true;
}

template <Timing timing>
bool Engine<timing>::commit(double change, Route& first, Sections const& first_sections, Route& second,
                            Sections const& second_sections) {
  if (change > -least_gain) return false;
  begin_move();
  apply(first, first_sections, second, second_sections);
  end_move(change);
  return true;
}

template <Timing timing>
void Engine<timing>::insert(Stop* stop, Stop* after) {
  stop->next = after->next;
  stop->previous = after;
  after->next->previous = stop;
  after->next = stop;
  ++moves_;
  refresh(*after->route);
}

template <Timing timing>
void Engine<timing>::remove(Stop* stop) {
  Route& route = *stop->route;
  stop->previous->next = stop->next;
  stop->next->previous = stop->previous;
  stop->route = nullptr;
  ++moves_;
  refresh(route);
}

/// Takes over an individual. Routes that stand here already, with the same penalties, keep what is known of them: a
/// small change to the last individual is then cheap to improve. True when nothing was kept.
template <Timing timing>
bool Engine<timing>::load(Individual const& individual, Penalties const& penalties) {
  bool const priced_alike = penalties == penalties_;
  penalties_ = penalties;
  auto stands_here = [&](Route const& route) {
    Stop const* stop = route.start.next;
    for (int const customer : individual.routes[at(route.slot)]) {
      if (stop->customer != customer) return false;
      stop = stop->next;
    }
    return stop == &route.end;
  };
  changed_.clear();
  for (Route& route : routes_)
    if (!loaded_ || !priced_alike || !stands_here(route)) changed_.push_back(&route);
  if (loaded_)
    for (Route const* route : changed_)
      for (Stop* stop = route->start.next; stop != &route->end; stop = stop->next) stop->route = nullptr;
  ++moves_;
  for (Route* route : changed_) {
    order_.clear();
    for (int const customer : individual.routes[at(route->slot)]) order_.push_back(stop_of(route->day, customer));
    relink(*route, order_);
    refresh(*route);
  }
  pattern_ = individual.patterns;
  loaded_ = true;
  return changed_.size() == routes_.size();
}

template <Timing timing>
void Engine<timing>::store(Individual& individual) const {
  individual.patterns = pattern_;
  for (Route const& route : routes_) {
    auto& customers = individual.routes[at(route.slot)];
    customers.clear();
    for (Stop const* stop = route.start.next; stop != &route.end; stop = stop->next)
      customers.push_back(stop->customer);
  }
}

// ---- Moves inside a day ----

template <Timing timing>
bool Engine<timing>::try_relocate(Stop* first, Stop* last, bool turned, Stop* v) {
  Route& from = *first->route;
  Route& to = *v->route;
  Stop* const before = first->previous;
  Stop* const after = last->next;
  Stop* const y = v->next;
  Amount change = arc(from, before, after) - arc(from, before, first) - arc(from, last, after) - arc(to, v, y) +
                  arc(to, v, turned ? last : first) + arc(to, turned ? first : last, y);
  if (first != last) change += (turned ? arc(to, last, first) : arc(to, first, last)) - arc(from, first, last);
  if (&from != &to) {
    if (!add_extras(first, last, from, to, change)) return false;
    double total = static_cast<double>(change) - from.excess - to.excess;
    if (total > -least_gain) return false;
    Sections const rest{{{&from.start, before}, {after, &from.end}}};
    Sections const grown{{{&to.start, v}, {first, last, turned}, {y, &to.end}}};
    int const count = first == last ? 1 : 2;
    Amount const moved = first == last ? first->demand : first->demand + last->demand;
    total += excess_of(to, to.size + count, to.load + moved, grown);
    if (total > -least_gain) return false;
    total += excess_of(from, from.size - count, from.load - moved, rest);
    return commit(total, from, rest, to, grown);
  }
  double total = static_cast<double>(change);
  if (total - from.excess > -least_gain) return false;
  if (timing == Timing::ignored && total > -least_gain) return false;
  Section const run{first, last, turned};
  Sections const sections = first->position < v->position
                                ? Sections{{{&from.start, before}, {after, v}, run, {y, &from.end}}}
                                : (v == before ? Sections{{{&from.start, v}, run, {after, &from.end}}}
                                               : Sections{{{&from.start, v}, run, {y, before}, {after, &from.end}}});
  if constexpr (timing != Timing::ignored) total += excess_of(from, from.size, from.load, sections) - from.excess;
  return commit(total, from, sections);
}

template <Timing timing>
bool Engine<timing>::try_swap(Stop* first_u, Stop* last_u, Stop* first_v, Stop* last_v) {
  Route& ru = *first_u->route;
  Route& rv = *first_v->route;
  Stop* const before_u = first_u->previous;
  Stop* const after_u = last_u->next;
  Stop* const before_v = first_v->previous;
  Stop* const after_v = last_v->next;
  Amount change = arc(ru, before_u, first_v) + arc(ru, last_v, after_u) - arc(ru, before_u, first_u) -
                  arc(ru, last_u, after_u) + arc(rv, before_v, first_u) + arc(rv, last_u, after_v) -
                  arc(rv, before_v, first_v) - arc(rv, last_v, after_v);
  if (ru.costs != rv.costs) {
    if (first_u != last_u) change += arc(rv, first_u, last_u) - arc(ru, first_u, last_u);
    if (first_v != last_v) change += arc(ru, first_v, last_v) - arc(rv, first_v, last_v);
  }
  if (&ru != &rv) {
    if (!add_extras(first_u, last_u, ru, rv, change) || !add_extras(first_v, last_v, rv, ru, change)) return false;
    double total = static_cast<double>(change) - ru.excess - rv.excess;
    if (total > -least_gain) return false;
    Sections const new_u{{{&ru.start, before_u}, {first_v, last_v}, {after_u, &ru.end}}};
    Sections const new_v{{{&rv.start, before_v}, {first_u, last_u}, {after_v, &rv.end}}};
    int const count_u = first_u == last_u ? 1 : 2;
    int const count_v = first_v == last_v ? 1 : 2;
    Amount const demand_u = first_u == last_u ? first_u->demand : first_u->demand + last_u->demand;
    Amount const demand_v = first_v == last_v ? first_v->demand : first_v->demand + last_v->demand;
    total += excess_of(ru, ru.size + count_v - count_u, ru.load + demand_v - demand_u, new_u);
    if (total > -least_gain) return false;
    total += excess_of(rv, rv.size + count_u - count_v, rv.load + demand_u - demand_v, new_v);
    return commit(total, ru, new_u, rv, new_v);
  }
  double total = static_cast<double>(change);
  if (total - ru.excess > -least_gain) return false;
  if (timing == Timing::ignored && total > -least_gain) return false;
  bool const u_first = first_u->position < first_v->position;
  Section const early{u_first ? first_u : first_v, u_first ? last_u : last_v};
  Section const late{u_first ? first_v : first_u, u_first ? last_v : last_u};
  Sections const sections{{{&ru.start, early.first->previous},
                           late,
                           {early.last->next, late.first->previous},
                           early,
                           {late.last->next, &ru.end}}};
  if constexpr (timing != Timing::ignored) total += excess_of(ru, ru.size, ru.load, sections) - ru.excess;
  return commit(total, ru, sections);
}

/// Turns the section after u up to and including v, both in one route, u first.
template <Timing timing>
bool Engine<timing>::try_turn(Stop* u, Stop* v) {
  Route& route = *u->route;
  Stop* const x = u->next;
  Stop* const y = v->next;
  if (v->position <= u->position + 1) return false;
  Amount change = arc(route, u, v) + arc(route, x, y) - arc(route, u, x) - arc(route, v, y);
  if (!problem_.symmetric) change += (v->arcs_back - x->arcs_back) - (v->arcs - x->arcs);
  double total = static_cast<double>(change);
  if (total - route.excess > -least_gain) return false;
  if (timing == Timing::ignored && total > -least_gain) return false;
  Sections const sections{{{&route.start, u}, {x, v, true}, {y, &route.end}}};
  if constexpr (timing != Timing::ignored) total += excess_of(route, route.size, route.load, sections) - route.excess;
  return commit(total, route, sections);
}

/// Exchanges what follows u with what follows v.
template <Timing timing>
bool Engine<timing>::try_tails(Stop* u, Stop* v) {
  Route& ru = *u->route;
  Route& rv = *v->route;
  if (ru.costs != rv.costs) return false;
  Stop* const x = u->next;
  Stop* const y = v->next;
  bool const tail_u = x->is_visit();
  bool const tail_v = y->is_visit();
  if (!tail_u && !tail_v) return false;
  bool const alike = ru.kind_index == rv.kind_index;
  Amount change = 0;
  if (ru.end.location == rv.end.location) {
    change = arc(ru, u, y) + arc(rv, v, x) - arc(ru, u, x) - arc(rv, v, y);
  } else {
    Stop* const end_u = &ru.end;
    Stop* const end_v = &rv.end;
    change = -arc(ru, u, x) - arc(rv, v, y);
    change +=
        tail_v ? arc(ru, u, y) + arc(ru, end_v->previous, end_u) - arc(rv, end_v->previous, end_v) : arc(ru, u, end_u);
    change +=
        tail_u ? arc(rv, v, x) + arc(rv, end_u->previous, end_v) - arc(ru, end_u->previous, end_u) : arc(rv, v, end_v);
  }
  if (!alike && problem_.kind_matters) {
    if (tail_u && !add_extras(x, ru.end.previous, ru, rv, change)) return false;
    if (tail_v && !add_extras(y, rv.end.previous, rv, ru, change)) return false;
  }
  double total = static_cast<double>(change) - ru.excess - rv.excess;
  if (total > -least_gain) return false;
  Sections const new_u =
      alike ? Sections{{{&ru.start, u}, {y, &rv.end}}}
            : Sections{{{&ru.start, u}, tail_v ? Section{y, rv.end.previous} : Section{}, {&ru.end, &ru.end}}};
  Sections const new_v =
      alike ? Sections{{{&rv.start, v}, {x, &ru.end}}}
            : Sections{{{&rv.start, v}, tail_u ? Section{x, ru.end.previous} : Section{}, {&rv.end, &rv.end}}};
  total += excess_of(ru, u->position + rv.size - v->position, u->load + rv.load - v->load, new_u);
  if (total > -least_gain) return false;
  total += excess_of(rv, v->position + ru.size - u->position, v->load + ru.load - u->load, new_v);
  return commit(total, ru, new_u, rv, new_v);
}

/// Joins u to the turned beginning of v's route, and the turned rest of u's route to what follows v.
template <Timing timing>
bool Engine<timing>::try_turned_tails(Stop* u, Stop* v) {
  Route& ru = *u->route;
  Route& rv = *v->route;
  if (ru.costs != rv.costs) return false;
  Stop* const x = u->next;
  Stop* const y = v->next;
  bool const tail_u = x->is_visit();
  bool const head_v = v->is_visit();
  if (!tail_u && !head_v) return false;
  bool const alike = ru.kind_index == rv.kind_index;
  Sections const new_u{{{&ru.start, u}, head_v ? Section{rv.start.next, v, true} : Section{}, {&ru.end, &ru.end}}};
  Sections const new_v{{{&rv.start, &rv.start}, tail_u ? Section{x, ru.end.previous, true} : Section{}, {y, &rv.end}}};
  Amount change = 0;
  if (problem_.symmetric && ru.start.location == ru.end.location && rv.start.location == ru.start.location &&
      rv.end.location == ru.start.location)
    change = arc(ru, u, v) + arc(ru, x, y) - arc(ru, u, x) - arc(ru, v, y);
  else
    change = arcs_of(ru, new_u) + arcs_of(rv, new_v) - ru.end.arcs - rv.end.arcs;
  if (!alike && problem_.kind_matters) {
    if (tail_u && !add_extras(x, ru.end.previous, ru, rv, change)) return false;
    if (head_v && !add_extras(rv.start.next, v, rv, ru, change)) return false;
  }
  double total = static_cast<double>(change) - ru.excess - rv.excess;
  if (total > -least_gain) return false;
  total += excess_of(ru, u->position + v->position, u->load + v->load, new_u);
  if (total > -least_gain) return false;
  total += excess_of(rv, ru.size - u->position + rv.size - v->position, ru.load - u->load + rv.load - v->load, new_v);
  return commit(total, ru, new_u, rv, new_v);
}

/// All moves of u (and its successor) beside v. True when one was made.
template <Timing timing>
bool Engine<timing>::try_pair(Stop* u, Stop* v) {
  Stop* const x = u->next;
  Stop* const y = v->next;
  bool const same = u->route == v->route;
  if (u != y && try_relocate(u, u, false, v)) return true;
  if (x->is_visit() && u != y && v != x) {
    if (try_relocate(u, x, false, v)) return true;
    if (try_relocate(u, x, true, v)) return true;
  }
  if (u->customer <= v->customer && u != v->previous && u != y && try_swap(u, u, v, v)) return true;
  if (x->is_visit() && u != v->previous && x != v->previous && u != y && v != x && try_swap(u, x, v, v)) return true;
  if (u->customer <= v->customer && x->is_visit() && y->is_visit() && y != u->previous && u != y && x != v &&
      v != x->next && try_swap(u, x, v, y))
    return true;
  if (same) return u->position < v->position ? try_turn(u, v) : false;
  return try_turned_tails(u, v) || try_tails(u, v);
}

/// The moves of u to the beginning of a route.
template <Timing timing>
bool Engine<timing>::try_after_start(Stop* u, Stop* start) {
  Stop* const x = u->next;
  if (u != start->next && try_relocate(u, u, false, start)) return true;
  if (x->is_visit() && u != start->next) {
    if (try_relocate(u, x, false, start)) return true;
    if (try_relocate(u, x, true, start)) return true;
  }
  if (u->route == start->route) return try_turn(start, u);
  return try_turned_tails(u, start) || try_tails(u, start);
}

template <Timing timing>
bool Engine<timing>::improve_routes(bool from_scratch) {
  visits_.clear();
  for (Stop& stop : stops_)
    if (stop.route != nullptr) visits_.push_back(&stop);
  random_.shuffle(visits_);
  for (auto& list : neighbours_)
    if (random_.below(neighbours_.size()) == 0) random_.shuffle(list);

  bool improved_at_all = false;
  bool finished = false;
  for (int round = from_scratch ? 0 : 1; !finished; ++round) {
    finished = round > 1;  // the first two rounds are always made: only the second opens routes
    for (Stop* u : visits_) {
      std::int64_t const last_tested = u->tested;
      u->tested = moves_;
      int const day = u->route->day;
      if (round > (from_scratch ? 1 : 0) && day_modified_[at(day)] <= last_tested) continue;
      Stop* const first_of_day = stop_of(day, 0);
      auto const& list = neighbours_[at(u->customer)];
      for (int const neighbour : list) {
        Stop* const v = first_of_day + neighbour;
        if (v->route == nullptr) continue;
        if (round > 0 && std::max(u->route->modified, v->route->modified) <= last_tested) continue;
        bool moved = try_pair(u, v);
        if (!moved && !v->previous->is_visit()) moved = try_after_start(u, v->previous);
        if (moved) {
          improved_at_all = true;
          finished = false;
        }
      }
      if (round == 0) continue;
      if (round > 1 && u->route->modified <= last_tested) continue;
      auto const [first_group, last_group] = problem_.groups_of_day[at(day)];
      for (int group = first_group; group < last_group; ++group) {
        Route* const empty = empty_route(problem_.groups[at(group)]);
        if (empty == nullptr) continue;
        if (try_after_start(u, &empty->start)) {
          improved_at_all = true;
          finished = false;
        }
      }
    }
    if (improve_by_swap_star()) {
      improved_at_all = true;
      finished = false;
    }
  }
  return improved_at_all;
}

// ---- SWAP* ----

template <Timing timing>
bool Engine<timing>::improve_by_swap_star() {
  bool improved = false;
  for (std::size_t day = 0; day < problem_.slots_of_day.size(); ++day) {
    auto const [first_slot, last_slot] = problem_.slots_of_day[day];
    Stop* const first_of_day = stop_of(static_cast<int>(day), 0);
    for (int slot = first_slot; slot < last_slot; ++slot) {
      Route& route = routes_[at(slot)];
      if (route.size == 0) continue;
      std::int64_t const last_tested = route.swap_star_tested;
      route.swap_star_tested = moves_;
      ++touch_;
      for (Stop const* stop = route.start.next; stop != &route.end; stop = stop->next) {
        int found = 0;
        for (int const near : problem_.nearest[at(stop->customer)]) {
          Stop const& other = first_of_day[near];
          if (other.route == nullptr) continue;
          touched_[at(other.route->slot)] = touch_;
          if (++found == touching_neighbours) break;
        }
      }
      for (int other = slot + 1; other < last_slot; ++other) {
        Route& second = routes_[at(other)];
        if (touched_[at(other)] != touch_ || second.size == 0) continue;
        if (std::max(route.modified, second.modified) <= last_tested) continue;
        if (try_swap_star(route, second)) {
          improved = true;
          if (route.size == 0) break;
        }
      }
    }
  }
  return improved;
}

template <Timing timing>
BestPlaces& Engine<timing>::best_places(int customer, Route& route) {
  BestPlaces& best = best_places_[at(customer) * routes_.size() + at(route.slot)];
  if (best.seen == route.modified) return best;
  best.seen = route.modified;
  best.cost.fill(unlimited);
  best.after.fill(nullptr);
  std::int32_t const* const from_customer = route.costs + at(customer) * locations_;
  for (Stop* stop = &route.start; stop != &route.end; stop = stop->next)
    best.offer(route.costs[at(stop->location) * locations_ + at(customer)] + from_customer[stop->next->location] -
                   (stop->next->arcs - stop->arcs),
               stop);
  return best;
}

/// The cheapest place for one visit in the route of another visit that leaves.
template <Timing timing>
std::pair<Amount, Stop*> Engine<timing>::cheapest_without(Stop const* inserted, Stop const* removed) {
  Route& route = *removed->route;
  BestPlaces const& best = best_places(inserted->customer, route);
  Stop* const before = removed->previous;
  Amount cost = arc(route, before, inserted) + arc(route, inserted, removed->next) - arc(route, before, removed->next);
  Stop* after = before;
  for (std::size_t place = 0; place < 3 && best.after[place] != nullptr; ++place) {
    if (best.after[place] == removed || best.after[place]->next == removed) continue;
    if (best.cost[place] < cost) {
      cost = best.cost[place];
      after = best.after[place];
    }
    break;
  }
  return {cost, after};
}

/// A route without one visit and with a section after another stop; removed may be null.
template <Timing timing>
Sections Engine<timing>::replaced(Route const& route, Stop const* removed, Section inserted, Stop const* after) {
  if (removed == nullptr) return {{{&route.start, after}, inserted, {after->next, &route.end}}};
  Stop const* const before = removed->previous;
  Stop const* const next = removed->next;
  if (after == before) return {{{&route.start, before}, inserted, {next, &route.end}}};
  if (after->position > removed->position)
    return {{{&route.start, before}, {next, after}, inserted, {after->next, &route.end}}};
  return {{{&route.start, after}, inserted, {after->next, before}, {next, &route.end}}};
}

template <Timing timing>
bool Engine<timing>::try_swap_star(Route& ru, Route& rv) {
  double best = -least_gain;
  Sections best_u;
  Sections best_v;
  auto excess_load = [&](Route const& route, Amount load) {
    return penalties_.load * static_cast<double>(std::max<Amount>(0, load - route.kind->capacity));
  };
  // Where only loads can be exceeded the present excess is all there is to gain beside arcs.
  double const excess = ru.excess + rv.excess;
  auto offer = [&](Amount arcs, Sections const& new_u, int size_u, Amount load_u, Sections const& new_v, int size_v,
                   Amount load_v) {
    double total = static_cast<double>(arcs) - excess;
    if (total >= best) return;
    total += excess_of(ru, size_u, load_u, new_u);
    if (total >= best) return;
    total += excess_of(rv, size_v, load_v, new_v);
    if (total >= best) return;
    best = total;
    best_u = new_u;
    best_v = new_v;
  };

  for (Stop* u = ru.start.next; u != &ru.end; u = u->next) {
    Amount extra_u = 0;
    if (!add_extras(u, u, ru, rv, extra_u)) continue;
    for (Stop* v = rv.start.next; v != &rv.end; v = v->next) {
      Amount change = u->removal + v->removal + extra_u;
      Amount const load_u = ru.load + v->demand - u->demand;
      Amount const load_v = rv.load + u->demand - v->demand;
      // No insertion is cheaper than nothing where the costs obey the triangle inequality; elsewhere good exchanges may
      // be missed.
      if (static_cast<double>(change) + excess_load(ru, load_u) + excess_load(rv, load_v) - excess >= best) continue;
      if (!add_extras(v, v, rv, ru, change)) continue;
      auto const [cost_v, after_v] = cheapest_without(v, u);
      auto const [cost_u, after_u] = cheapest_without(u, v);
      change += cost_u + cost_v;
      if (static_cast<double>(change) + excess_load(ru, load_u) + excess_load(rv, load_v) - excess >= best) continue;
      offer(change, replaced(ru, u, {v, v}, after_v), ru.size, load_u, replaced(rv, v, {u, u}, after_u), rv.size,
            load_v);
    }
    BestPlaces const& places = best_places(u->customer, rv);
    offer(u->removal + extra_u + places.cost[0], Sections{{{&ru.start, u->previous}, {u->next, &ru.end}}}, ru.size - 1,
          ru.load - u->demand, replaced(rv, nullptr, {u, u}, places.after[0]), rv.size + 1, rv.load + u->demand);
  }
  for (Stop* v = rv.start.next; v != &rv.end; v = v->next) {
    Amount extra_v = 0;
    if (!add_extras(v, v, rv, ru, extra_v)) continue;
    BestPlaces const& places = best_places(v->customer, ru);
    offer(v->removal + extra_v + places.cost[0], replaced(ru, nullptr, {v, v}, places.after[0]), ru.size + 1,
          ru.load + v->demand, Sections{{{&rv.start, v->previous}, {v->next, &rv.end}}}, rv.size - 1,
          rv.load - v->demand);
  }
  return best < -least_gain && commit(best, ru, best_u, rv, best_v);
}

// ---- Day patterns ----

template <Timing timing>
Insertion Engine<timing>::best_insertion(int customer, Route& route) {
  auto const index = at(customer) * routes_.size() + at(route.slot);
  if (insertion_seen_[index] == route.modified) return insertions_[index];
  insertion_seen_[index] = route.modified;
  Insertion& best = insertions_[index];
  best = {};
  Amount const extra = problem_.extra(route.kind_index, customer);
  if (extra >= forbidden) return best;
  Stop const& stop = *stop_of(route.day, customer);
  for (Stop* after = &route.start; after != &route.end; after = after->next) {
    Stop* const next = after->next;
    Amount const arcs = arc(route, after, &stop) + arc(route, &stop, next) - (next->arcs - after->arcs) + extra;
    if (static_cast<double>(arcs) >= best.cost) continue;
    double cost = static_cast<double>(arcs) - route.excess;
    if constexpr (timing == Timing::windows) {
      cost += excess_of(route, route.size + 1, route.load + stop.demand,
                        Sections{{{&route.start, after}, {&stop, &stop}, {next, &route.end}}});
    } else {
      Stretch whole;
      if constexpr (timing == Timing::durations)
        whole.duration = route.end.travel + route.end.work + stop.service + time(after, &stop) + time(&stop, next) -
                         (next->travel - after->travel);
      cost += price(route, route.size + 1, route.load + stop.demand, whole);
    }
    if (cost < best.cost) best = {cost, after};
  }
  return best;
}

template <Timing timing>
Insertion Engine<timing>::best_insertion_on(int customer, int day) {
  Insertion best;
  Stop const* const present = stop_of(day, customer);
  auto const [first_group, last_group] = problem_.groups_of_day[at(day)];
  for (int group_index = first_group; group_index < last_group; ++group_index) {
    Group const& group = problem_.groups[at(group_index)];
    bool empty_seen = false;
    for (int slot = group.first_slot; slot < group.first_slot + group.slots; ++slot) {
      Route& route = routes_[at(slot)];
      if (&route == present->route) continue;
      if (route.size == 0) {
        if (empty_seen) continue;
        empty_seen = true;
      }
      Insertion const place = best_insertion(customer, route);
      if (place.cost < best.cost) best = place;
    }
  }
  return best;
}

/// Change of penalised cost by leaving a visit out.
template <Timing timing>
double Engine<timing>::removal_change(Stop const* stop) const {
  Route const& route = *stop->route;
  Amount const arcs = stop->removal - problem_.extra(route.kind_index, stop->customer);
  return static_cast<double>(arcs) - route.excess +
         excess_of(route, route.size - 1, route.load - stop->demand,
                   Sections{{{&route.start, stop->previous}, {stop->next, &route.end}}});
}

/// Gives a customer the pattern and places that cost least; present places may be kept.
template <Timing timing>
bool Engine<timing>::try_patterns(int customer) {
  auto const& choices = problem_.patterns[at(customer)];
  std::array<Insertion, 64> place;
  std::uint64_t wanted = 0;
  for (DayPattern const& choice : choices) wanted |= choice.days;
  int const present_choice = pattern_[at(customer)];
  std::uint64_t const present = days_of(customer);
  double present_cost = static_cast<double>(choices[at(present_choice)].cost);
  for (std::uint64_t left = wanted; left != 0; left &= left - 1) {
    int const day = std::countr_zero(left);
    Insertion& best = place[at(day)];
    best = best_insertion_on(customer, day);
    if ((present >> day & 1) == 0) continue;
    double const stay = -removal_change(stop_of(day, customer));
    present_cost += stay;
    if (stay <= best.cost) best = {stay, nullptr};
  }
  double best_cost = present_cost - least_gain;
  int best_choice = -1;
  for (std::size_t choice = 0; choice < choices.size(); ++choice) {
    double cost = static_cast<double>(choices[choice].cost);
    for (std::uint64_t left = choices[choice].days; left != 0; left &= left - 1)
      cost += place[at(std::countr_zero(left))].cost;
    if (cost < best_cost) {
      best_cost = cost;
      best_choice = static_cast<int>(choice);
    }
  }
  if (best_choice < 0) return false;
  begin_move();
  std::uint64_t const days = choices[at(best_choice)].days;
  for (std::uint64_t left = present; left != 0; left &= left - 1) {
    int const day = std::countr_zero(left);
    if ((days >> day & 1) == 0 || place[at(day)].after != nullptr) remove(stop_of(day, customer));
  }
  for (std::uint64_t left = days; left != 0; left &= left - 1) {
    int const day = std::countr_zero(left);
    if (place[at(day)].after != nullptr) insert(stop_of(day, customer), place[at(day)].after);
  }
  pattern_[at(customer)] = best_choice;
  end_move(best_cost - present_cost);
  return true;
}

/// Two customers take each other's days and, on the days that only one of them had, each other's places.
template <Timing timing>
bool Engine<timing>::try_pattern_exchange(int first, int second) {
  std::uint64_t const days_first = days_of(first);
  std::uint64_t const days_second = days_of(second);
  if (days_first == days_second) return false;
  auto choice_with = [&](int customer, std::uint64_t days) {
    auto const& choices = problem_.patterns[at(customer)];
    for (std::size_t choice = 0; choice < choices.size(); ++choice)
      if (choices[choice].days == days) return static_cast<int>(choice);
    return -1;
  };
  int const choice_first = choice_with(first, days_second);
  if (choice_first < 0) return false;
  int const choice_second = choice_with(second, days_first);
  if (choice_second < 0) return false;

  auto const cost_of_choice = [&](int customer, int choice) {
    return static_cast<double>(problem_.patterns[at(customer)][at(choice)].cost);
  };
  double total = cost_of_choice(first, choice_first) - cost_of_choice(first, pattern_[at(first)]) +
                 cost_of_choice(second, choice_second) - cost_of_choice(second, pattern_[at(second)]);
  for (std::uint64_t left = days_first ^ days_second; left != 0; left &= left - 1) {
    int const day = std::countr_zero(left);
    bool const first_leaves = (days_first >> day & 1) != 0;
    Stop* const leaving = stop_of(day, first_leaves ? first : second);
    Stop* const entering = stop_of(day, first_leaves ? second : first);
    Route const& route = *leaving->route;
    Amount const extra = problem_.extra(route.kind_index, entering->customer);
    if (extra >= forbidden) return false;
    Amount const arcs = arc(route, leaving->previous, entering) + arc(route, entering, leaving->next) -
                        arc(route, leaving->previous, leaving) - arc(route, leaving, leaving->next) + extra -
                        problem_.extra(route.kind_index, leaving->customer);
    total +=
        static_cast<double>(arcs) - route.excess +
        excess_of(route, route.size, route.load + entering->demand - leaving->demand,
                  Sections{{{&route.start, leaving->previous}, {entering, entering}, {leaving->next, &route.end}}});
  }
  if (total > -least_gain) return false;
  begin_move();
  for (std::uint64_t left = days_first ^ days_second; left != 0; left &= left - 1) {
    int const day = std::countr_zero(left);
    bool const first_leaves = (days_first >> day & 1) != 0;
    Stop* const leaving = stop_of(day, first_leaves ? first : second);
    Stop* const after = leaving->previous;
    remove(leaving);
    insert(stop_of(day, first_leaves ? second : first), after);
  }
  pattern_[at(first)] = choice_first;
  pattern_[at(second)] = choice_second;
  end_move(total);
  return true;
}

template <Timing timing>
bool Engine<timing>::improve_patterns() {
  bool improved = false;
  random_.shuffle(customer_order_);
  for (int const customer : customer_order_) {
    std::int64_t const last_tested = patterns_tested_[at(customer)];
    patterns_tested_[at(customer)] = moves_;
    if (last_change_around(customer) <= last_tested) continue;
    if (try_patterns(customer)) improved = true;
  }
  for (int const customer : customer_order_) {
    if (problem_.patterns[at(customer)].size() < 2) continue;
    std::int64_t const last_tested = exchange_tested_[at(customer)];
    exchange_tested_[at(customer)] = moves_;
    std::int64_t const own_change = last_change(customer);
    auto const& near = problem_.nearest[at(customer)];
    auto const count = std::min<std::size_t>(near.size(), pattern_exchange_neighbours);
    for (std::size_t index = 0; index < count; ++index) {
      if (std::max(own_change, last_change(near[index])) <= last_tested) continue;
      if (try_pattern_exchange(customer, near[index])) improved = true;
    }
  }
  return improved;
}

// ---- The whole ----

template <Timing timing>
void Engine<timing>::complete(Individual& individual) {
  random_.shuffle(customer_order_);
  for (int const customer : customer_order_) {
    if (pattern_[at(customer)] != undecided) continue;
    std::uint64_t given = 0;
    for (int day = 0; day < problem_.days; ++day)
      if (stop_of(day, customer)->route != nullptr) given |= std::uint64_t{1} << day;
    auto const& choices = problem_.patterns[at(customer)];
    std::array<Insertion, 64> place;
    std::uint64_t known = given;
    double best_cost = std::numeric_limits<double>::infinity();
    std::uint64_t best_days = 0;
    for (std::size_t choice = 0; choice < choices.size(); ++choice) {
      std::uint64_t const days = choices[choice].days;
      if ((given & ~days) != 0) continue;
      double cost = static_cast<double>(choices[choice].cost);
      for (std::uint64_t left = days & ~given; left != 0; left &= left - 1) {
        int const day = std::countr_zero(left);
        if ((known >> day & 1) == 0) place[at(day)] = best_insertion_on(customer, day);
        known |= std::uint64_t{1} << day;
        cost += place[at(day)].cost;
      }
      if (cost < best_cost) {
        best_cost = cost;
        best_days = days;
        pattern_[at(customer)] = static_cast<int>(choice);
      }
    }
    for (std::uint64_t left = best_days & ~given; left != 0; left &= left - 1) {
      int const day = std::countr_zero(left);
      insert(stop_of(day, customer), place[at(day)].after);
    }
  }
  individual.patterns = pattern_;
}

template <Timing timing>
void Engine<timing>::improve(Individual& individual, Penalties const& penalties) {
  bool const from_scratch = load(individual, penalties);
  complete(individual);
  bool const choice_of_days = std::any_of(problem_.patterns.begin(), problem_.patterns.end(),
                                          [](auto const& choices) { return choices.size() > 1; });
  improve_routes(from_scratch);
  while (choice_of_days && improve_patterns()) improve_routes(false);
  store(individual);
  problem_.evaluate(individual);
}

}  // namespace

std::unique_ptr<LocalSearch> make_local_search(CompiledProblem const& problem, SearchRandom& random) {
  switch (problem.timing) {
    case Timing::ignored:
      return std::make_unique<Engine<Timing::ignored>>(problem, random);
    case Timing::durations:
      return std::make_unique<Engine<Timing::durations>>(problem, random);
    case Timing::windows:
      break;
  }
  return std::make_unique<Engine<Timing::windows>>(problem, random);
}

}  // namespace brinecast::sim::search
