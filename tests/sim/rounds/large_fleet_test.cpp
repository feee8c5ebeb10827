// Fleets too large for a table of all pairs. The limit is lowered, so that the same code runs on small ones.

#include <algorithm>
#include <catch2/catch.hpp>
#include <set>

#include "sim/parallel/parallel_loop.hpp"
#include "sim/random/random.hpp"
#include "sim/rounds/dispatch.hpp"
#include "sim/rounds/districts.hpp"
#include "sim/rounds/road_network.hpp"
#include "sim/rounds/straight_drives.hpp"
#include "sim/scenario/earth.hpp"
#include "tests/sim/rounds/small_town.hpp"

using namespace brinecast;
using namespace brinecast::sim;

namespace {

double drawn(std::uint32_t number, std::uint32_t what) {
  return uniform_pair({.seed = 8, .pool = number, .purpose = Purpose::pool_trait, .time = what})[0];
}

/// Streets of a grid with main roads, gaps, and blocks that are slow to leave in one direction.
RoadNetwork grid_town(std::uint32_t side) {
  std::vector<Position> positions;
  for (std::uint32_t node = 0; node < side * side; ++node) {
    positions.push_back({0.002 * (node % side), 0.002 * (node / side)});
  }
  std::vector<RoadArc> arcs;
  for (std::uint32_t node = 0; node < side * side; ++node) {
    for (std::uint32_t const next : {node + 1, node + side}) {
      bool const in_row = next == node + 1;
      if (next >= side * side || (in_row && next % side == 0)) continue;
      std::uint32_t const number = 2 * node + (in_row ? 1 : 0);
      if (drawn(number, 1) < 0.1) continue;
      bool const main_road = in_row ? (node / side) % 6 == 0 : (node % side) % 6 == 0;
      auto const length_dm = static_cast<std::uint32_t>(2200.0 + 400.0 * drawn(number, 2));
      std::uint32_t const time_ds = length_dm / (main_road ? 16 : 8);
      arcs.push_back({node, next, drive_cost(time_ds, length_dm), true});
      std::uint32_t const back = drawn(number, 3) < 0.2 ? 4 : 1;
      arcs.push_back({next, node, drive_cost(time_ds * back, length_dm * back), true});
    }
  }
  return RoadNetwork(std::move(positions), std::move(arcs)).largest_connected_part();
}

std::vector<PlannedPool> weekly_and_fortnightly(Scenario const& town, double service_s) {
  std::vector<PlannedPool> pools;
  for (std::uint32_t pool = 0; pool < town.pools.size(); ++pool) {
    pools.push_back({PoolId{pool}, pool % 2 == 0 ? 7.0 : 14.0, service_s, 4.0});
  }
  return pools;
}

}  // namespace

TEST_CASE("drives by labels equal the table of all pairs", "[sim][rounds][unit]") {
  RoadNetwork const network = grid_town(40);
  std::vector<std::uint32_t> places;
  for (std::uint32_t place = 0; place < 150; ++place) {
    places.push_back(static_cast<std::uint32_t>(drawn(place, 9) * network.nodes()));
  }
  places.push_back(places.front());  // two pools at one address
  auto const all_pairs = fastest_drive_costs(network, places);
  for (int const threads : {1, 2}) {
    DriveLabels labels;
    LoopThreads(threads).run(1, [&](std::size_t) { labels = DriveLabels(network, places); });
    REQUIRE(labels.places() == places.size());
    for (std::size_t from = 0; from < places.size(); ++from) {
      for (std::size_t to = 0; to < places.size(); ++to) {
        REQUIRE(labels.cost(from, to) == all_pairs[from * places.size() + to]);
      }
    }
  }
}

TEST_CASE("the drives among some of the places are those among all", "[sim][rounds][unit]") {
  RoadNetwork const network = grid_town(20);
  std::vector<std::uint32_t> places;
  for (std::uint32_t place = 0; place < 30; ++place) {
    places.push_back(static_cast<std::uint32_t>(drawn(place, 9) * network.nodes()));
  }
  Scenario const town = tests::small_town(28, 1);
  Problems problems;
  std::vector<std::size_t> const chosen{29, 3, 3, 17};  // a place may stand twice
  for (TravelTable const& all : {TravelTable(DriveLabels(network, places)), travel_table(town, problems, 0),
                                 travel_table(town, problems, most_places_of_pairs)}) {
    TravelTable const some = all.of_places(chosen);
    REQUIRE(some.places() == chosen.size());
    for (std::size_t from = 0; from < chosen.size(); ++from) {
      for (std::size_t to = 0; to < chosen.size(); ++to) {
        CHECK(some.seconds(from, to) == all.seconds(chosen[from], chosen[to]));
        CHECK(some.metres(from, to) == all.metres(chosen[from], chosen[to]));
      }
    }
  }
}

TEST_CASE("neighbours by labels and by positions are those of the table of all pairs", "[sim][rounds][unit]") {
  RoadNetwork const network = grid_town(30);
  constexpr std::size_t count = 7;
  std::vector<std::uint32_t> places;
  for (std::uint32_t place = 0; place < 80; ++place) {
    places.push_back(static_cast<std::uint32_t>(drawn(place, 9) * network.nodes()));
  }
  TravelTable const by_labels(DriveLabels(network, places));
  Scenario const town = tests::small_town(78, 1);
  Problems problems;
  for (TravelTable const& computed : {by_labels, travel_table(town, problems, 0)}) {
    REQUIRE_FALSE(computed.holds_all_pairs());
    constexpr std::size_t candidates = 78;
    auto const near = computed.neighbours(candidates, count);
    for (std::size_t place = 0; place < candidates; ++place) {
      std::vector<std::int32_t> from_s, to_s;
      for (std::size_t other = 0; other < candidates; ++other) {
        if (other == place) continue;
        from_s.push_back(computed.seconds(place, other));
        to_s.push_back(computed.seconds(other, place));
      }
      std::sort(from_s.begin(), from_s.end());
      std::sort(to_s.begin(), to_s.end());
      REQUIRE(near.from[place].size() == count);
      REQUIRE(near.to[place].size() == count);
      for (std::size_t rank = 0; rank < count; ++rank) {
        CHECK(computed.seconds(place, near.from[place][rank]) == from_s[rank]);
        CHECK(computed.seconds(near.to[place][rank], place) == to_s[rank]);
      }
      std::set<std::size_t> listed(near.from[place].begin(), near.from[place].end());
      listed.insert(near.to[place].begin(), near.to[place].end());
      for (std::size_t other = 0; other < candidates; ++other) {
        if (other == place || listed.count(other) != 0) continue;
        CHECK(std::min(computed.seconds(place, other), computed.seconds(other, place)) >= near.beyond[place].seconds);
        CHECK(std::min(computed.metres(place, other), computed.metres(other, place)) >= near.beyond[place].metres);
      }
    }
  }
}

TEST_CASE("plans and days are the same without a table of all pairs", "[sim][rounds][unit]") {
  Scenario town = tests::small_town(60, 2, 9000.0);
  town.rounds.planning_time_s = 0.05;
  Problems problems;
  TravelTable const pairs = travel_table(town, problems);
  TravelTable const computed = travel_table(town, problems, 0);
  REQUIRE(pairs.holds_all_pairs());
  REQUIRE_FALSE(computed.holds_all_pairs());
  auto const pools = weekly_and_fortnightly(town, 1500.0);
  RoundsPlan const a = plan_rounds(town, pairs, pools, 3);
  RoundsPlan const b = plan_rounds(town, computed, pools, 3);
  CHECK(a.cost == b.cost);
  CHECK(b.lower_bound == Approx(a.lower_bound).epsilon(1e-9));
  CHECK(b.lower_bound < b.cost);
  REQUIRE(a.rounds.size() == b.rounds.size());
  Dispatcher by_pairs(town, pairs);
  Dispatcher by_positions(town, computed);
  for (std::size_t index = 0; index < a.rounds.size(); ++index) {
    std::vector<WantedVisit> wanted;
    for (PlannedStop const& stop : a.rounds[index].stops) {
      wanted.push_back({.pool = stop.pool,
                        .service_s = 2000.0,
                        .planned_technician = a.rounds[index].technician,
                        .planned_position = static_cast<int>(wanted.size())});
    }
    wanted.push_back({.pool = PoolId{static_cast<std::uint32_t>(index % 60)}, .days_late = 1.0, .call_out = true});
    DayRounds const x = by_pairs.dispatch(wanted);
    DayRounds const y = by_positions.dispatch(wanted);
    CHECK(x.not_served == y.not_served);
    REQUIRE(x.rounds.size() == y.rounds.size());
    for (std::size_t round = 0; round < x.rounds.size(); ++round) {
      CHECK(x.rounds[round].driving_s == y.rounds[round].driving_s);
      CHECK(x.rounds[round].reach_end_s == y.rounds[round].reach_end_s);
    }
  }
}

TEST_CASE("a straight drive is the great circle lengthened, next door and across the date line",
          "[sim][rounds][unit]") {
  std::vector<Position> const places{{-93.0, 28.2}, {-93.00001, 28.2}, {-92.4, 28.9}, {179.9, -17.5}, {-179.8, -17.1}};
  StraightDrives const drives(places, 1.35, 9.0);
  for (std::size_t a = 0; a < places.size(); ++a) {
    for (std::size_t b = 0; b < places.size(); ++b) {
      CHECK(drives.length_m(a, b) == Approx(1.35 * great_circle_m(places[a], places[b])).epsilon(1e-9).margin(1e-6));
    }
  }
  CHECK(drives.length_m(3, 4) < 80e3);
}

TEST_CASE("districts share out all pools, by work, and follow preferences and skills", "[sim][rounds][unit]") {
  Scenario town = tests::small_town(400, 8, 30'000.0);
  town.technicians[6].skills = {"heater licence"};
  for (std::size_t pool = 0; pool < 400; pool += 40) town.pools[pool].skill = "heater licence";
  for (std::size_t pool = 1; pool < 400; pool += 20) town.pools[pool].preferred_technician = "technician 2";
  auto const pools = weekly_and_fortnightly(town, 1500.0);
  std::vector<double> intervals_d;
  for (PlannedPool const& pool : pools) intervals_d.push_back(pool.visit_interval_d);
  Period const period = planning_period(intervals_d, town.rounds);
  auto const parts = districts_of(town, pools, period, {.visits = 200, .technicians = 2, .pools = 3000});
  REQUIRE(parts.size() == 4);
  std::vector<int> seen(pools.size(), 0);
  std::vector<int> technicians(8, 0);
  for (District const& part : parts) {
    CHECK(part.technicians.size() == 2);
    CHECK(visits_in(part, period) > 120);  // of 600 visits, 150 each when even
    CHECK(visits_in(part, period) < 180);
    auto const has = [&](std::size_t technician) {
      return std::count(part.technicians.begin(), part.technicians.end(), technician) != 0;
    };
    for (std::size_t const technician : part.technicians) ++technicians[technician];
    for (std::size_t const pool : part.pools) {
      ++seen[pool];
      if (!town.pools[pool].skill.empty())
        CHECK(has(6));
      else if (!town.pools[pool].preferred_technician.empty())
        CHECK(has(2));
    }
  }
  CHECK(std::all_of(seen.begin(), seen.end(), [](int times) { return times == 1; }));
  CHECK(std::all_of(technicians.begin(), technicians.end(), [](int times) { return times == 1; }));
  // Memory stays bounded where few technicians face many pools: those far away are left out.
  auto const small = districts_of(town, pools, period, {.visits = 200, .technicians = 8, .pools = 50});
  REQUIRE(small.size() == 1);
  CHECK(small.front().pools.size() == 50);
}
