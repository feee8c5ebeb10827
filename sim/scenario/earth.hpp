#pragma once
// Distances on the Earth, taken as a sphere.

#include <numbers>

#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

inline constexpr double earth_radius_m = 6371008.8;  // mean radius, IUGG
/// Along a meridian; along a parallel times the cosine of the latitude.
inline constexpr double metres_per_degree = earth_radius_m * std::numbers::pi / 180.0;

/// Distance between two positions, by the haversine formula.
double great_circle_m(Position a, Position b);

}  // namespace brinecast::sim
