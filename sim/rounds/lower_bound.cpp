#include "sim/rounds/lower_bound.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <tuple>

#include "sim/rounds/round_clock.hpp"

namespace brinecast::sim {

namespace {

constexpr std::size_t neighbours_of_a_pool = 24;

/// Edges between pools, and what the edges that are not listed cost at least.
struct PoolGraph {
  struct Edge {
    std::uint32_t a, b;
    double time_s, mileage;  // of the cheaper direction each: no drive either way is below
  };
  std::vector<Edge> edges;
  std::vector<Drive> beyond;              // [pool of the graph] to every pool it has no edge with
  std::vector<Drive> from_start, to_end;  // [pool of the graph] least time, least way
  bool complete = false;
};

Drive least_of(Drive a, Drive b) { return {std::min(a.seconds, b.seconds), std::min(a.metres, b.metres)}; }

PoolGraph graph_of(Scenario const& scenario, TravelTable const& travel, std::span<PeriodVisits const> visits) {
  PoolGraph graph;
  constexpr auto absent = std::numeric_limits<std::uint32_t>::max();
  std::vector<std::uint32_t> row_of(scenario.pools.size(), absent);
  for (std::size_t row = 0; row < visits.size(); ++row) {
    row_of[index_of(visits[row].pool)] = static_cast<std::uint32_t>(row);
  }
  auto const near = travel.neighbours(scenario.pools.size(), neighbours_of_a_pool);
  graph.complete = neighbours_of_a_pool + 1 >= scenario.pools.size();
  std::vector<std::pair<std::uint32_t, std::uint32_t>> pairs;
  for (std::uint32_t row = 0; row < visits.size(); ++row) {
    std::size_t const pool = index_of(visits[row].pool);
    for (auto const* const list : {&near.from[pool], &near.to[pool]}) {
      for (std::uint32_t const other : *list) {
        if (row_of[other] != absent) pairs.emplace_back(std::minmax(row, row_of[other]));
      }
    }
    graph.beyond.push_back(near.beyond[pool]);
  }
  std::sort(pairs.begin(), pairs.end());
  pairs.erase(std::unique(pairs.begin(), pairs.end()), pairs.end());
  for (auto const& [a, b] : pairs) {
    std::size_t const place_a = place_of_pool(visits[a].pool);
    std::size_t const place_b = place_of_pool(visits[b].pool);
    Drive const least = least_of(travel.drive(place_a, place_b), travel.drive(place_b, place_a));
    graph.edges.push_back({a, b, static_cast<double>(least.seconds), static_cast<double>(least.metres)});
  }
  // Technicians often share a start or an end.
  std::vector<std::size_t> starts, ends;
  auto const add_place = [](std::vector<std::size_t>& places, std::size_t place,
                            std::vector<Position> const& positions) {
    bool const known = std::any_of(places.begin(), places.end(), [&](std::size_t other) {
      return positions[other].longitude_deg == positions[place].longitude_deg &&
             positions[other].latitude_deg == positions[place].latitude_deg;
    });
    if (!known) places.push_back(place);
  };
  std::vector<Position> const positions = places_of(scenario);
  for (std::size_t technician = 0; technician < scenario.technicians.size(); ++technician) {
    add_place(starts, place_of_start(scenario, static_cast<TechnicianId>(technician)), positions);
    add_place(ends, place_of_end(scenario, static_cast<TechnicianId>(technician)), positions);
  }
  for (PeriodVisits const& pool : visits) {
    std::size_t const place = place_of_pool(pool.pool);
    Drive from{std::numeric_limits<std::int32_t>::max(), std::numeric_limits<std::int32_t>::max()};
    Drive to = from;
    for (std::size_t const start : starts) from = least_of(from, travel.drive(start, place));
    for (std::size_t const end : ends) to = least_of(to, travel.drive(place, end));
    graph.from_start.push_back(from);
    graph.to_end.push_back(to);
  }
  return graph;
}

/// Kruskal's method on reduced costs over visits. Copies of a pool have the same neighbours, so that every copy beyond
/// the first joins a cheapest tree over its pool's cheapest edge.
class CheapestTree {
 public:
  struct Edge {
    double cost;  // reduced
    double time_s;
    std::uint32_t a, b;
  };

  CheapestTree(PoolGraph const& graph, std::span<PeriodVisits const> visits)
      : graph_(&graph), visits_(visits), parent_(visits.size()) {}

  /// Edges of the tree, cheapest first. Money of a second and of a metre; `price` by pool.
  std::vector<Edge> const& grow(double per_s, double per_m, std::vector<double> const& price) {
    std::size_t const pools = visits_.size();
    offered_.clear();
    for (PoolGraph::Edge const& edge : graph_->edges) {
      double const cost = per_s * edge.time_s + per_m * edge.mileage - price[edge.a] - price[edge.b];
      offered_.push_back({cost, edge.time_s, edge.a, edge.b});
    }
    // An edge that is not listed costs at least the mean of what its two ends ask for. Among edges priced by their ends
    // a star around the cheapest end is a cheapest tree.
    auto const half = [&](std::size_t pool) {
      if (graph_->complete) return unlisted / 2.0;
      Drive const& beyond = graph_->beyond[pool];
      return 0.5 * (per_s * beyond.seconds + per_m * beyond.metres) - price[pool];
    };
    std::uint32_t centre = 0;
    for (std::uint32_t pool = 1; pool < pools; ++pool) {
      if (half(pool) < half(centre)) centre = pool;
    }
    for (std::uint32_t pool = 0; pool < pools; ++pool) {
      if (pool == centre) continue;
      double const time_s =
          graph_->complete ? 0.0 : 0.5 * (graph_->beyond[pool].seconds + graph_->beyond[centre].seconds);
      offered_.push_back({half(pool) + half(centre), time_s, pool, centre});
    }
    std::sort(offered_.begin(), offered_.end(),
              [](Edge const& x, Edge const& y) { return std::tie(x.cost, x.a, x.b) < std::tie(y.cost, y.a, y.b); });
    std::iota(parent_.begin(), parent_.end(), 0U);
    chosen_.clear();
    copies_left_.clear();
    for (PeriodVisits const& pool : visits_) copies_left_.push_back(pool.visits - 1);
    for (Edge const& edge : offered_) {
      // Offered cheapest first: the first edge at a pool is the one that all its further copies take.
      for (std::uint32_t const pool : {edge.a, edge.b}) {
        for (; copies_left_[pool] > 0; --copies_left_[pool]) chosen_.push_back(edge);
      }
      std::uint32_t const a = root(edge.a);
      std::uint32_t const b = root(edge.b);
      if (a == b) continue;
      parent_[a] = b;
      chosen_.push_back(edge);
    }
    // A fleet of one pool has no edge: rounds that visit it twice are not allowed.
    for (std::uint32_t pool = 0; pool < pools; ++pool) {
      for (; copies_left_[pool] > 0; --copies_left_[pool]) chosen_.push_back({unlisted, 0.0, pool, pool});
    }
    return chosen_;
  }

 private:
  static constexpr double unlisted = 1e12;  // money; stands for edges that are not there

  std::uint32_t root(std::uint32_t pool) {
    while (parent_[pool] != pool) {
      parent_[pool] = parent_[parent_[pool]];
      pool = parent_[pool];
    }
    return pool;
  }

  PoolGraph const* graph_;
  std::span<PeriodVisits const> visits_;
  std::vector<std::uint32_t> parent_;
  std::vector<Edge> offered_, chosen_;
  std::vector<int> copies_left_;
};

/// Depot edges by reduced cost, cheapest first, one for each visit.
void sort_depot_edges(std::vector<Drive> const& drives, std::span<PeriodVisits const> visits, double per_s,
                      double per_m, std::vector<double> const& price,
                      std::vector<std::pair<double, std::uint32_t>>& sorted) {
  sorted.clear();
  for (std::uint32_t pool = 0; pool < visits.size(); ++pool) {
    double const cost = per_s * drives[pool].seconds + per_m * drives[pool].metres - price[pool];
    for (int copy = 0; copy < visits[pool].visits; ++copy) sorted.emplace_back(cost, pool);
  }
  std::sort(sorted.begin(), sorted.end());
}

}  // namespace

double rounds_lower_bound(Scenario const& scenario, TravelTable const& travel, std::span<PeriodVisits const> visits,
                          int period_days) {
  if (visits.empty() || scenario.technicians.empty()) return 0.0;
  RoundClock const clock(scenario, travel);
  PoolGraph const graph = graph_of(scenario, travel, visits);
  std::size_t count = 0;
  double work_s = 0.0;
  for (PeriodVisits const& pool : visits) {
    count += static_cast<std::size_t>(pool.visits);
    work_s += pool.visits * std::round(pool.service_s);
  }
  double longest_day_s = 0.0;  // of work that one round can hold
  double regular_day_s = 0.0;  // before overtime begins
  for (Technician const& technician : scenario.technicians) {
    double const without_break_s = technician.shift_length_s - technician.break_s;
    double const half_s = technician.shift_length_s / 2.0;
    longest_day_s = std::max({longest_day_s, without_break_s + technician.overtime_limit_s, half_s});
    regular_day_s = std::max({regular_day_s, without_break_s, half_s});
  }
  auto const most_rounds = std::min(count, scenario.technicians.size() * static_cast<std::size_t>(period_days));
  auto const least_rounds = std::clamp<std::size_t>(
      static_cast<std::size_t>(std::ceil(work_s / std::max(1.0, longest_day_s + 1.0))), 1, most_rounds);
  double const overtime_per_s = clock.wage_per_s() * (scenario.prices.overtime_factor - 1.0);

  std::vector<double> price(visits.size(), 0.0);  // of a drive's end at a visit, the same for all copies of a pool
  double overtime_share = 0.0;                    // of the surcharge that every second pays, shifts pay back
  std::vector<int> ends(visits.size());
  std::vector<std::pair<double, std::uint32_t>> starts, stops;
  CheapestTree tree(graph, visits);
  double best = 0.0;
  double step = -1.0;
  double share_step = 0.5;
  constexpr int steps = 150;
  for (int iteration = 0; iteration < steps; ++iteration) {
    double const surcharge = overtime_share * overtime_per_s;
    double const per_s = clock.wage_per_s() + surcharge;
    auto const& edges = tree.grow(per_s, clock.driving_per_m(), price);
    sort_depot_edges(graph.from_start, visits, per_s, clock.driving_per_m(), price, starts);
    sort_depot_edges(graph.to_end, visits, per_s, clock.driving_per_m(), price, stops);
    double constant = per_s * work_s;
    for (std::size_t pool = 0; pool < visits.size(); ++pool) constant += 2.0 * visits[pool].visits * price[pool];
    // The value for each number of rounds, from one round up: one edge of the tree less, one start and end more, the
    // surcharge of one more shift back.
    double forest = 0.0;
    for (auto const& edge : edges) forest += edge.cost;
    double depots = 0.0;
    double least = std::numeric_limits<double>::infinity();
    std::size_t rounds_of_least = least_rounds;
    for (std::size_t rounds = 1; rounds <= most_rounds; ++rounds) {
      depots += starts[rounds - 1].first + stops[rounds - 1].first;
      if (rounds > 1) forest -= edges[edges.size() + 1 - rounds].cost;
      if (rounds < least_rounds) continue;
      double const value = forest + depots - surcharge * static_cast<double>(rounds) * regular_day_s;
      if (value < least) {
        least = value;
        rounds_of_least = rounds;
      }
    }
    best = std::max(best, least + constant);

    std::fill(ends.begin(), ends.end(), 0);
    double duration_s = work_s;
    for (std::size_t edge = 0; edge + rounds_of_least < count; ++edge) {
      ++ends[edges[edge].a];
      ++ends[edges[edge].b];
      duration_s += edges[edge].time_s;
    }
    for (std::size_t round = 0; round < rounds_of_least; ++round) {
      ++ends[starts[round].second];
      ++ends[stops[round].second];
      duration_s += graph.from_start[starts[round].second].seconds + graph.to_end[stops[round].second].seconds;
    }
    double norm2 = 0.0;
    for (std::size_t pool = 0; pool < visits.size(); ++pool) {
      double const off = 2.0 * visits[pool].visits - ends[pool];
      norm2 += off * off;
    }
    double const shifts_s = static_cast<double>(rounds_of_least) * regular_day_s;
    double const share_before = overtime_share;
    overtime_share = std::clamp(overtime_share + share_step * 10.0 * (duration_s - shifts_s) / shifts_s, 0.0, 1.0);
    if (norm2 == 0.0 && overtime_share == share_before) break;
    if (step < 0.0) step = 0.05 * std::max(1e-9, (least + constant - per_s * work_s) / static_cast<double>(count));
    for (std::size_t pool = 0; pool < visits.size(); ++pool) {
      price[pool] += step * (2.0 * visits[pool].visits - ends[pool]);
    }
    step *= 0.97;
    share_step *= 0.97;
  }
  // Sums of some thousand rounded terms: far less than a billionth is lost.
  return best * (1.0 - 1e-9);
}

}  // namespace brinecast::sim
