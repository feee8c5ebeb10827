#include "sim/rounds/travel.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <thread>

#include "sim/rounds/road_network.hpp"
#include "sim/rounds/travel_cache.hpp"
#include "sim/rounds/travel_file.hpp"
#include "sim/scenario/read_pools.hpp"

namespace brinecast::sim {

std::vector<Position> places_of(Scenario const& scenario) {
  std::vector<Position> places;
  places.reserve(scenario.pools.size() + 2 * scenario.technicians.size());
  for (Pool const& pool : scenario.pools) places.push_back(pool.position);
  for (Technician const& technician : scenario.technicians) places.push_back(technician.start);
  for (Technician const& technician : scenario.technicians) places.push_back(technician.end);
  return places;
}

std::string name_of_place(Scenario const& scenario, std::size_t place) {
  std::size_t const pools = scenario.pools.size();
  std::size_t const technicians = scenario.technicians.size();
  if (place < pools) return fmt::format("pool \"{}\"", scenario.pools[place].name);
  if (place < pools + technicians) return fmt::format("start of {}", scenario.technicians[place - pools].name);
  return fmt::format("end of {}", scenario.technicians[place - pools - technicians].name);
}

namespace {

TravelTable straight_lines(Scenario const& scenario) {
  std::vector<Position> const places = places_of(scenario);
  TravelTable table(places.size());
  for (std::size_t from = 0; from < places.size(); ++from) {
    for (std::size_t to = 0; to < places.size(); ++to) {
      double const distance_m = scenario.roads.detour_factor * great_circle_m(places[from], places[to]);
      table.set(from, to,
                static_cast<std::int32_t>(std::lround(distance_m / scenario.roads.straight_line_speed_m_per_s)),
                static_cast<std::int32_t>(std::lround(distance_m)));
    }
  }
  return table;
}

/// Seconds and metres from tenths of them.
std::int32_t whole(std::uint32_t tenths) { return static_cast<std::int32_t>((tenths + 5) / 10); }

TravelTable on_roads(Scenario const& scenario, Problems& problems) {
  RoadNetwork const roads = read_road_extract(scenario.roads.file, scenario.roads.speed_factor, problems);
  if (roads.nodes() == 0) return {};
  std::vector<Position> const places = places_of(scenario);
  PlacesOnRoads const on_road = put_on_roads(roads, places);
  std::vector<std::uint32_t> nodes;
  for (std::size_t place = 0; place < places.size(); ++place) {
    std::uint32_t const node = on_road.node_of_place[place];
    if (node == PlacesOnRoads::off_road) {
      problems.add({.file = scenario.path.string(),
                    .place = "roads.file",
                    .message = fmt::format(
                        "{} at {:.5f}, {:.5f} lies more than {:.0f} m from every road of {} that a van "
                        "may drive and stop on; correct its position or take a larger extract",
                        name_of_place(scenario, place), places[place].latitude_deg, places[place].longitude_deg,
                        farthest_from_road_m, scenario.roads.file.filename().string())});
      continue;
    }
    nodes.push_back(node);
  }
  if (nodes.size() < places.size()) return {};
  unsigned const threads = std::max(1U, std::thread::hardware_concurrency());
  std::vector<DriveCost> const costs = fastest_drive_costs(on_road.network, nodes, threads);
  TravelTable table(places.size());
  for (std::size_t from = 0; from < places.size(); ++from) {
    for (std::size_t to = 0; to < places.size(); ++to) {
      DriveCost const cost = costs[from * places.size() + to];
      table.set(from, to, whole(drive_time_ds(cost)), whole(drive_length_dm(cost)));
    }
  }
  return table;
}

TravelTable on_roads_or_cached(Scenario const& scenario, Problems& problems) {
  auto const folder = cache_folder();
  std::string const key = travel_key(scenario);
  if (folder) {
    if (auto known = read_cached_travel(*folder, key)) return *std::move(known);
  }
  Problems found;
  TravelTable table = on_roads(scenario, found);
  for (Problem const& problem : found.all()) problems.add(problem);
  if (folder && found.empty()) write_cached_travel(*folder, key, table);
  return table;
}

}  // namespace

TravelTable travel_table(Scenario const& scenario, Problems& problems) {
  switch (scenario.roads.kind) {
    case RoadKind::straight_line:
      return straight_lines(scenario);
    case RoadKind::matrix:
      return read_travel_file(scenario, problems);
    case RoadKind::osm_extract:
      return on_roads_or_cached(scenario, problems);
  }
  return {};
}

}  // namespace brinecast::sim
