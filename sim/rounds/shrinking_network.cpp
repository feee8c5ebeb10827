#include "sim/rounds/shrinking_network.hpp"

#include <algorithm>
#include <queue>
#include <tuple>

namespace brinecast::sim {

namespace {

using Link = ShrinkingNetwork::Link;

void add_link(std::vector<Link>& links, Link link) {
  for (Link& known : links) {
    if (known.node == link.node) {
      known.cost = std::min(known.cost, link.cost);
      return;
    }
  }
  links.push_back(link);
}

void drop_link(std::vector<Link>& links, std::uint32_t node) {
  auto const found = std::find_if(links.begin(), links.end(), [&](Link const& link) { return link.node == node; });
  if (found != links.end()) {
    *found = links.back();
    links.pop_back();
  }
}

}  // namespace

ShrinkingNetwork::ShrinkingNetwork(RoadNetwork const& network)
    : out_(network.nodes()),
      in_(network.nodes()),
      reached_(network.nodes(), no_drive),
      gone_(network.nodes(), false),
      depth_(network.nodes(), 0) {
  auto const& graph = network.graph();
  for (auto [arc, end] = boost::edges(graph); arc != end; ++arc) {
    auto const from = boost::source(*arc, graph);
    auto const to = boost::target(*arc, graph);
    if (from != to) join(from, to, graph[*arc].cost);
  }
}

void ShrinkingNetwork::shrink(std::vector<char> const& kept, Until until) {
  using Entry = std::pair<int, std::uint32_t>;  // priority, node; the number breaks ties
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> simplest_first;
  for (std::uint32_t node = 0; node < out_.size(); ++node) {
    if (!kept[node]) simplest_first.emplace(-2 * static_cast<int>(in_[node].size() + out_[node].size()), node);
  }
  while (!simplest_first.empty()) {
    auto const [known_priority, node] = simplest_first.top();
    simplest_first.pop();
    find_shortcuts(node);
    int const growth = static_cast<int>(shortcuts_.size()) - static_cast<int>(in_[node].size() + out_[node].size());
    int const priority = 2 * growth + depth_[node];
    if (!simplest_first.empty() && priority > simplest_first.top().first && priority > known_priority) {
      // Priorities only rise, so a node is looked at again when its turn comes.
      simplest_first.emplace(priority, node);
      continue;
    }
    if (until == Until::simple && growth > largest_growth) continue;
    take_out(node);
  }
}

RoadNetwork ShrinkingNetwork::rest(RoadNetwork const& network, std::vector<std::uint32_t>& new_node) const {
  std::vector<Position> positions;
  new_node.assign(out_.size(), 0);
  for (std::uint32_t node = 0; node < out_.size(); ++node) {
    new_node[node] = static_cast<std::uint32_t>(positions.size());
    if (!gone_[node]) positions.push_back(network.position(node));
  }
  std::vector<RoadArc> arcs;
  for (std::uint32_t node = 0; node < out_.size(); ++node) {
    if (gone_[node]) continue;
    for (Link const& link : out_[node]) arcs.push_back({new_node[node], new_node[link.node], link.cost, true});
  }
  return {std::move(positions), std::move(arcs)};
}

void ShrinkingNetwork::join(std::uint32_t from, std::uint32_t to, DriveCost cost) {
  add_link(out_[from], {to, cost});
  add_link(in_[to], {from, cost});
}

/// Pairs of neighbours of `node` whose fastest drive may lead through it.
void ShrinkingNetwork::find_shortcuts(std::uint32_t node) {
  shortcuts_.clear();
  for (Link const& from : in_[node]) {
    DriveCost farthest = 0;
    bool leads_on = false;
    for (Link const& to : out_[node]) {
      if (to.node == from.node) continue;
      leads_on = true;
      farthest = std::max(farthest, from.cost + to.cost);
    }
    if (!leads_on) continue;
    bool const worth_looking = in_[node].size() > 2 || out_[node].size() > 2;
    if (worth_looking) look_around(from.node, node, farthest);
    for (Link const& to : out_[node]) {
      if (to.node == from.node) continue;
      DriveCost const cost = from.cost + to.cost;
      if (!worth_looking || reached_[to.node] > cost) shortcuts_.push_back({from.node, to.node, cost, true});
    }
    for (std::uint32_t const touched : touched_) reached_[touched] = no_drive;
    touched_.clear();
  }
}

/// A short search from `start` that avoids `avoided`; leaves upper bounds of distances in `reached_`.
void ShrinkingNetwork::look_around(std::uint32_t start, std::uint32_t avoided, DriveCost farthest) {
  auto const later = [](Link const& a, Link const& b) { return a.cost > b.cost; };
  heap_.clear();
  heap_.push_back({start, 0});
  reached_[start] = 0;
  touched_.push_back(start);
  int settled = 0;
  while (!heap_.empty() && settled < witness_settled) {
    std::pop_heap(heap_.begin(), heap_.end(), later);
    Link const here = heap_.back();
    heap_.pop_back();
    if (here.cost > reached_[here.node]) continue;
    if (here.cost > farthest) break;
    ++settled;
    for (Link const& link : out_[here.node]) {
      DriveCost const cost = here.cost + link.cost;
      if (link.node == avoided || cost > farthest || cost >= reached_[link.node]) continue;
      if (reached_[link.node] == no_drive) touched_.push_back(link.node);
      reached_[link.node] = cost;
      heap_.push_back({link.node, cost});
      std::push_heap(heap_.begin(), heap_.end(), later);
    }
  }
}

void ShrinkingNetwork::take_out(std::uint32_t node) {
  for (Link const& from : in_[node]) {
    drop_link(out_[from.node], node);
    depth_[from.node] = std::max(depth_[from.node], depth_[node] + 1);
  }
  for (Link const& to : out_[node]) {
    drop_link(in_[to.node], node);
    depth_[to.node] = std::max(depth_[to.node], depth_[node] + 1);
  }
  gone_[node] = true;
  for (RoadArc const& shortcut : shortcuts_) join(shortcut.from, shortcut.to, shortcut.cost);
}

}  // namespace brinecast::sim
