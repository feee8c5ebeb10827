#include "sim/rounds/straight_drives.hpp"

#include <algorithm>
#include <boost/geometry.hpp>
#include <boost/geometry/index/rtree.hpp>
#include <cmath>
#include <numbers>
#include <utility>

#include "sim/scenario/earth.hpp"

namespace brinecast::sim {

StraightDrives::StraightDrives(std::vector<Position> const& places, double detour_factor, double speed_m_per_s)
    : detour_factor_(detour_factor), speed_m_per_s_(speed_m_per_s) {
  for (Position const place : places) {
    double const longitude = place.longitude_deg * std::numbers::pi / 180.0;
    double const latitude = place.latitude_deg * std::numbers::pi / 180.0;
    points_.push_back(
        {std::cos(latitude) * std::cos(longitude), std::cos(latitude) * std::sin(longitude), std::sin(latitude)});
  }
}

double StraightDrives::length_m(std::size_t from, std::size_t to) const {
  auto const& a = points_[from];
  auto const& b = points_[to];
  double const x = a[0] - b[0], y = a[1] - b[1], z = a[2] - b[2];
  double const half_chord = std::min(1.0, 0.5 * std::sqrt(x * x + y * y + z * z));
  return detour_factor_ * (2.0 * earth_radius_m * std::asin(half_chord));
}

StraightDrives StraightDrives::of_places(std::vector<std::size_t> const& chosen) const {
  StraightDrives drives({}, detour_factor_, speed_m_per_s_);
  for (std::size_t const place : chosen) drives.points_.push_back(points_[place]);
  return drives;
}

std::vector<std::vector<std::uint32_t>> StraightDrives::nearest(std::size_t candidates, std::size_t count) const {
  // Chords rank as great circles do.
  namespace geometry = boost::geometry;
  using Point = geometry::model::point<double, 3, geometry::cs::cartesian>;
  std::vector<std::pair<Point, std::uint32_t>> points;
  for (std::size_t place = 0; place < candidates; ++place) {
    auto const& [x, y, z] = points_[place];
    points.emplace_back(Point(x, y, z), static_cast<std::uint32_t>(place));
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
