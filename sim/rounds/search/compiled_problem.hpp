#pragma once
// A problem made ready for searching: dense tables over customers and depots only, vehicles that are alike merged,
// neighbourhoods, and the period folded into one day where the days do not matter.

#include <algorithm>
#include <cstdint>
#include <utility>
#include <vector>

#include "sim/rounds/search/route_search.hpp"

namespace brinecast::sim::search {

/// Which resources beside the load must be followed along a route.
enum class Timing { ignored, durations, windows };

/// Vehicles that are alike on one (folded) day.
struct FleetKind {
  int start = 0;  // location
  int end = 0;
  Amount capacity = 0;
  Amount earliest_start = 0;
  Amount latest_end = 0;
  Amount longest_duration = 0;
  Amount regular_duration = 0;
  Amount duration_cost = 0;
  Amount overtime_cost = 0;
  Amount fixed_cost = 0;
  int wage_class = 0;  // kinds of one class share their arc costs
};

/// All vehicles of a kind on a day; their slots are consecutive.
struct Group {
  int day = 0;
  int kind = 0;
  int first_slot = 0;
  int slots = 0;
};

/// One vehicle on one day.
struct Slot {
  int group = 0;
  VehicleDay original;  // day, kind and vehicle of the caller's problem
};

/// A whole solution as the search breeds it.
struct Individual {
  std::vector<int> patterns;             // [customer] index into CompiledProblem::patterns, or undecided
  std::vector<std::vector<int>> routes;  // [slot] customers in order

  // Filled by CompiledProblem::evaluate.
  Amount cost = 0;
  Amount excess_load = 0;
  Amount excess_duration = 0;
  Amount lateness = 0;
  std::vector<int> next, previous;  // [day * customers + customer]: customer, depot_mark or absent_mark
  [[nodiscard]] bool feasible() const { return excess_load == 0 && excess_duration == 0 && lateness == 0; }
};
inline constexpr int undecided = -1;
inline constexpr int depot_mark = -1;
inline constexpr int absent_mark = -2;

/// Cost of one unit of what is too much.
struct Penalties {
  double load = 1.0;
  double duration = 1.0;
  double lateness = 1.0;
  bool operator==(Penalties const&) const = default;
  [[nodiscard]] double cost_of(Individual const& individual) const {
    return static_cast<double>(individual.cost) + load * static_cast<double>(individual.excess_load) +
           duration * static_cast<double>(individual.excess_duration) +
           lateness * static_cast<double>(individual.lateness);
  }
};

/// A run of stops of a route: how long it takes and when it may start. Two runs are joined in constant time (Vidal,
/// Crainic, Gendreau & Prins, "A hybrid genetic algorithm with adaptive diversity management for a large class of
/// vehicle routing problems with time-windows", Computers & Operations Research 40, 2013).
struct Stretch {
  Amount duration = 0;  // waiting included
  Amount waiting = 0;
  Amount lateness = 0;  // time turned back to start on time at every stop
  Amount earliest = 0;  // earliest and latest start without more waiting or lateness
  Amount latest = unlimited;
};

inline Stretch joined(Stretch const& first, Stretch const& second, Amount travel) {
  Amount const shift = first.duration - first.lateness + travel;
  Amount const waiting = std::max<Amount>(0, second.earliest - shift - first.latest);
  Amount const late = std::max<Amount>(0, first.earliest + shift - second.latest);
  return {.duration = first.duration + second.duration + travel + waiting,
          .waiting = first.waiting + second.waiting + waiting,
          .lateness = first.lateness + second.lateness + late,
          .earliest = std::max(second.earliest - shift, first.earliest) - waiting,
          .latest = std::min(second.latest - shift, first.latest) + late};
}

class CompiledProblem {
 public:
  CompiledProblem(Problem const& problem, int neighbours);

  int customers = 0;
  int days = 1;
  int locations = 0;  // customers first, then depots
  Timing timing = Timing::ignored;
  bool symmetric = false;     // arc costs and travel times
  bool kind_matters = false;  // extra() is not 0 everywhere

  std::vector<FleetKind> kinds;
  std::vector<Group> groups;  // by day
  std::vector<Slot> slots;
  std::vector<std::pair<int, int>> slots_of_day;   // [day] first and one past last
  std::vector<std::pair<int, int>> groups_of_day;  // [day] first and one past last

  // [customer]
  std::vector<Amount> demand, service, opens, closes;
  std::vector<std::vector<DayPattern>> patterns;  // cost holds whatever the visits cost with any kind
  std::vector<std::vector<int>> nearest;          // nearest first
  std::vector<std::vector<int>> neighbours;       // the nearest of each, both ways
  std::vector<double> plane_x, plane_y;           // a plane fitted to the costs, the first kind's start at its origin

  [[nodiscard]] std::int32_t const* arc_costs(int wage_class) const {
    return arc_costs_[static_cast<std::size_t>(wage_class)].data();
  }
  [[nodiscard]] Amount travel_time(int from, int to) const {
    return durations_[static_cast<std::size_t>(from) * static_cast<std::size_t>(locations) +
                      static_cast<std::size_t>(to)];
  }
  /// Cost of a visit by a kind above the customer's cheapest kind, or `forbidden`.
  [[nodiscard]] Amount extra(int kind, int customer) const {
    return extra_[static_cast<std::size_t>(kind) * static_cast<std::size_t>(customers) +
                  static_cast<std::size_t>(customer)];
  }
  [[nodiscard]] Stretch stretch_of(int customer) const {
    auto const c = static_cast<std::size_t>(customer);
    return {.duration = service[c], .earliest = opens[c], .latest = closes[c]};
  }
  [[nodiscard]] static Stretch shift_of(FleetKind const& kind) {
    return {.earliest = kind.earliest_start, .latest = kind.latest_end};
  }

  [[nodiscard]] Individual empty_individual() const;
  /// Fills the figures of an individual from its patterns and routes.
  void evaluate(Individual& individual) const;
  [[nodiscard]] Solution solution_of(Individual const& individual) const;
  [[nodiscard]] Penalties first_penalties() const;

 private:
  void fold_days(Problem const& problem);
  void add_kinds(Problem const& problem);
  void fill_tables(Problem const& problem);
  void find_neighbours(int wanted);
  void fit_plane();

  std::vector<std::vector<std::int32_t>> arc_costs_;  // [wage class][from][to] wages of driving included; depot to
                                                      // depot 0: a vehicle without visits stays
  std::vector<std::int32_t> durations_;               // [from][to]; empty when timing is ignored
  std::vector<Amount> extra_;                         // [kind][customer]
  std::vector<std::size_t> place_of_location_;
  std::vector<Amount> class_wages_;
  bool folded_ = false;
  std::vector<std::vector<DayPattern>> original_patterns_;
};

}  // namespace brinecast::sim::search
