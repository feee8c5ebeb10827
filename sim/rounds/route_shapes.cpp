#include "sim/rounds/route_shapes.hpp"

#include "sim/rounds/road_network.hpp"

namespace brinecast::sim {

namespace {

/// Places in the order in which a round comes to them, restocking included.
std::vector<std::size_t> places_driven(Scenario const& scenario, Round const& round) {
  std::vector<std::size_t> driven{place_of_start(scenario, round.technician)};
  for (PlannedStop const& stop : round.stops) {
    if (stop.restocked_before) driven.push_back(place_of_start(scenario, round.technician));
    driven.push_back(place_of_pool(stop.pool));
  }
  driven.push_back(place_of_end(scenario, round.technician));
  return driven;
}

}  // namespace

std::vector<std::vector<Position>> route_shapes(Scenario const& scenario, RoundsPlan const& plan, Problems& problems) {
  std::vector<Position> const places = places_of(scenario);
  PlacesOnRoads roads;
  if (scenario.roads.kind == RoadKind::osm_extract) {
    roads = put_on_roads(read_road_extract(scenario.roads.file, scenario.roads.speed_factor, problems), places);
    if (roads.network.nodes() == 0) return {};
  }
  std::vector<std::vector<Position>> shapes;
  for (Round const& round : plan.rounds) {
    std::vector<Position> shape;
    std::vector<std::size_t> const driven = places_driven(scenario, round);
    if (scenario.roads.kind == RoadKind::osm_extract) {
      for (std::size_t leg = 1; leg < driven.size(); ++leg) {
        auto const nodes =
            roads.network.fastest_drive(roads.node_of_place[driven[leg - 1]], roads.node_of_place[driven[leg]]);
        // A leg begins where the one before ended.
        for (std::size_t node = shape.empty() ? 0 : 1; node < nodes.size(); ++node) {
          shape.push_back(roads.network.position(nodes[node]));
        }
      }
      if (shape.size() == 1) shape.push_back(shape.front());
    } else {
      for (std::size_t const place : driven) shape.push_back(places[place]);
    }
    shapes.push_back(std::move(shape));
  }
  return shapes;
}

}  // namespace brinecast::sim
