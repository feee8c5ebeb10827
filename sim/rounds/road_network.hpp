#pragma once
// The roads a van may drive, as a directed graph whose shortest paths are the fastest drives.

#include <boost/graph/compressed_sparse_row_graph.hpp>
#include <cstdint>
#include <filesystem>
#include <span>
#include <utility>
#include <vector>

#include "sim/rounds/drive_cost.hpp"
#include "sim/scenario/problems.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

struct RoadArc {
  std::uint32_t from = 0;
  std::uint32_t to = 0;
  DriveCost cost = 0;
  bool may_stop = true;  // a van may stop beside it; not on a motorway
};

class RoadNetwork {
 public:
  struct ArcTraits {
    DriveCost cost = 0;
    bool may_stop = true;
  };
  using Graph = boost::compressed_sparse_row_graph<boost::directedS, boost::no_property, ArcTraits, boost::no_property,
                                                   std::uint32_t, std::uint32_t>;

  RoadNetwork() = default;
  /// `position` by node; of parallel arcs the cheapest is kept.
  RoadNetwork(std::vector<Position> positions, std::vector<RoadArc> arcs);

  [[nodiscard]] std::uint32_t nodes() const { return static_cast<std::uint32_t>(positions_.size()); }
  [[nodiscard]] Position position(std::uint32_t node) const { return positions_[node]; }
  [[nodiscard]] std::vector<Position> const& positions() const { return positions_; }
  [[nodiscard]] Graph const& graph() const { return graph_; }
  [[nodiscard]] std::vector<RoadArc> arcs() const;

  /// The part in which every node reaches every other, the largest such; other nodes are left out.
  [[nodiscard]] RoadNetwork largest_connected_part() const;

  /// Costs of the fastest drives from a node to every node; `no_drive` where there is none.
  [[nodiscard]] std::vector<DriveCost> drive_costs_from(std::uint32_t start) const;

 private:
  std::vector<Position> positions_;
  Graph graph_;
};

/// Finds drives one after the other; what a search touched is all that the next one has to clear, so that short drives
/// on a large network are cheap. The network must outlive it.
class DriveSearch {
 public:
  explicit DriveSearch(RoadNetwork const& network);
  /// Nodes of the fastest drive, both ends included; empty when there is none.
  [[nodiscard]] std::vector<std::uint32_t> fastest_drive(std::uint32_t from, std::uint32_t to);

 private:
  RoadNetwork const& network_;
  std::vector<DriveCost> costs_;        // [node] from the start of the last drive
  std::vector<std::uint32_t> before_;   // [node] on that drive
  std::vector<std::uint32_t> touched_;  // nodes with a cost
};

/// Costs of the fastest drives between `places` (nodes of the network), [from][to]; `no_drive` where there is none.
/// Nodes that are no places are first taken out one by one, joining their neighbours directly where that is needed to
/// keep every distance, as long as this makes the graph simpler (node contraction: Geisberger, Sanders, Schultes,
/// Delling, "Contraction hierarchies", WEA 2008); Dijkstra's method then runs on what is left, once for each place.
std::vector<DriveCost> fastest_drive_costs(RoadNetwork const& network, std::span<std::uint32_t const> places);

/// Places on the network: the network with a node added for each, where its nearest stretch of road passes.
struct PlacesOnRoads {
  RoadNetwork network;
  std::vector<std::uint32_t> node_of_place;  // `off_road` where no road is near
  static constexpr std::uint32_t off_road = ~std::uint32_t{0};
};

/// Farthest that a place may lie from the road it is reached by. A longer track that the map does not show would make
/// travel times meaningless. common practice, no source
constexpr double farthest_from_road_m = 500.0;

PlacesOnRoads put_on_roads(RoadNetwork const& network, std::span<Position const> places);

/// Reads the roads of an OpenStreetMap extract (.osm, .osm.pbf, .osm.bz2, .osm.gz): what a van may drive, its largest
/// connected part. Rules and speeds stand in road_rules.hpp. Faults of the file go to `problems`.
RoadNetwork read_road_extract(std::filesystem::path const& file, double speed_factor, Problems& problems);

}  // namespace brinecast::sim
