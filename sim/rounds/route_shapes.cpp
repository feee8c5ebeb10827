#include "sim/rounds/route_shapes.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "sim/rounds/road_network.hpp"
#include "sim/scenario/earth.hpp"

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

void append(std::vector<Position>& line, Position position) {
  bool const repeated = !line.empty() && line.back().longitude_deg == position.longitude_deg &&
                        line.back().latitude_deg == position.latitude_deg;
  if (!repeated) line.push_back(position);
}

/// Lines made leg by leg; `append_leg` adds the way from one place to the next.
template <class AppendLeg>
RouteShapes shapes_of(Scenario const& scenario, std::vector<RoundsPlan> const& plans, AppendLeg const& append_leg) {
  RouteShapes shapes;
  for (RoundsPlan const& plan : plans) {
    shapes.emplace_back();
    for (Round const& round : plan.rounds) {
      std::vector<Position> line;
      auto const driven = places_driven(scenario, round);
      for (std::size_t leg = 1; leg < driven.size(); ++leg) append_leg(line, driven[leg - 1], driven[leg]);
      // A round that never leaves its place is a line of two equal ends.
      if (line.size() == 1) line.push_back(line.front());
      shapes.back().push_back(std::move(line));
    }
  }
  return shapes;
}

/// Drives on the roads of an extract; one that several rounds share is searched once.
class RoadDrives {
 public:
  RoadDrives(PlacesOnRoads const& roads) : roads_(roads), search_(roads.network) {}
  /// Nodes from place to place, both ends included.
  std::vector<std::uint32_t> const& between(std::size_t from, std::size_t to) {
    auto const [found, is_new] = drives_.try_emplace({from, to});
    if (is_new) found->second = search_.fastest_drive(roads_.node_of_place[from], roads_.node_of_place[to]);
    return found->second;
  }

 private:
  PlacesOnRoads const& roads_;
  DriveSearch search_;
  std::map<std::pair<std::size_t, std::size_t>, std::vector<std::uint32_t>> drives_;
};

/// Distance of a point from a straight piece, both in metres on a plane.
struct PlanePoint {
  double x = 0.0, y = 0.0;
};
double distance_m(PlanePoint point, PlanePoint from, PlanePoint to) {
  double const dx = to.x - from.x, dy = to.y - from.y;
  double const length_squared = dx * dx + dy * dy;
  double const along = length_squared > 0.0
                           ? std::clamp(((point.x - from.x) * dx + (point.y - from.y) * dy) / length_squared, 0.0, 1.0)
                           : 0.0;
  return std::hypot(point.x - from.x - along * dx, point.y - from.y - along * dy);
}

}  // namespace

RouteShapes route_shapes(Scenario const& scenario, std::vector<RoundsPlan> const& plans, Problems& problems) {
  if (scenario.roads.kind != RoadKind::osm_extract) return straight_shapes(scenario, plans);
  auto const roads =
      put_on_roads(read_road_extract(scenario.roads.file, scenario.roads.speed_factor, problems), places_of(scenario));
  if (roads.network.nodes() == 0) return {};
  RoadDrives drives(roads);
  return shapes_of(scenario, plans, [&](std::vector<Position>& line, std::size_t from, std::size_t to) {
    for (auto const node : drives.between(from, to)) append(line, roads.network.position(node));
  });
}

RouteShapes straight_shapes(Scenario const& scenario, std::vector<RoundsPlan> const& plans) {
  auto const places = places_of(scenario);
  return shapes_of(scenario, plans, [&](std::vector<Position>& line, std::size_t from, std::size_t to) {
    append(line, places[from]);
    append(line, places[to]);
  });
}

std::vector<Position> thinned(std::vector<Position> const& line, double tolerance_m) {
  if (line.size() < 3) return line;
  double const shrink = std::cos(line.front().latitude_deg * std::numbers::pi / 180.0);
  std::vector<PlanePoint> points;
  for (Position const position : line) {
    points.push_back({position.longitude_deg * shrink * metres_per_degree, position.latitude_deg * metres_per_degree});
  }
  std::vector<bool> kept(line.size(), false);
  kept.front() = kept.back() = true;
  std::vector<std::pair<std::size_t, std::size_t>> pieces{{0, line.size() - 1}};
  while (!pieces.empty()) {
    auto const [first, last] = pieces.back();
    pieces.pop_back();
    std::size_t farthest = first;
    double largest_m = tolerance_m;
    for (std::size_t i = first + 1; i < last; ++i) {
      double const off_m = distance_m(points[i], points[first], points[last]);
      if (off_m > largest_m) {
        largest_m = off_m;
        farthest = i;
      }
    }
    if (farthest == first) continue;
    kept[farthest] = true;
    pieces.emplace_back(first, farthest);
    pieces.emplace_back(farthest, last);
  }
  std::vector<Position> left;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (kept[i]) left.push_back(line[i]);
  }
  return left;
}

}  // namespace brinecast::sim
