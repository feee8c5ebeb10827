#pragma once
// A road network whose nodes are taken out one by one while the distances between the others stay as they are (node
// contraction: Geisberger, Sanders, Schultes, Delling, "Contraction hierarchies", WEA 2008).

#include <cstdint>
#include <vector>

#include "sim/rounds/road_network.hpp"

namespace brinecast::sim {

class ShrinkingNetwork {
 public:
  struct Link {
    std::uint32_t node;
    DriveCost cost;
  };
  enum class Until {
    simple,  // no node left is simple enough to make the graph simpler by leaving
    empty,   // every node that is not kept has left
  };

  explicit ShrinkingNetwork(RoadNetwork const& network);

  /// Takes out nodes that are not `kept` [node], the simplest first. Does not depend on anything but the network.
  void shrink(std::vector<char> const& kept, Until until);

  /// What is left, in the order of the old nodes; `new_node` [old node].
  [[nodiscard]] RoadNetwork rest(RoadNetwork const& network, std::vector<std::uint32_t>& new_node) const;

  /// Links from and to a node: among those that are left, or, once it is gone, as they were when it left. All of the
  /// latter lead to nodes that left later.
  [[nodiscard]] std::vector<Link> const& links_from(std::uint32_t node) const { return out_[node]; }
  [[nodiscard]] std::vector<Link> const& links_to(std::uint32_t node) const { return in_[node]; }

 private:
  // Both limits trade the time of shrinking against that of the searches afterwards; no distance depends on them.
  static constexpr int largest_growth = 12;
  static constexpr int witness_settled = 40;

  void join(std::uint32_t from, std::uint32_t to, DriveCost cost);
  void find_shortcuts(std::uint32_t node);
  void look_around(std::uint32_t start, std::uint32_t avoided, DriveCost farthest);
  void take_out(std::uint32_t node);

  std::vector<std::vector<Link>> out_, in_;
  std::vector<DriveCost> reached_;
  std::vector<std::uint32_t> touched_;
  std::vector<Link> heap_;
  std::vector<RoadArc> shortcuts_;
  std::vector<char> gone_;
  std::vector<int> depth_;  // nodes taken out below it: keeps the thinning even
};

}  // namespace brinecast::sim
