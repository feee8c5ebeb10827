#include "sim/rounds/travel.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/rounds/road_network.hpp"
#include "sim/rounds/travel_cache.hpp"
#include "sim/rounds/travel_file.hpp"

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

constexpr Drive no_limit{std::numeric_limits<std::int32_t>::max(), std::numeric_limits<std::int32_t>::max()};

Drive drive_of(StraightDrives const& drives, std::size_t from, std::size_t to) {
  double const length_m = drives.length_m(from, to);
  return {static_cast<std::int32_t>(std::lround(drives.time_s(length_m))),
          static_cast<std::int32_t>(std::lround(length_m))};
}

Drive drive_of(DriveCost cost) {
  auto const whole = [](std::uint32_t tenths) { return static_cast<std::int32_t>((tenths + 5) / 10); };
  return {whole(drive_time_ds(cost)), whole(drive_length_dm(cost))};
}

TravelTable straight_lines(Scenario const& scenario, std::size_t most_of_pairs) {
  StraightDrives drives(places_of(scenario), scenario.roads.detour_factor, scenario.roads.straight_line_speed_m_per_s);
  std::size_t const places = drives.places();
  if (places > most_of_pairs) return TravelTable(std::move(drives));
  TravelTable table(places);
  for (std::size_t from = 0; from < places; ++from) {
    for (std::size_t to = 0; to < places; ++to) {
      Drive const drive = drive_of(drives, from, to);
      table.set(from, to, drive.seconds, drive.metres);
    }
  }
  return table;
}

TravelTable on_roads(Scenario const& scenario, std::size_t most_of_pairs, Problems& problems) {
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
  if (places.size() > most_of_pairs) return TravelTable(DriveLabels(on_road.network, nodes));
  std::vector<DriveCost> const costs = fastest_drive_costs(on_road.network, nodes);
  TravelTable table(places.size());
  for (std::size_t from = 0; from < places.size(); ++from) {
    for (std::size_t to = 0; to < places.size(); ++to) {
      Drive const drive = drive_of(costs[from * places.size() + to]);
      table.set(from, to, drive.seconds, drive.metres);
    }
  }
  return table;
}

TravelTable on_roads_or_cached(Scenario const& scenario, std::size_t most_of_pairs, Problems& problems) {
  auto const folder = cache_folder();
  std::string const key = travel_key(scenario);
  // Only tables of all pairs are kept: labels are made faster than read, and asked of far more pairs than fit a file.
  bool const keeps = folder && places_of(scenario).size() <= most_of_pairs;
  if (keeps) {
    if (auto known = read_cached_travel(*folder, key)) return *std::move(known);
  }
  Problems found;
  TravelTable table = on_roads(scenario, most_of_pairs, found);
  for (Problem const& problem : found.all()) problems.add(problem);
  if (keeps && found.empty()) write_cached_travel(*folder, key, table);
  return table;
}

/// Whether the scenario's file is small enough to be read; if not, says so.
bool fits(Scenario const& scenario, std::uintmax_t most_bytes, Problems& problems) {
  std::error_code error;
  auto const bytes = std::filesystem::file_size(scenario.roads.file, error);
  if (error || bytes <= most_bytes) return true;  // the reader tells what else is wrong
  problems.add({scenario.roads.file.string(), 0, 0, "roads.file",
                fmt::format("the file has {} bytes, more than the {} accepted; cut it to the fleet's surroundings",
                            bytes, most_bytes)});
  return false;
}

}  // namespace

Drive TravelTable::computed(std::size_t from, std::size_t to) const {
  if (auto const* const straight = std::get_if<StraightDrives>(&computed_)) return drive_of(*straight, from, to);
  return drive_of(std::get<DriveLabels>(computed_).cost(from, to));
}

TravelTable TravelTable::of_places(std::vector<std::size_t> const& chosen) const {
  if (auto const* const straight = std::get_if<StraightDrives>(&computed_)) {
    return TravelTable(straight->of_places(chosen));
  }
  if (auto const* const labels = std::get_if<DriveLabels>(&computed_)) return TravelTable(labels->of_places(chosen));
  TravelTable table(chosen.size());
  for (std::size_t from = 0; from < chosen.size(); ++from) {
    for (std::size_t to = 0; to < chosen.size(); ++to) {
      table.set(from, to, seconds(chosen[from], chosen[to]), metres(chosen[from], chosen[to]));
    }
  }
  return table;
}

TravelTable::Neighbours TravelTable::neighbours(std::size_t candidates, std::size_t count) const {
  Neighbours found;
  found.beyond.assign(candidates, no_limit);
  count = std::min(count, candidates == 0 ? 0 : candidates - 1);
  bool const all_listed = count + 1 >= candidates;
  if (auto const* const straight = std::get_if<StraightDrives>(&computed_)) {
    found.from = straight->nearest(candidates, count);
    found.to = found.from;
    for (std::size_t place = 0; !all_listed && place < candidates; ++place) {
      found.beyond[place] = count == 0 ? Drive{} : drive(place, found.from[place].back());
    }
    return found;
  }
  if (auto const* const labels = std::get_if<DriveLabels>(&computed_)) {
    for (auto const direction : {DriveLabels::Direction::from, DriveLabels::Direction::to}) {
      auto& lists = direction == DriveLabels::Direction::from ? found.from : found.to;
      lists.resize(candidates);
      auto const nearest = labels->nearest(candidates, count, direction);
      for (std::size_t place = 0; place < candidates; ++place) {
        for (auto const& near : nearest[place]) lists[place].push_back(near.place);
        if (all_listed) continue;
        // The way to a farther place in time may be shorter; nothing is known of it.
        std::int32_t const last_s = count == 0 ? 0 : drive_of(nearest[place].back().cost).seconds;
        found.beyond[place] = {std::min(found.beyond[place].seconds, last_s), 0};
      }
    }
    return found;
  }
  found.from.resize(candidates);
  found.to.resize(candidates);
  std::vector<std::uint32_t> others;
  std::vector<char> listed(candidates);
  for (std::uint32_t place = 0; place < candidates; ++place) {
    others.clear();
    for (std::uint32_t other = 0; other < candidates; ++other) {
      if (other != place) others.push_back(other);
    }
    std::fill(listed.begin(), listed.end(), false);
    listed[place] = true;
    auto const pick = [&](auto const& time_s) {
      std::partial_sort(
          others.begin(), others.begin() + static_cast<std::ptrdiff_t>(count), others.end(),
          [&](std::uint32_t a, std::uint32_t b) { return std::pair(time_s(a), a) < std::pair(time_s(b), b); });
      for (std::size_t rank = 0; rank < count; ++rank) listed[others[rank]] = true;
      return std::vector<std::uint32_t>(others.begin(), others.begin() + static_cast<std::ptrdiff_t>(count));
    };
    found.from[place] = pick([&](std::uint32_t other) { return seconds(place, other); });
    found.to[place] = pick([&](std::uint32_t other) { return seconds(other, place); });
    Drive& beyond = found.beyond[place];
    for (std::uint32_t other = 0; other < candidates; ++other) {
      if (listed[other]) continue;
      beyond.seconds = std::min({beyond.seconds, seconds(place, other), seconds(other, place)});
      beyond.metres = std::min({beyond.metres, metres(place, other), metres(other, place)});
    }
  }
  return found;
}

TravelTable travel_table(Scenario const& scenario, Problems& problems, std::size_t most_of_pairs) {
  switch (scenario.roads.kind) {
    case RoadKind::straight_line:
      return straight_lines(scenario, most_of_pairs);
    case RoadKind::matrix:
      if (!fits(scenario, largest_travel_times_bytes, problems)) return {};
      return read_travel_file(scenario, problems);
    case RoadKind::osm_extract:
      if (!fits(scenario, largest_road_extract_bytes, problems)) return {};
      return on_roads_or_cached(scenario, most_of_pairs, problems);
  }
  return {};
}

}  // namespace brinecast::sim
