#include "sim/rounds/road_network.hpp"

#include <algorithm>
#include <boost/graph/dijkstra_shortest_paths_no_color_map.hpp>
#include <boost/graph/strong_components.hpp>
#include <boost/range/iterator_range.hpp>
#include <functional>
#include <queue>
#include <tuple>

namespace brinecast::sim {

RoadNetwork::RoadNetwork(std::vector<Position> positions, std::vector<RoadArc> arcs)
    : positions_(std::move(positions)) {
  std::sort(arcs.begin(), arcs.end(), [](RoadArc const& a, RoadArc const& b) {
    return std::tie(a.from, a.to, a.cost) < std::tie(b.from, b.to, b.cost);
  });
  auto const parallel = [](RoadArc const& a, RoadArc const& b) { return a.from == b.from && a.to == b.to; };
  arcs.erase(std::unique(arcs.begin(), arcs.end(), parallel), arcs.end());
  std::vector<std::pair<std::uint32_t, std::uint32_t>> ends;
  std::vector<ArcTraits> traits;
  ends.reserve(arcs.size());
  traits.reserve(arcs.size());
  for (auto const& arc : arcs) {
    ends.emplace_back(arc.from, arc.to);
    traits.push_back({arc.cost, arc.may_stop});
  }
  graph_ = Graph(boost::edges_are_sorted, ends.begin(), ends.end(), traits.begin(), nodes(),
                 static_cast<std::uint32_t>(ends.size()));
}

std::vector<RoadArc> RoadNetwork::arcs() const {
  std::vector<RoadArc> all;
  all.reserve(boost::num_edges(graph_));
  for (auto [arc, end] = boost::edges(graph_); arc != end; ++arc) {
    auto const& traits = graph_[*arc];
    all.push_back({boost::source(*arc, graph_), boost::target(*arc, graph_), traits.cost, traits.may_stop});
  }
  return all;
}

RoadNetwork RoadNetwork::largest_connected_part() const {
  if (nodes() == 0) return {};
  std::vector<std::uint32_t> part_of(nodes());
  auto const index = boost::get(boost::vertex_index, graph_);
  std::uint32_t const parts =
      boost::strong_components(graph_, boost::make_iterator_property_map(part_of.begin(), index));
  std::vector<std::uint32_t> sizes(parts, 0);
  for (std::uint32_t const part : part_of) ++sizes[part];
  auto const largest = static_cast<std::uint32_t>(std::max_element(sizes.begin(), sizes.end()) - sizes.begin());
  std::vector<std::uint32_t> new_node(nodes());
  std::vector<Position> kept;
  for (std::uint32_t node = 0; node < nodes(); ++node) {
    new_node[node] = static_cast<std::uint32_t>(kept.size());
    if (part_of[node] == largest) kept.push_back(positions_[node]);
  }
  std::vector<RoadArc> kept_arcs;
  for (RoadArc arc : arcs()) {
    if (part_of[arc.from] != largest || part_of[arc.to] != largest) continue;
    arc.from = new_node[arc.from];
    arc.to = new_node[arc.to];
    kept_arcs.push_back(arc);
  }
  return {std::move(kept), std::move(kept_arcs)};
}

std::vector<DriveCost> RoadNetwork::drive_costs_from(std::uint32_t start) const {
  std::vector<DriveCost> costs(nodes());
  boost::dijkstra_shortest_paths_no_color_map(
      graph_, start,
      boost::weight_map(boost::get(&ArcTraits::cost, graph_))
          .distance_map(boost::make_iterator_property_map(costs.begin(), boost::get(boost::vertex_index, graph_)))
          .distance_inf(no_drive)
          .distance_zero(DriveCost{0}));
  return costs;
}

DriveSearch::DriveSearch(RoadNetwork const& network)
    : network_(network), costs_(network.nodes(), no_drive), before_(network.nodes()) {}

std::vector<std::uint32_t> DriveSearch::fastest_drive(std::uint32_t from, std::uint32_t to) {
  for (auto const node : touched_) costs_[node] = no_drive;
  touched_.assign(1, from);
  costs_[from] = 0;
  // Dijkstra's method; equal costs are settled by node number, so that the drive does not depend on the heap.
  using Entry = std::pair<DriveCost, std::uint32_t>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
  open.emplace(0, from);
  auto const& graph = network_.graph();
  while (!open.empty()) {
    auto const [cost, node] = open.top();
    open.pop();
    if (node == to) break;
    if (cost > costs_[node]) continue;
    for (auto const arc : boost::make_iterator_range(boost::out_edges(node, graph))) {
      auto const next = static_cast<std::uint32_t>(boost::target(arc, graph));
      DriveCost const there = cost + graph[arc].cost;
      if (there >= costs_[next]) continue;
      if (costs_[next] == no_drive) touched_.push_back(next);
      costs_[next] = there;
      before_[next] = node;
      open.emplace(there, next);
    }
  }
  if (costs_[to] == no_drive) return {};
  std::vector<std::uint32_t> drive{to};
  while (drive.back() != from) drive.push_back(before_[drive.back()]);
  std::reverse(drive.begin(), drive.end());
  return drive;
}

}  // namespace brinecast::sim
