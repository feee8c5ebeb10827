#include "sim/parallel/parallel_loop.hpp"
#include "sim/rounds/road_network.hpp"
#include "sim/rounds/shrinking_network.hpp"

namespace brinecast::sim {

std::vector<DriveCost> fastest_drive_costs(RoadNetwork const& network, std::span<std::uint32_t const> places) {
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
  parallel_loop(places.size(), [&](std::size_t row) {
    std::vector<DriveCost> const reached = small.drive_costs_from(node_of_place[row]);
    for (std::size_t column = 0; column < places.size(); ++column) {
      costs[row * places.size() + column] = reached[node_of_place[column]];
    }
  });
  return costs;
}

}  // namespace brinecast::sim
