#pragma once
// Drives in straight lines, lengthened by a factor, at one speed.

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

class StraightDrives {
 public:
  StraightDrives(std::vector<Position> const& places, double detour_factor, double speed_m_per_s);

  [[nodiscard]] std::size_t places() const { return points_.size(); }
  [[nodiscard]] double length_m(std::size_t from, std::size_t to) const;
  [[nodiscard]] double time_s(double length_m) const { return length_m / speed_m_per_s_; }
  /// Of some of the places, in this order.
  [[nodiscard]] StraightDrives of_places(std::vector<std::size_t> const& chosen) const;
  /// [place below `candidates`] the `count` nearest others of the places below `candidates`, nearest first.
  [[nodiscard]] std::vector<std::vector<std::uint32_t>> nearest(std::size_t candidates, std::size_t count) const;

 private:
  std::vector<std::array<double, 3>> points_;  // on the unit sphere: a length takes no sines then
  double detour_factor_;
  double speed_m_per_s_;
};

}  // namespace brinecast::sim
