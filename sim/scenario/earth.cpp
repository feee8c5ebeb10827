#include "sim/scenario/earth.hpp"

#include <algorithm>
#include <cmath>

namespace brinecast::sim {

double great_circle_m(Position a, Position b) {
  double const to_radians = std::numbers::pi / 180.0;
  double const half_latitude = (b.latitude_deg - a.latitude_deg) * to_radians / 2;
  double const half_longitude = (b.longitude_deg - a.longitude_deg) * to_radians / 2;
  double const h = std::sin(half_latitude) * std::sin(half_latitude) +
                   std::cos(a.latitude_deg * to_radians) * std::cos(b.latitude_deg * to_radians) *
                       std::sin(half_longitude) * std::sin(half_longitude);
  return 2 * earth_radius_m * std::asin(std::sqrt(std::min(1.0, h)));
}

}  // namespace brinecast::sim
