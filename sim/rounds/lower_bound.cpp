#include "sim/rounds/lower_bound.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "sim/rounds/round_clock.hpp"

namespace brinecast::sim {

namespace {

/// Visits as nodes; copies of a pool share their row and are never joined.
struct VisitGraph {
  std::vector<std::size_t> row;    // [visit] distinct pool
  std::vector<double> edge;        // [row][row] cheaper direction, money
  std::vector<double> from_start;  // [row]
  std::vector<double> to_end;      // [row]
  std::size_t rows = 0;
};

/// Prim's method on dense reduced costs. Fills the edges' costs and the visits' degrees.
class SpanningTree {
 public:
  explicit SpanningTree(VisitGraph const& graph)
      : graph_(&graph), parent_(graph.row.size()), cost_(graph.row.size()), in_tree_(graph.row.size()) {}

  struct Edge {
    double cost;
    std::uint32_t a, b;
  };

  /// `price` by row. Edges sorted, cheapest first.
  std::vector<Edge> const& grow(std::vector<double> const& price) {
    auto const visits = static_cast<std::uint32_t>(graph_->row.size());
    edges_.clear();
    std::fill(in_tree_.begin(), in_tree_.end(), false);
    std::fill(cost_.begin(), cost_.end(), std::numeric_limits<double>::infinity());
    std::uint32_t latest = 0;
    in_tree_[0] = true;
    for (std::uint32_t step = 1; step < visits; ++step) {
      std::size_t const row = graph_->row[latest];
      double const* const edges = graph_->edge.data() + row * graph_->rows;
      std::uint32_t next = visits;
      for (std::uint32_t visit = 0; visit < visits; ++visit) {
        if (in_tree_[visit]) continue;
        std::size_t const other = graph_->row[visit];
        double const cost = edges[other] - price[row] - price[other];
        if (cost < cost_[visit]) {
          cost_[visit] = cost;
          parent_[visit] = latest;
        }
        if (next == visits || cost_[visit] < cost_[next]) next = visit;
      }
      in_tree_[next] = true;
      edges_.push_back({cost_[next], parent_[next], next});
      latest = next;
    }
    std::sort(edges_.begin(), edges_.end(), [](Edge const& a, Edge const& b) { return a.cost < b.cost; });
    return edges_;
  }

 private:
  VisitGraph const* graph_;
  std::vector<std::uint32_t> parent_;
  std::vector<double> cost_;
  std::vector<char> in_tree_;
  std::vector<Edge> edges_;
};

VisitGraph graph_of(Scenario const& scenario, RoundClock const& clock, std::span<PeriodVisits const> visits) {
  VisitGraph graph;
  graph.rows = visits.size();
  graph.edge.assign(graph.rows * graph.rows, std::numeric_limits<double>::infinity());
  graph.from_start.assign(graph.rows, std::numeric_limits<double>::infinity());
  graph.to_end.assign(graph.rows, std::numeric_limits<double>::infinity());
  for (std::size_t row = 0; row < graph.rows; ++row) {
    std::size_t const place = place_of_pool(visits[row].pool);
    for (std::size_t other = 0; other < graph.rows; ++other) {
      std::size_t const other_place = place_of_pool(visits[other].pool);
      // Copies of one pool would join at no cost; no round visits a pool twice. A tree needs some edge where a fleet
      // has one pool only, hence not infinite.
      graph.edge[row * graph.rows + other] =
          row == other ? 1e12 : std::min(clock.drive_cost(place, other_place), clock.drive_cost(other_place, place));
    }
    for (std::size_t technician = 0; technician < scenario.technicians.size(); ++technician) {
      auto const id = static_cast<TechnicianId>(technician);
      graph.from_start[row] = std::min(graph.from_start[row], clock.drive_cost(clock.start_place(id), place));
      graph.to_end[row] = std::min(graph.to_end[row], clock.drive_cost(place, clock.end_place(id)));
    }
    for (int copy = 0; copy < visits[row].visits; ++copy) graph.row.push_back(row);
  }
  return graph;
}

/// Visits by the reduced cost of one of their depot edges, cheapest first.
std::vector<std::pair<double, std::uint32_t>> sorted_depot_edges(VisitGraph const& graph,
                                                                 std::vector<double> const& edge,
                                                                 std::vector<double> const& price) {
  std::vector<std::pair<double, std::uint32_t>> sorted;
  for (std::uint32_t visit = 0; visit < graph.row.size(); ++visit) {
    sorted.emplace_back(edge[graph.row[visit]] - price[graph.row[visit]], visit);
  }
  std::sort(sorted.begin(), sorted.end());
  return sorted;
}

}  // namespace

double rounds_lower_bound(Scenario const& scenario, TravelTable const& travel, std::span<PeriodVisits const> visits,
                          int period_days) {
  if (visits.empty() || scenario.technicians.empty()) return 0.0;
  RoundClock const clock(scenario, travel);
  VisitGraph const graph = graph_of(scenario, clock, visits);
  std::size_t const count = graph.row.size();
  double work_s = 0.0;
  for (PeriodVisits const& pool : visits) work_s += pool.visits * std::round(pool.service_s);
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

  std::vector<double> price(graph.rows, 0.0);  // of a drive's end at a visit, the same for all copies of a pool
  std::vector<int> ends(graph.rows);
  SpanningTree tree(graph);
  double best = 0.0;
  double step = -1.0;
  constexpr int steps = 120;
  for (int iteration = 0; iteration < steps; ++iteration) {
    auto const& edges = tree.grow(price);
    auto const starts = sorted_depot_edges(graph, graph.from_start, price);
    auto const stops = sorted_depot_edges(graph, graph.to_end, price);
    double constant = 0.0;
    for (std::size_t visit = 0; visit < count; ++visit) constant += 2.0 * price[graph.row[visit]];
    // The value for each number of rounds, from one round up: one edge of the tree less, one start and end more.
    double forest = 0.0;
    for (auto const& edge : edges) forest += edge.cost;
    double depots = 0.0;
    double least = std::numeric_limits<double>::infinity();
    std::size_t rounds_of_least = least_rounds;
    for (std::size_t rounds = 1; rounds <= most_rounds; ++rounds) {
      depots += starts[rounds - 1].first + stops[rounds - 1].first;
      if (rounds > 1) forest -= edges[edges.size() + 1 - rounds].cost;
      if (rounds < least_rounds) continue;
      double const overtime = overtime_per_s * std::max(0.0, work_s - static_cast<double>(rounds) * regular_day_s);
      if (forest + depots + overtime < least) {
        least = forest + depots + overtime;
        rounds_of_least = rounds;
      }
    }
    double const value = least + constant + clock.wage_per_s() * work_s;
    best = std::max(best, value);

    std::fill(ends.begin(), ends.end(), 0);
    for (std::size_t edge = 0; edge + rounds_of_least < count; ++edge) {
      ++ends[graph.row[edges[edge].a]];
      ++ends[graph.row[edges[edge].b]];
    }
    for (std::size_t round = 0; round < rounds_of_least; ++round) {
      ++ends[graph.row[starts[round].second]];
      ++ends[graph.row[stops[round].second]];
    }
    double norm2 = 0.0;
    for (std::size_t row = 0; row < graph.rows; ++row) {
      double const off = 2.0 * visits[row].visits - ends[row];
      norm2 += off * off;
    }
    if (norm2 == 0.0) break;
    if (step < 0.0) step = 0.05 * std::max(1e-9, (least + constant) / static_cast<double>(count));
    for (std::size_t row = 0; row < graph.rows; ++row) {
      price[row] += step * (2.0 * visits[row].visits - ends[row]);
    }
    step *= 0.97;
  }
  // Sums of some thousand rounded terms: far less than a billionth is lost.
  return best * (1.0 - 1e-9);
}

}  // namespace brinecast::sim
