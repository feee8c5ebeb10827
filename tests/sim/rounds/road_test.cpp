#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <queue>

#include "sim/rounds/mapped_pools.hpp"
#include "sim/rounds/road_network.hpp"
#include "sim/rounds/road_rules.hpp"
#include "sim/rounds/route_shapes.hpp"
#include "sim/rounds/travel.hpp"
#include "sim/rounds/travel_cache.hpp"
#include "tests/sim/rounds/small_town.hpp"

using namespace brinecast;
using namespace brinecast::sim;

namespace {

/// A file that is gone with the test.
class TemporaryFile {
 public:
  TemporaryFile(std::string const& name, std::string const& content)
      : path_(std::filesystem::temp_directory_path() / ("brinecast_" + name)) {
    std::ofstream(path_) << content;
  }
  ~TemporaryFile() { std::filesystem::remove(path_); }
  TemporaryFile(TemporaryFile const&) = delete;
  TemporaryFile& operator=(TemporaryFile const&) = delete;
  [[nodiscard]] std::filesystem::path const& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

/// A square of streets 0.01 degrees wide: 1-2-3-4-1, where 1-2 is one-way, 2-3 allows 60 km/h, a private road 5 cuts
/// from 1 to 3, 6-7 is an island, 4-8 lies behind a bollard and 9 is a footway.
constexpr char const* square_town = R"(<?xml version="1.0" encoding="UTF-8"?>
<osm version="0.6" generator="test">
  <node id="1" lat="0.00" lon="0.00"/><node id="2" lat="0.00" lon="0.01"/>
  <node id="3" lat="0.01" lon="0.01"/><node id="4" lat="0.01" lon="0.00"/>
  <node id="6" lat="0.05" lon="0.05"/><node id="7" lat="0.05" lon="0.06"/>
  <node id="8" lat="0.02" lon="0.00"><tag k="barrier" v="bollard"/></node><node id="9" lat="-0.01" lon="0.00"/>
  <node id="20" lat="0.0030" lon="0.0100"/><node id="21" lat="0.0031" lon="0.0100"/>
  <node id="22" lat="0.0031" lon="0.0101"/><node id="23" lat="0.0030" lon="0.0101"/>
  <way id="1"><nd ref="1"/><nd ref="2"/><tag k="highway" v="residential"/><tag k="oneway" v="yes"/></way>
  <way id="2"><nd ref="2"/><nd ref="3"/><tag k="highway" v="residential"/><tag k="maxspeed" v="60"/></way>
  <way id="3"><nd ref="3"/><nd ref="4"/><nd ref="1"/><tag k="highway" v="residential"/></way>
  <way id="4"><nd ref="1"/><nd ref="3"/><tag k="highway" v="residential"/><tag k="access" v="private"/></way>
  <way id="5"><nd ref="6"/><nd ref="7"/><tag k="highway" v="residential"/></way>
  <way id="6"><nd ref="4"/><nd ref="8"/><tag k="highway" v="residential"/></way>
  <way id="7"><nd ref="1"/><nd ref="9"/><tag k="highway" v="footway"/></way>
  <way id="8"><nd ref="20"/><nd ref="21"/><nd ref="22"/><nd ref="23"/><nd ref="20"/><tag k="leisure" v="swimming_pool"/></way>
</osm>)";

/// Dijkstra's method by hand, apart from the product's: only the list of arcs is shared.
std::vector<std::vector<DriveCost>> distances_by_hand(RoadNetwork const& network,
                                                      std::vector<std::uint32_t> const& starts) {
  std::vector<std::vector<std::pair<std::uint32_t, DriveCost>>> out(network.nodes());
  for (RoadArc const& arc : network.arcs()) out[arc.from].emplace_back(arc.to, arc.cost);
  std::vector<std::vector<DriveCost>> all;
  for (std::uint32_t const start : starts) {
    std::vector<DriveCost> best(network.nodes(), no_drive);
    std::priority_queue<std::pair<DriveCost, std::uint32_t>, std::vector<std::pair<DriveCost, std::uint32_t>>,
                        std::greater<>>
        queue;
    best[start] = 0;
    queue.emplace(0, start);
    while (!queue.empty()) {
      auto const [cost, node] = queue.top();
      queue.pop();
      if (cost > best[node]) continue;
      for (auto const& [next, step] : out[node]) {
        if (cost + step < best[next]) {
          best[next] = cost + step;
          queue.emplace(cost + step, next);
        }
      }
    }
    all.push_back(std::move(best));
  }
  return all;
}

std::filesystem::path data_folder() {
  char const* const given = std::getenv("BRINECAST_DATA");
  if (given != nullptr) return given;
  return std::filesystem::path(__FILE__).parent_path() / "../../../../shared/data";
}

}  // namespace

TEST_CASE("a van obeys the tags of ways", "[sim][rounds][unit]") {
  class Tags : public WayTags {
   public:
    explicit Tags(std::map<std::string, std::string> tags) : tags_(std::move(tags)) {}
    [[nodiscard]] std::string_view value(char const* key) const override {
      auto const found = tags_.find(key);
      return found == tags_.end() ? std::string_view() : std::string_view(found->second);
    }

   private:
    std::map<std::string, std::string> tags_;
  };
  auto const way = [](std::map<std::string, std::string> tags) { return drivable_way(Tags(std::move(tags))); };
  CHECK_FALSE(way({{"highway", "footway"}}));
  CHECK_FALSE(way({{"highway", "residential"}, {"access", "no"}}));
  CHECK(way({{"highway", "residential"}, {"access", "no"}, {"motor_vehicle", "yes"}}));
  CHECK(way({{"highway", "residential"}, {"access", "private"}})->last_resort);
  CHECK(way({{"highway", "service"}, {"service", "driveway"}})->last_resort);
  CHECK_FALSE(way({{"highway", "residential"}})->last_resort);
  CHECK_FALSE(way({{"highway", "residential"}, {"oneway", "yes"}})->backward);
  CHECK_FALSE(way({{"highway", "residential"}, {"oneway", "-1"}})->forward);
  CHECK_FALSE(way({{"highway", "motorway"}})->backward);
  CHECK_FALSE(way({{"highway", "tertiary"}, {"junction", "roundabout"}})->backward);
  CHECK_FALSE(way({{"highway", "motorway"}})->may_stop);
  CHECK(*speed_limit_m_per_s("25 mph") == Approx(25 * 0.44704));
  CHECK(*speed_limit_m_per_s("10 knots") == Approx(10 * 1852.0 / 3600.0));
  CHECK_FALSE(speed_limit_m_per_s("25 furlongs"));
  CHECK(*speed_limit_m_per_s("50") == Approx(50 / 3.6));
  CHECK_FALSE(speed_limit_m_per_s("signals"));
}

TEST_CASE("an extract becomes its largest connected part with times from lengths and speeds", "[sim][rounds][unit]") {
  TemporaryFile const file("square.osm", square_town);
  Problems problems;
  RoadNetwork const network = read_road_extract(file.path(), 1.0, problems);
  REQUIRE(problems.empty());
  CHECK(network.nodes() == 4);  // neither the island, nor behind the bollard, nor the footway
  std::vector<Position> const corners{{0.0, 0.0}, {0.01, 0.0}, {0.01, 0.01}, {0.0, 0.01}};
  PlacesOnRoads const on_roads = put_on_roads(network, corners);
  auto const& nodes = on_roads.node_of_place;
  for (std::uint32_t const node : nodes) REQUIRE(node != PlacesOnRoads::off_road);
  auto const costs = fastest_drive_costs(on_roads.network, nodes);
  double const side_m = 6371008.8 * 0.01 * 3.14159265358979 / 180.0;
  auto const seconds = [&](std::size_t from, std::size_t to) { return drive_time_ds(costs[from * 4 + to]) / 10.0; };
  CHECK(seconds(0, 1) == Approx(side_m / (30.0 / 3.6)).margin(0.3));         // residential, 30 km/h
  CHECK(seconds(1, 2) == Approx(side_m / (0.85 * 60.0 / 3.6)).margin(0.3));  // by its limit
  // Back from 2 to 1 not against the one-way street, but around; the private short cut costs two stops at its gates.
  double const short_cut_s = std::sqrt(2.0) * side_m / (30.0 / 3.6) + 2 * gate_delay_s;
  double const around_s = 2 * side_m / (30.0 / 3.6);
  CHECK(seconds(2, 0) == Approx(std::min(short_cut_s, around_s)).margin(0.5));
  CHECK(seconds(1, 0) == Approx(seconds(1, 2) + seconds(2, 0)).margin(0.3));
}

TEST_CASE("pools that a map shows are listed with their area", "[sim][rounds][unit]") {
  TemporaryFile const file("pools.osm", square_town);
  Problems problems;
  auto const pools = mapped_pools(file.path(), problems);
  REQUIRE(pools.size() == 1);
  CHECK(pools[0].area_m2 == Approx(11.1195 * 11.1195).epsilon(1e-3));  // 0.0001 degrees squared on the equator
  CHECK(pools[0].position.longitude_deg == Approx(0.01005).epsilon(1e-6));
}

TEST_CASE("a pool that is mapped as a point or cut by the extract's edge is listed without an area",
          "[sim][rounds][unit]") {
  TemporaryFile const file("pools.osm", R"(<osm version="0.6">
  <node id="1" lat="28.1" lon="-93.1"><tag k="leisure" v="swimming_pool"/></node>
  <node id="2" lat="28.2" lon="-93.2"/><node id="3" lat="28.2001" lon="-93.2"/>
  <node id="4" lat="28.3" lon="-93.3"><tag k="leisure" v="swimming_pool"/><tag k="indoor" v="yes"/></node>
  <way id="7"><nd ref="2"/><nd ref="3"/><nd ref="90"/><nd ref="2"/><tag k="leisure" v="swimming_pool"/></way>
  <way id="8"><nd ref="91"/><nd ref="92"/><nd ref="93"/><nd ref="91"/><tag k="leisure" v="swimming_pool"/></way>
</osm>)");
  Problems problems;
  CHECK(pool_list_csv(mapped_pools(file.path(), problems)) ==
        "name,longitude,latitude,surface_area [m2]\n"
        "node 1,-93.1000000,28.1000000,\n"
        "way 7,-93.2000000,28.2000000,\n");
  CHECK(problems.empty());
}

TEST_CASE("a search of drives can be used again and again", "[sim][rounds][unit]") {
  TemporaryFile const file("again.osm", square_town);
  Problems problems;
  RoadNetwork const roads = read_road_extract(file.path(), 1.0, problems);
  DriveSearch search(roads);
  // Twice, so that every drive once follows another one.
  for (int turn = 0; turn < 2; ++turn) {
    for (std::uint32_t from = 0; from < roads.nodes(); ++from) {
      auto const costs = roads.drive_costs_from(from);
      for (std::uint32_t to = 0; to < roads.nodes(); ++to) {
        auto const drive = search.fastest_drive(from, to);
        REQUIRE(drive.front() == from);
        REQUIRE(drive.back() == to);
        DriveCost cost = 0;
        for (std::size_t step = 1; step < drive.size(); ++step) {
          auto const [arc, there] = boost::edge(drive[step - 1], drive[step], roads.graph());
          REQUIRE(there);
          cost += roads.graph()[arc].cost;
        }
        CHECK(cost == costs[to]);
      }
    }
  }
}

TEST_CASE("a thinned line stays within its tolerance of the full one and keeps its corners", "[sim][rounds][unit]") {
  // A kilometre north in small steps with a wobble of 2 m, then a kilometre east; a degree is 111 195 m here.
  constexpr double degrees_per_m = 1.0 / 111195.0;
  std::vector<Position> line;
  for (int i = 0; i <= 100; ++i) line.push_back({(i % 2) * 2.0 * degrees_per_m, i * 10.0 * degrees_per_m});
  for (int i = 1; i <= 100; ++i) line.push_back({i * 10.0 * degrees_per_m, 1000.0 * degrees_per_m});
  auto const few = thinned(line, 5.0);
  REQUIRE(few.size() == 3);
  CHECK(few[1].latitude_deg == Approx(1000.0 * degrees_per_m));
  CHECK(thinned(line, 1.0).size() > 50);
  // Out and back the same way: the ends meet, yet the far point stays.
  std::vector<Position> const there_and_back{{0.0, 0.0}, {0.0, 0.005}, {0.0, 0.01}, {0.0, 0.005}, {0.0, 0.0}};
  auto const kept = thinned(there_and_back, 5.0);
  REQUIRE(kept.size() == 3);
  CHECK(kept[1].latitude_deg == 0.01);
}

TEST_CASE("a pool far from every road is named", "[sim][rounds][hostile]") {
  TemporaryFile const file("far.osm", square_town);
  Scenario town = tests::small_town(2, 1, 500.0);
  town.roads.kind = RoadKind::osm_extract;
  town.roads.file = file.path();
  town.pools[1].name = "Far Away 9";
  town.pools[1].position = {1.0, 1.0};
  Problems problems;
  travel_table(town, problems);
  REQUIRE(problems.all().size() == 1);
  CHECK(problems.text().find("Far Away 9") != std::string::npos);
}

TEST_CASE("kept travel tables are found by content, and damaged ones are not believed", "[sim][rounds][hostile]") {
  auto const folder = std::filesystem::temp_directory_path() / "brinecast_cache_test";
  std::filesystem::remove_all(folder);
  TemporaryFile const file("kept.osm", square_town);
  Scenario town = tests::small_town(3, 1, 500.0);
  town.roads.kind = RoadKind::osm_extract;
  town.roads.file = file.path();
  std::string const key = travel_key(town);
  CHECK(key == travel_key(town));
  CHECK_FALSE(read_cached_travel(folder, key));
  TravelTable table(5);
  for (std::size_t i = 0; i < 25; ++i)
    table.set(i / 5, i % 5, static_cast<std::int32_t>(i), static_cast<std::int32_t>(7 * i));
  write_cached_travel(folder, key, table);
  auto const known = read_cached_travel(folder, key);
  REQUIRE(known);
  REQUIRE(known->places() == 5);
  CHECK(known->seconds(3, 4) == 19);
  CHECK(known->metres(3, 4) == 133);
  Scenario moved = town;
  moved.pools[0].position.latitude_deg += 1e-6;
  CHECK(travel_key(moved) != key);
  moved = town;
  moved.roads.speed_factor = 0.9;
  CHECK(travel_key(moved) != key);
  for (auto const& entry : std::filesystem::directory_iterator(folder)) {
    std::fstream damaged(entry.path(), std::ios::in | std::ios::out | std::ios::binary);
    damaged.seekp(-3, std::ios::end);
    damaged.put('\x55');
  }
  CHECK_FALSE(read_cached_travel(folder, key));
  std::filesystem::remove_all(folder);
}

TEST_CASE("a broken or absent extract is one clear problem", "[sim][rounds][hostile]") {
  for (std::string const content :
       {"", "<osm version=\"0.6\"><node id=", "not xml at all", "<osm version=\"0.6\"></osm>"}) {
    TemporaryFile const file("broken.osm", content);
    Problems problems;
    CHECK(read_road_extract(file.path(), 1.0, problems).nodes() == 0);
    CHECK(problems.all().size() == 1);
  }
  // Its pools, wherever it breaks off.
  for (std::string const cut : {"<way id=\"8\"><nd", "</osm>"}) {
    TemporaryFile const file("broken.osm", std::string(square_town).substr(0, std::string(square_town).find(cut)));
    Problems problems;
    CHECK(mapped_pools(file.path(), problems).empty());
    CHECK(problems.all().size() == 1);
  }
  // A first block without a name and cut short.
  using namespace std::string_literals;
  TemporaryFile const unnamed("unnamed.osm.pbf", "\0\0\0\x03\x18\x38\x10"s);
  Problems of_unnamed;
  CHECK(read_road_extract(unnamed.path(), 1.0, of_unnamed).nodes() == 0);
  CHECK(of_unnamed.all().size() == 1);
  Problems problems;
  read_road_extract("/nowhere/at_all.osm.pbf", 1.0, problems);
  CHECK(problems.all().size() == 1);
}

TEST_CASE("drives on a real network equal an independent search, and their shapes are drivable",
          "[sim][rounds][unit]") {
  std::filesystem::path const extract = data_folder() / "roads/san_bernardino_north.osm.pbf";
  if (!std::filesystem::exists(extract)) {
    WARN("SKIPPED: no " << extract << "; set BRINECAST_DATA");
    return;
  }
  Problems problems;
  Scenario town = tests::small_town(0, 2, 3000.0);
  for (MappedPool const& mapped : mapped_pools(extract, problems)) {
    Pool pool;
    pool.name = mapped.name;
    pool.position = mapped.position;
    town.pools.push_back(pool);
  }
  CHECK(town.pools.size() == 27);  // as counted by another reader of the same file
  town.technicians[0].start = town.technicians[0].end = {-117.320, 34.180};
  town.technicians[1].start = town.technicians[1].end = {-117.300, 34.170};
  town.roads.kind = RoadKind::osm_extract;
  town.roads.file = extract;
  TravelTable const travel = travel_table(town, problems);
  INFO(problems.text());
  REQUIRE(problems.empty());

  RoadNetwork const roads = read_road_extract(extract, 1.0, problems);
  PlacesOnRoads const on_roads = put_on_roads(roads, places_of(town));
  auto const by_hand = distances_by_hand(on_roads.network, on_roads.node_of_place);
  for (std::size_t from = 0; from < travel.places(); ++from) {
    for (std::size_t to = 0; to < travel.places(); ++to) {
      DriveCost const cost = by_hand[from][on_roads.node_of_place[to]];
      REQUIRE(travel.seconds(from, to) == static_cast<std::int32_t>((drive_time_ds(cost) + 5) / 10));
      REQUIRE(travel.metres(from, to) == static_cast<std::int32_t>((drive_length_dm(cost) + 5) / 10));
    }
  }

  TravelTable const by_labels = travel_table(town, problems, 0);
  REQUIRE(problems.empty());
  REQUIRE_FALSE(by_labels.holds_all_pairs());
  for (std::size_t from = 0; from < travel.places(); ++from) {
    for (std::size_t to = 0; to < travel.places(); ++to) {
      REQUIRE(by_labels.seconds(from, to) == travel.seconds(from, to));
      REQUIRE(by_labels.metres(from, to) == travel.metres(from, to));
    }
  }

  std::vector<PlannedPool> pools;
  for (std::size_t i = 0; i < town.pools.size(); ++i) pools.push_back({static_cast<PoolId>(i), 7.0, 1500.0, 5.0});
  town.rounds.planning_time_s = 0.1;
  RoundsPlan const plan = plan_rounds(town, travel, pools, 1);
  CHECK(plan.unserved.empty());
  CHECK(plan.lower_bound <= plan.cost);
  std::map<std::pair<std::uint32_t, std::uint32_t>, DriveCost> arcs;
  for (RoadArc const& arc : on_roads.network.arcs()) arcs.emplace(std::pair(arc.from, arc.to), arc.cost);
  std::map<std::pair<double, double>, std::vector<std::uint32_t>> nodes_at;
  for (std::uint32_t node = 0; node < on_roads.network.nodes(); ++node) {
    Position const position = on_roads.network.position(node);
    nodes_at[{position.longitude_deg, position.latitude_deg}].push_back(node);
  }
  auto const shapes = route_shapes(town, {plan}, problems).at(0);
  REQUIRE(shapes.size() == plan.rounds.size());
  for (std::size_t round = 0; round < shapes.size(); ++round) {
    // Every step of the shape is an arc of the network that may be driven in that direction.
    double time_s = 0.0;
    for (std::size_t step = 1; step < shapes[round].size(); ++step) {
      Position const a = shapes[round][step - 1];
      Position const b = shapes[round][step];
      REQUIRE((a.longitude_deg != b.longitude_deg || a.latitude_deg != b.latitude_deg));
      DriveCost best = no_drive;
      for (std::uint32_t const from : nodes_at[{a.longitude_deg, a.latitude_deg}]) {
        for (std::uint32_t const to : nodes_at[{b.longitude_deg, b.latitude_deg}]) {
          auto const arc = arcs.find({from, to});
          if (arc != arcs.end()) best = std::min(best, arc->second);
          if (from == to) best = 0;
        }
      }
      REQUIRE(best != no_drive);
      time_s += drive_time_ds(best) / 10.0;
    }
    CHECK(time_s == Approx(plan.rounds[round].driving_s)
                        .margin(0.5 * static_cast<double>(plan.rounds[round].stops.size() + 1) + 1.0));
  }
}
