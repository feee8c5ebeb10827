#include "sim/rounds/drive_labels.hpp"

#include <algorithm>
#include <atomic>

#include "sim/parallel/parallel_loop.hpp"
#include "sim/rounds/shrinking_network.hpp"

namespace brinecast::sim {

namespace {

using Link = ShrinkingNetwork::Link;

/// Searches towards nodes that left the network later. One for each thread.
class UpwardSearch {
 public:
  UpwardSearch(ShrinkingNetwork const& network, std::uint32_t nodes, DriveLabels::Direction direction)
      : network_(&network), forward_(direction == DriveLabels::Direction::from), reached_(nodes, no_drive) {}

  /// Nodes and their costs, by node.
  std::vector<Link> run(std::uint32_t start) {
    auto const later = [](Link const& a, Link const& b) { return a.cost > b.cost; };
    std::vector<Link> label;
    heap_.assign(1, {start, 0});
    reached_[start] = 0;
    touched_.assign(1, start);
    while (!heap_.empty()) {
      std::pop_heap(heap_.begin(), heap_.end(), later);
      Link const here = heap_.back();
      heap_.pop_back();
      if (here.cost > reached_[here.node]) continue;
      // A node that is reached faster over a later one cannot be the top of a fastest drive.
      auto const& down = forward_ ? network_->links_to(here.node) : network_->links_from(here.node);
      bool const detour = std::any_of(down.begin(), down.end(), [&](Link const& link) {
        return reached_[link.node] != no_drive && reached_[link.node] + link.cost < here.cost;
      });
      if (detour) continue;
      label.push_back(here);
      auto const& up = forward_ ? network_->links_from(here.node) : network_->links_to(here.node);
      for (Link const& link : up) {
        DriveCost const cost = here.cost + link.cost;
        if (cost >= reached_[link.node]) continue;
        if (reached_[link.node] == no_drive) touched_.push_back(link.node);
        reached_[link.node] = cost;
        heap_.push_back({link.node, cost});
        std::push_heap(heap_.begin(), heap_.end(), later);
      }
    }
    for (std::uint32_t const node : touched_) reached_[node] = no_drive;
    std::sort(label.begin(), label.end(), [](Link const& a, Link const& b) { return a.node < b.node; });
    return label;
  }

 private:
  ShrinkingNetwork const* network_;
  bool forward_;
  std::vector<DriveCost> reached_;
  std::vector<std::uint32_t> touched_;
  std::vector<Link> heap_;
};

}  // namespace

DriveLabels::DriveLabels(RoadNetwork const& network, std::span<std::uint32_t const> places) : hubs_(network.nodes()) {
  ShrinkingNetwork shrinking(network);
  shrinking.shrink(std::vector<char>(network.nodes(), false), ShrinkingNetwork::Until::empty);
  for (Direction const direction : {Direction::from, Direction::to}) {
    std::vector<std::vector<Link>> label_of(places.size());
    std::atomic<std::size_t> next_place{0};
    parallel_loop(static_cast<std::size_t>(threads_at_hand()), [&](std::size_t) {
      UpwardSearch upward(shrinking, network.nodes(), direction);
      for (std::size_t place = next_place++; place < places.size(); place = next_place++) {
        label_of[place] = upward.run(places[place]);
        label_of[place].shrink_to_fit();
      }
    });
    Labels& labels = direction == Direction::from ? from_ : to_;
    labels.begin.assign(1, 0);
    for (auto const& label : label_of) labels.begin.push_back(labels.begin.back() + label.size());
    labels.hub.reserve(labels.begin.back());
    labels.cost.reserve(labels.begin.back());
    for (auto& label : label_of) {
      for (Link const& link : label) {
        labels.hub.push_back(link.node);
        labels.cost.push_back(link.cost);
      }
      label = {};
    }
  }
}

DriveLabels DriveLabels::of_places(std::vector<std::size_t> const& chosen) const {
  DriveLabels labels;
  labels.hubs_ = hubs_;
  auto const copy = [&](Labels const& all, Labels& some) {
    some.begin.assign(1, 0);
    for (std::size_t const place : chosen) {
      auto const first = static_cast<std::ptrdiff_t>(all.begin[place]);
      auto const last = static_cast<std::ptrdiff_t>(all.begin[place + 1]);
      some.hub.insert(some.hub.end(), all.hub.begin() + first, all.hub.begin() + last);
      some.cost.insert(some.cost.end(), all.cost.begin() + first, all.cost.begin() + last);
      some.begin.push_back(some.hub.size());
    }
  };
  copy(from_, labels.from_);
  copy(to_, labels.to_);
  return labels;
}

DriveCost DriveLabels::cost(std::size_t from, std::size_t to) const {
  std::size_t a = from_.begin[from];
  std::size_t b = to_.begin[to];
  std::size_t const a_end = from_.begin[from + 1];
  std::size_t const b_end = to_.begin[to + 1];
  DriveCost best = no_drive;
  while (a < a_end && b < b_end) {
    std::uint32_t const hub_a = from_.hub[a];
    std::uint32_t const hub_b = to_.hub[b];
    if (hub_a == hub_b) best = std::min(best, from_.cost[a] + to_.cost[b]);
    a += hub_a <= hub_b;
    b += hub_b <= hub_a;
  }
  return best;
}

std::vector<std::vector<DriveLabels::Near>> DriveLabels::nearest(std::size_t candidates, std::size_t count,
                                                                 Direction direction) const {
  Labels const& own = direction == Direction::from ? from_ : to_;
  Labels const& others = direction == Direction::from ? to_ : from_;
  auto const nearer = [](Near const& a, Near const& b) {
    return a.cost != b.cost ? a.cost < b.cost : a.place < b.place;
  };
  // Over each node only the nearest of the others count, and one more where the place itself is among them.
  std::vector<std::vector<Near>> over(hubs_);
  for (std::size_t place = 0; place < candidates; ++place) {
    for (std::size_t entry = others.begin[place]; entry < others.begin[place + 1]; ++entry) {
      over[others.hub[entry]].push_back({static_cast<std::uint32_t>(place), others.cost[entry]});
    }
  }
  for (auto& list : over) {
    std::size_t const kept = std::min(list.size(), count + 1);
    std::partial_sort(list.begin(), list.begin() + static_cast<std::ptrdiff_t>(kept), list.end(), nearer);
    list.resize(kept);
    list.shrink_to_fit();
  }
  std::vector<std::vector<Near>> all(candidates);
  std::vector<DriveCost> best(candidates, no_drive);
  for (std::size_t place = 0; place < candidates; ++place) {
    std::vector<Near>& list = all[place];
    for (std::size_t entry = own.begin[place]; entry < own.begin[place + 1]; ++entry) {
      for (Near const& other : over[own.hub[entry]]) {
        if (other.place == place) continue;
        if (best[other.place] == no_drive) list.push_back({other.place, 0});
        best[other.place] = std::min(best[other.place], own.cost[entry] + other.cost);
      }
    }
    for (Near& other : list) {
      other.cost = best[other.place];
      best[other.place] = no_drive;
    }
    std::size_t const kept = std::min(list.size(), count);
    std::partial_sort(list.begin(), list.begin() + static_cast<std::ptrdiff_t>(kept), list.end(), nearer);
    list.resize(kept);
    list.shrink_to_fit();
  }
  return all;
}

}  // namespace brinecast::sim
