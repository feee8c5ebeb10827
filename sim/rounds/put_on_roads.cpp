// Puts places on the nearest stretch of road.

#include <algorithm>
#include <boost/geometry.hpp>
#include <boost/geometry/index/rtree.hpp>
#include <cmath>
#include <numbers>
#include <tuple>

#include "sim/rounds/road_network.hpp"
#include "sim/scenario/earth.hpp"

namespace brinecast::sim {

namespace {

namespace geometry = boost::geometry;
using Point = geometry::model::d2::point_xy<double>;
using Segment = geometry::model::segment<Point>;

/// Metres east and north of a reference point: exact enough within a region that vans serve in a day.
class LocalMap {
 public:
  explicit LocalMap(Position reference)
      : reference_(reference),
        east_m_per_deg_(metres_per_degree * std::cos(reference.latitude_deg * std::numbers::pi / 180.0)) {}
  [[nodiscard]] Point point(Position position) const {
    return {(position.longitude_deg - reference_.longitude_deg) * east_m_per_deg_,
            (position.latitude_deg - reference_.latitude_deg) * metres_per_degree};
  }

 private:
  Position reference_;
  double east_m_per_deg_;
};

/// Where along a segment the point nearest to `place` lies, 0 at its first end and 1 at its second.
double share_along(Segment const& segment, Point const& place) {
  double const east = segment.second.x() - segment.first.x();
  double const north = segment.second.y() - segment.first.y();
  double const length2 = east * east + north * north;
  if (length2 == 0.0) return 0.0;
  double const along = (place.x() - segment.first.x()) * east + (place.y() - segment.first.y()) * north;
  return std::clamp(along / length2, 0.0, 1.0);
}

struct Stretch {
  std::uint32_t low, high;  // its nodes, smaller number first
  DriveCost onward = no_drive, back = no_drive;
};

/// Stretches of road between neighbouring nodes, both directions together.
std::vector<Stretch> stretches_of(std::vector<RoadArc> const& arcs) {
  std::vector<Stretch> stretches;
  for (RoadArc const& arc : arcs) {
    Stretch stretch{std::min(arc.from, arc.to), std::max(arc.from, arc.to)};
    if (!arc.may_stop || arc.from == arc.to) continue;
    (arc.from < arc.to ? stretch.onward : stretch.back) = arc.cost;
    stretches.push_back(stretch);
  }
  std::sort(stretches.begin(), stretches.end(),
            [](Stretch const& a, Stretch const& b) { return std::tie(a.low, a.high) < std::tie(b.low, b.high); });
  std::size_t kept = 0;
  for (Stretch const& stretch : stretches) {
    if (kept > 0 && stretches[kept - 1].low == stretch.low && stretches[kept - 1].high == stretch.high) {
      stretches[kept - 1].onward = std::min(stretches[kept - 1].onward, stretch.onward);
      stretches[kept - 1].back = std::min(stretches[kept - 1].back, stretch.back);
    } else {
      stretches[kept++] = stretch;
    }
  }
  stretches.resize(kept);
  return stretches;
}

DriveCost part_of(DriveCost cost, double share) {
  return drive_cost(static_cast<std::uint32_t>(std::round(share * drive_time_ds(cost))),
                    static_cast<std::uint32_t>(std::round(share * drive_length_dm(cost))));
}

struct Landing {
  std::size_t place;
  std::size_t stretch;
  double share;
};

}  // namespace

PlacesOnRoads put_on_roads(RoadNetwork const& network, std::span<Position const> places) {
  PlacesOnRoads result;
  result.node_of_place.assign(places.size(), PlacesOnRoads::off_road);
  if (network.nodes() == 0) return result;
  LocalMap const map(network.position(0));
  std::vector<RoadArc> arcs = network.arcs();
  std::vector<Stretch> const stretches = stretches_of(arcs);
  std::vector<std::pair<Segment, std::size_t>> segments;
  segments.reserve(stretches.size());
  for (Stretch const& stretch : stretches) {
    segments.emplace_back(Segment(map.point(network.position(stretch.low)), map.point(network.position(stretch.high))),
                          segments.size());
  }
  geometry::index::rtree<std::pair<Segment, std::size_t>, geometry::index::rstar<16>> const tree(segments);

  std::vector<Landing> landings;
  for (std::size_t place = 0; place < places.size(); ++place) {
    Point const point = map.point(places[place]);
    // Neighbouring stretches share a corner and thus a distance: the lowest number decides, not the tree's order.
    std::vector<std::pair<Segment, std::size_t>> nearest;
    tree.query(geometry::index::nearest(point, 8), std::back_inserter(nearest));
    double best_m = farthest_from_road_m;
    std::size_t best = stretches.size();
    for (auto const& [segment, number] : nearest) {
      double const distance_m = geometry::distance(point, segment);
      if (distance_m < best_m || (distance_m == best_m && number < best)) {
        best_m = distance_m;
        best = number;
      }
    }
    if (best < stretches.size()) landings.push_back({place, best, share_along(segments[best].first, point)});
  }

  std::sort(landings.begin(), landings.end(), [](Landing const& a, Landing const& b) {
    return std::tie(a.stretch, a.share, a.place) < std::tie(b.stretch, b.share, b.place);
  });
  std::vector<Position> positions = network.positions();
  for (std::size_t first = 0; first < landings.size();) {
    Stretch const& stretch = stretches[landings[first].stretch];
    std::uint32_t before = stretch.low;
    double share_before = 0.0;
    auto const connect = [&](std::uint32_t node, double share) {
      if (stretch.onward != no_drive)
        arcs.push_back({before, node, part_of(stretch.onward, share - share_before), true});
      if (stretch.back != no_drive) arcs.push_back({node, before, part_of(stretch.back, share - share_before), true});
      before = node;
      share_before = share;
    };
    std::size_t next = first;
    for (; next < landings.size() && landings[next].stretch == landings[first].stretch; ++next) {
      Landing const& landing = landings[next];
      Position const low = network.position(stretch.low);
      Position const high = network.position(stretch.high);
      auto const node = static_cast<std::uint32_t>(positions.size());
      positions.push_back({std::lerp(low.longitude_deg, high.longitude_deg, landing.share),
                           std::lerp(low.latitude_deg, high.latitude_deg, landing.share)});
      result.node_of_place[landing.place] = node;
      connect(node, landing.share);
    }
    connect(stretch.high, 1.0);
    first = next;
  }
  result.network = RoadNetwork(std::move(positions), std::move(arcs));
  return result;
}

}  // namespace brinecast::sim
