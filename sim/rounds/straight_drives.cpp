#include "sim/rounds/straight_drives.hpp"

#include <algorithm>
#include <boost/geometry.hpp>
#include <boost/geometry/index/rtree.hpp>
#include <cmath>
#include <numbers>
#include <utility>

#include "sim/scenario/read_pools.hpp"

namespace brinecast::sim {

double StraightDrives::length_m(std::size_t from, std::size_t to) const {
  return detour_factor * great_circle_m(places[from], places[to]);
}

std::vector<std::vector<std::uint32_t>> StraightDrives::nearest(std::size_t candidates, std::size_t count) const {
  // Points of the unit sphere: chords rank as great circles do.
  namespace geometry = boost::geometry;
  using Point = geometry::model::point<double, 3, geometry::cs::cartesian>;
  std::vector<std::pair<Point, std::uint32_t>> points;
  for (std::size_t place = 0; place < candidates; ++place) {
    double const longitude = places[place].longitude_deg * std::numbers::pi / 180.0;
    double const latitude = places[place].latitude_deg * std::numbers::pi / 180.0;
    points.emplace_back(
        Point(std::cos(latitude) * std::cos(longitude), std::cos(latitude) * std::sin(longitude), std::sin(latitude)),
        static_cast<std::uint32_t>(place));
  }
  geometry::index::rtree<std::pair<Point, std::uint32_t>, geometry::index::rstar<16>> const tree(points);
  std::vector<std::vector<std::uint32_t>> all(candidates);
  for (std::uint32_t place = 0; place < candidates; ++place) {
    std::vector<std::pair<double, std::uint32_t>> found;
    for (auto near = tree.qbegin(geometry::index::nearest(points[place].first, static_cast<unsigned>(count + 1)));
         near != tree.qend(); ++near) {
      if (near->second != place) found.emplace_back(length_m(place, near->second), near->second);
    }
    std::sort(found.begin(), found.end());
    found.resize(std::min(found.size(), count));
    for (auto const& [length, other] : found) all[place].push_back(other);
  }
  return all;
}

}  // namespace brinecast::sim
