// Reading road extracts with libosmium, in two passes: ways first, so that only nodes of roads are kept, in any order
// of the file.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <osmium/io/any_input.hpp>
#include <osmium/osm/entity_bits.hpp>
#include <osmium/osm/node.hpp>
#include <osmium/osm/way.hpp>
#include <unordered_map>

#include "sim/rounds/road_network.hpp"
#include "sim/rounds/road_rules.hpp"
#include "sim/scenario/earth.hpp"

namespace brinecast::sim {

namespace {

class OsmTags : public WayTags {
 public:
  explicit OsmTags(osmium::TagList const& tags) : tags_(&tags) {}
  [[nodiscard]] std::string_view value(char const* key) const override { return tags_->get_value_by_key(key, ""); }

 private:
  osmium::TagList const* tags_;
};

struct Way {
  DrivableWay rules;
  std::size_t first = 0;  // of its node references
  std::size_t count = 0;
};

struct RoadNode {
  Position position;
  bool located = false;
  bool blocked = false;
  bool on_open_road = false;  // a way that is no last resort passes
};

struct Extract {
  std::vector<Way> ways;
  std::vector<std::uint32_t> references;                      // dense node numbers of all ways
  std::unordered_map<std::int64_t, std::uint32_t> number_of;  // by the extract's own node number
  std::vector<RoadNode> nodes;
};

void read_ways(osmium::io::File const& file, Extract& extract) {
  osmium::io::Reader reader(file, osmium::osm_entity_bits::way);
  while (osmium::memory::Buffer buffer = reader.read()) {
    for (osmium::Way const& mapped : buffer.select<osmium::Way>()) {
      auto const rules = drivable_way(OsmTags(mapped.tags()));
      if (!rules || !mapped.visible()) continue;
      Way const way{*rules, extract.references.size(), mapped.nodes().size()};
      for (auto const& node : mapped.nodes()) {
        auto const next = static_cast<std::uint32_t>(extract.nodes.size());
        auto const [entry, is_new] = extract.number_of.try_emplace(node.ref(), next);
        if (is_new) extract.nodes.emplace_back();
        extract.references.push_back(entry->second);
        extract.nodes[entry->second].on_open_road |= !rules->last_resort;
      }
      extract.ways.push_back(way);
    }
  }
  reader.close();
}

void read_nodes(osmium::io::File const& file, Extract& extract) {
  osmium::io::Reader reader(file, osmium::osm_entity_bits::node);
  while (osmium::memory::Buffer buffer = reader.read()) {
    for (osmium::Node const& mapped : buffer.select<osmium::Node>()) {
      auto const found = extract.number_of.find(mapped.id());
      if (found == extract.number_of.end() || !mapped.location().valid()) continue;
      RoadNode& node = extract.nodes[found->second];
      node.position = {mapped.location().lon(), mapped.location().lat()};
      node.located = true;
      char const* const barrier = mapped.tags().get_value_by_key("barrier");
      node.blocked = barrier != nullptr && stops_van(barrier, mapped.tags().get_value_by_key("motor_vehicle", ""));
    }
  }
  reader.close();
}

std::vector<RoadArc> arcs_of(Extract const& extract, double speed_factor) {
  std::vector<RoadArc> arcs;
  for (Way const& way : extract.ways) {
    for (std::size_t step = 1; step < way.count; ++step) {
      std::uint32_t const from = extract.references[way.first + step - 1];
      std::uint32_t const to = extract.references[way.first + step];
      RoadNode const& from_node = extract.nodes[from];
      RoadNode const& to_node = extract.nodes[to];
      if (from == to || !from_node.located || !to_node.located || from_node.blocked || to_node.blocked) continue;
      double const length_m = great_circle_m(from_node.position, to_node.position);
      double time_s = length_m / (way.rules.speed_m_per_s * speed_factor);
      if (way.rules.last_resort) time_s += gate_delay_s * (from_node.on_open_road + to_node.on_open_road);
      // At least a tenth of a second, so that going in circles is never free.
      auto const time_ds = static_cast<std::uint32_t>(std::max(1.0, std::round(10.0 * time_s)));
      DriveCost const cost = drive_cost(time_ds, static_cast<std::uint32_t>(std::round(10.0 * length_m)));
      if (way.rules.forward) arcs.push_back({from, to, cost, way.rules.may_stop});
      if (way.rules.backward) arcs.push_back({to, from, cost, way.rules.may_stop});
    }
  }
  return arcs;
}

}  // namespace

RoadNetwork read_road_extract(std::filesystem::path const& file, double speed_factor, Problems& problems) {
  auto const fault = [&](std::string message) {
    problems.add({.file = file.string(), .place = "roads.file", .message = std::move(message)});
    return RoadNetwork{};
  };
  if (!std::filesystem::is_regular_file(file)) {
    return fault("no such file; give the path of a road extract (.osm, .osm.gz, .osm.bz2 or .osm.pbf)");
  }
  Extract extract;
  try {
    // An absolute path: libosmium takes "http:..." for an address and starts another program to fetch it.
    osmium::io::File const input(std::filesystem::absolute(file).string());
    read_ways(input, extract);
    read_nodes(input, extract);
  } catch (std::exception const& error) {
    return fault(
        fmt::format("cannot be read as a road extract ({}); export it again as .osm or .osm.pbf", error.what()));
  }
  std::vector<Position> positions;
  positions.reserve(extract.nodes.size());
  for (RoadNode const& node : extract.nodes) positions.push_back(node.position);
  RoadNetwork const all(std::move(positions), arcs_of(extract, speed_factor));
  RoadNetwork connected = all.largest_connected_part();
  if (connected.nodes() < 2) {
    return fault("holds no connected roads that a van may drive; take an extract that covers the pools' streets");
  }
  return connected;
}

}  // namespace brinecast::sim
