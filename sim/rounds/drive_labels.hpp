#pragma once
// Fastest drives between many places without a table of all pairs.

#include <cstdint>
#include <span>
#include <vector>

#include "sim/rounds/drive_cost.hpp"

namespace brinecast::sim {

class RoadNetwork;

/// For each place the nodes that matter on ways from it, and on ways to it, with their costs: the fastest drive between
/// two places leads over a node that stands in both lists (hub labels: Abraham, Delling, Goldberg & Werneck, "A
/// hub-based labeling algorithm for shortest paths in road networks", SEA 2011; the nodes are those that upward
/// searches reach after contracting the whole network). Exact: the same numbers as `fastest_drive_costs`. Memory grows
/// with the places times some hundred nodes, 12 bytes each.
class DriveLabels {
 public:
  DriveLabels() = default;
  /// `places` are nodes of the network, every one reachable from every other.
  DriveLabels(RoadNetwork const& network, std::span<std::uint32_t const> places);

  [[nodiscard]] std::size_t places() const { return from_.begin.empty() ? 0 : from_.begin.size() - 1; }
  [[nodiscard]] DriveCost cost(std::size_t from, std::size_t to) const;
  /// The labels of some of the places, in this order.
  [[nodiscard]] DriveLabels of_places(std::vector<std::size_t> const& chosen) const;

  struct Near {
    std::uint32_t place;
    DriveCost cost;
  };
  enum class Direction { from, to };
  /// [place below `candidates`] the `count` nearest others of the places below `candidates`, nearest first; equally
  /// near ones by number.
  [[nodiscard]] std::vector<std::vector<Near>> nearest(std::size_t candidates, std::size_t count,
                                                       Direction direction) const;

 private:
  struct Labels {
    std::vector<std::size_t> begin;  // [place], and one more
    std::vector<std::uint32_t> hub;  // rising within a place
    std::vector<DriveCost> cost;
  };
  Labels from_, to_;
  std::uint32_t hubs_ = 0;
};

}  // namespace brinecast::sim
