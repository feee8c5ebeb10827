#pragma once
// Drives in straight lines, lengthened by a factor, at one speed.

#include <cstdint>
#include <vector>

#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

struct StraightDrives {
  std::vector<Position> places;
  double detour_factor = 1.3;
  double speed_m_per_s = 10.0;

  [[nodiscard]] double length_m(std::size_t from, std::size_t to) const;
  /// [place below `candidates`] the `count` nearest others of the places below `candidates`, nearest first.
  [[nodiscard]] std::vector<std::vector<std::uint32_t>> nearest(std::size_t candidates, std::size_t count) const;
};

}  // namespace brinecast::sim
