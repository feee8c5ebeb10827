#pragma once
// Search for good rounds: who visits which customer on which day, in which order, at the least cost.
//
// The problem is a periodic vehicle routing problem with kinds of vehicles, loads, durations, overtime and opening
// hours. Every amount is a whole number in a unit of the caller's choice, so that sums are exact and the same on every
// machine: take fine units (a millionth of the currency, a second, a gram). One unit of cost serves travel, wages and
// fixed costs; one unit of time serves travel, work, windows and limits.
//
// Method: hybrid genetic search with penalised infeasibility and diversity management (Vidal, Crainic, Gendreau,
// Lahrichi & Rei, "A hybrid genetic algorithm for multidepot and periodic vehicle routing problems", Operations
// Research 60, 2012) with the exchange neighbourhood SWAP* (Vidal, "Hybrid genetic search for the CVRP", Computers &
// Operations Research 140, 2022).

#include <cstddef>
#include <cstdint>
#include <functional>
#include <limits>
#include <span>
#include <string>
#include <vector>

namespace brinecast::sim::search {

using Amount = std::int64_t;

/// Stands for "no limit" in capacities, durations and closing times.
inline constexpr Amount unlimited = std::numeric_limits<Amount>::max() / 8;
/// As an entry of Customer::kind_cost: vehicles of this kind must not serve the customer.
inline constexpr Amount forbidden = std::numeric_limits<Amount>::max() / 8;

/// A dense square table [from][to] that somebody else keeps alive. Entries >= 0; need not be symmetric.
struct TableView {
  std::int32_t const* values = nullptr;
  std::size_t places = 0;
  [[nodiscard]] Amount operator()(std::size_t from, std::size_t to) const { return values[from * places + to]; }
};

/// One allowed choice of visit days: bit d stands for day d of the period. No bit at all means "not visited", for
/// customers that may be left out at a cost.
struct DayPattern {
  std::uint64_t days = 1;
  Amount cost = 0;
};

struct Customer {
  std::size_t place = 0;        // row of the travel tables
  Amount demand = 0;            // load taken at each visit
  Amount service_duration = 0;  // work at each visit
  Amount opens = 0;             // a visit starts within [opens, closes], time of day
  Amount closes = unlimited;
  std::vector<DayPattern> patterns{DayPattern{}};  // at least one
  std::vector<Amount> kind_cost;  // [kind of vehicle] added for each visit, or `forbidden`; empty: all equal
};

/// Vehicles (technicians) that are alike. A technician with an own home, shift or skill is a kind with count 1.
struct VehicleKind {
  std::size_t start_place = 0;
  std::size_t end_place = 0;
  int count = 1;                           // vehicles of this kind on each of its days
  std::uint64_t days = ~std::uint64_t{0};  // days on which they work
  Amount capacity = unlimited;
  Amount earliest_start = 0;  // shift, time of day
  Amount latest_end = unlimited;
  Amount longest_duration = unlimited;  // from leaving the start to reaching the end, hard
  Amount regular_duration = unlimited;  // beyond it overtime_cost is added
  Amount duration_cost = 0;             // for each unit of time from start to end, waiting included
  Amount overtime_cost = 0;             // for each unit of time beyond regular_duration, on top of duration_cost
  Amount fixed_cost = 0;                // for each day on which the vehicle leaves
};

struct Problem {
  int days = 1;               // length of the period, at most 64
  TableView travel_cost;      // mileage and the like; wages come from duration_cost
  TableView travel_duration;  // may be the same table; may be empty when no duration matters
  std::vector<Customer> customers;
  std::vector<VehicleKind> kinds;
};

/// What is wrong with a problem, in words; empty when it can be searched.
std::vector<std::string> faults_of(Problem const& problem);

/// One vehicle on one day.
struct VehicleDay {
  int day = 0;
  int kind = 0;
  int vehicle = 0;             // 0 .. count - 1 of its kind
  std::vector<int> customers;  // in the order of visits, never empty
};

struct Solution {
  bool feasible = false;
  Amount cost = 0;
  std::vector<int> patterns;       // [customer] index into Customer::patterns
  std::vector<VehicleDay> rounds;  // by day, kind, vehicle
  std::int64_t iterations = 0;     // offspring made
};

struct SearchProgress {
  std::int64_t iterations = 0;
  Amount best_cost = 0;
  bool feasible = false;  // whether best_cost belongs to a feasible solution
};
/// Return false to stop the search; the best solution so far is kept. Called after every offspring.
using SearchObserver = std::function<bool(SearchProgress const&)>;

struct SearchOptions {
  std::uint64_t seed = 1;
  std::int64_t iterations = 5000;                // offspring at most; the result depends on this and the seed only
  std::int64_t iterations_without_gain = 20000;  // then the population starts afresh
  double seconds = 0.0;  // > 0: also stop by the clock. For benchmarks: results then depend on the machine
  int neighbours = 20;   // granularity of the neighbourhoods, in customers of the same day
};

/// Searches a solution. `problem` must have no faults. When no feasible solution exists or was found, the best
/// infeasible one is returned with `feasible == false`.
Solution search_rounds(Problem const& problem, SearchOptions const& options, SearchObserver const& observer = {});

/// A stop of one vehicle's day, for polishing.
struct TourStop {
  std::size_t place = 0;
  Amount service_duration = 0;
  Amount opens = 0;
  Amount closes = unlimited;
};

/// One vehicle's day with the stops in some order.
struct Tour {
  TableView travel_cost;
  TableView travel_duration;
  std::size_t start_place = 0;
  std::size_t end_place = 0;
  Amount leaves = 0;         // time of day
  Amount duration_cost = 0;  // for each unit of time until the end is reached
  Amount lateness_cost = 0;  // for each unit of time that a visit starts after it closes
  std::span<TourStop const> stops;
};

/// Cost of visiting tour.stops in the given order: travel, duration_cost and lateness_cost.
Amount tour_cost(Tour const& tour, std::span<int const> order);

/// Improves `order` (indices into tour.stops) by moving chains of up to three stops, turned or not, and by turning
/// sections, until no such move helps. Deterministic. Returns tour_cost of the new order, never above the old.
Amount polish_route(Tour const& tour, std::vector<int>& order);

}  // namespace brinecast::sim::search
