#include <atomic>
#include <thread>

#include "sim/rounds/road_network.hpp"
#include "sim/rounds/shrinking_network.hpp"

namespace brinecast::sim {

std::vector<DriveCost> fastest_drive_costs(RoadNetwork const& network, std::span<std::uint32_t const> places,
                                           unsigned threads) {
  std::vector<std::uint32_t> node_of_place;
  RoadNetwork small;
  {
    std::vector<char> kept(network.nodes(), false);
    for (std::uint32_t const place : places) kept[place] = true;
    ShrinkingNetwork shrinking(network);
    shrinking.shrink(kept, ShrinkingNetwork::Until::simple);
    std::vector<std::uint32_t> new_node;
    small = shrinking.rest(network, new_node);
    for (std::uint32_t const place : places) node_of_place.push_back(new_node[place]);
  }
  std::vector<DriveCost> costs(places.size() * places.size());
  std::atomic<std::size_t> next_row{0};
  auto const fill_rows = [&] {
    for (std::size_t row = next_row++; row < places.size(); row = next_row++) {
      std::vector<DriveCost> const reached = small.drive_costs_from(node_of_place[row]);
      for (std::size_t column = 0; column < places.size(); ++column) {
        costs[row * places.size() + column] = reached[node_of_place[column]];
      }
    }
  };
  std::vector<std::jthread> helpers;
  for (unsigned helper = 1; helper < threads; ++helper) helpers.emplace_back(fill_rows);
  fill_rows();
  helpers.clear();
  return costs;
}

}  // namespace brinecast::sim
