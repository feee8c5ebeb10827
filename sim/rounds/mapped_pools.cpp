#include "sim/rounds/mapped_pools.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstring>
#include <numbers>
#include <optional>
#include <osmium/io/any_input.hpp>
#include <osmium/osm/entity_bits.hpp>
#include <osmium/osm/node.hpp>
#include <osmium/osm/way.hpp>
#include <unordered_map>

#include "sim/scenario/earth.hpp"

namespace brinecast::sim {

namespace {

struct Outline {
  std::int64_t number;
  std::vector<std::int64_t> nodes;
};

bool is_outdoor_pool(osmium::TagList const& tags) {
  auto const is = [&](char const* key, char const* value) {
    return std::strcmp(tags.get_value_by_key(key, ""), value) == 0;
  };
  return is("leisure", "swimming_pool") && !is("indoor", "yes") && !is("location", "indoor");
}

/// Area and centroid of a closed outline by Gauss's formula, on a plane that touches the Earth at the first corner.
MappedPool measured(std::vector<Position> const& corners) {
  Position const origin = corners.front();
  double const east_m_per_deg = metres_per_degree * std::cos(origin.latitude_deg * std::numbers::pi / 180.0);
  double twice_area = 0.0, east = 0.0, north = 0.0;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    Position const& a = corners[i];
    Position const& b = corners[(i + 1) % corners.size()];
    double const ax = (a.longitude_deg - origin.longitude_deg) * east_m_per_deg;
    double const ay = (a.latitude_deg - origin.latitude_deg) * metres_per_degree;
    double const bx = (b.longitude_deg - origin.longitude_deg) * east_m_per_deg;
    double const by = (b.latitude_deg - origin.latitude_deg) * metres_per_degree;
    double const cross = ax * by - bx * ay;
    twice_area += cross;
    east += (ax + bx) * cross;
    north += (ay + by) * cross;
  }
  MappedPool pool;
  pool.position = origin;
  if (twice_area != 0.0) {
    pool.position.longitude_deg += east / (3.0 * twice_area) / east_m_per_deg;
    pool.position.latitude_deg += north / (3.0 * twice_area) / metres_per_degree;
  }
  pool.area_m2 = std::fabs(twice_area) / 2.0;
  return pool;
}

}  // namespace

std::vector<MappedPool> mapped_pools(std::filesystem::path const& extract, Problems& problems) {
  std::vector<MappedPool> pools;
  try {
    std::vector<Outline> outlines;
    std::unordered_map<std::int64_t, std::optional<Position>> corner;
    osmium::io::File const input(std::filesystem::absolute(extract).string());  // see road_import.cpp
    osmium::io::Reader ways(input, osmium::osm_entity_bits::way);
    while (osmium::memory::Buffer buffer = ways.read()) {
      for (osmium::Way const& way : buffer.select<osmium::Way>()) {
        if (!is_outdoor_pool(way.tags()) || way.nodes().empty()) continue;
        Outline outline{way.id(), {}};
        for (auto const& node : way.nodes()) {
          outline.nodes.push_back(node.ref());
          corner.emplace(node.ref(), std::nullopt);
        }
        outlines.push_back(std::move(outline));
      }
    }
    ways.close();
    osmium::io::Reader nodes(input, osmium::osm_entity_bits::node);
    while (osmium::memory::Buffer buffer = nodes.read()) {
      for (osmium::Node const& node : buffer.select<osmium::Node>()) {
        if (!node.location().valid()) continue;
        Position const position{node.location().lon(), node.location().lat()};
        auto const found = corner.find(node.id());
        if (found != corner.end()) found->second = position;
        if (is_outdoor_pool(node.tags())) pools.push_back({fmt::format("node {}", node.id()), position, 0.0});
      }
    }
    nodes.close();
    for (Outline const& outline : outlines) {
      std::vector<Position> corners;
      for (std::int64_t const node : outline.nodes) {
        if (auto const& place = corner[node]) corners.push_back(*place);
      }
      if (corners.empty()) continue;
      MappedPool pool = measured(corners);
      // An extract may cut an outline: where the pool is can still be told, how large it is cannot.
      if (corners.size() < outline.nodes.size()) pool = {{}, corners.front(), 0.0};
      pool.name = fmt::format("way {}", outline.number);
      pools.push_back(std::move(pool));
    }
  } catch (std::exception const& error) {
    problems.add({extract.string(), 0, 0, "roads.file",
                  fmt::format("cannot be read as an extract ({}); export it again as .osm or .osm.pbf", error.what())});
    return {};
  }
  return pools;
}

std::string pool_list_csv(std::vector<MappedPool> const& pools) {
  std::string csv = "name,longitude,latitude,surface_area [m2]\n";
  for (MappedPool const& pool : pools) {
    csv += fmt::format("{},{:.7f},{:.7f},{}\n", pool.name, pool.position.longitude_deg, pool.position.latitude_deg,
                       pool.area_m2 > 0.0 ? fmt::format("{:.1f}", pool.area_m2) : "");
  }
  return csv;
}

}  // namespace brinecast::sim
