// Pools from a list and from the generator.

#include <fmt/format.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <numbers>
#include <numeric>
#include <sstream>

#include "sim/scenario/earth.hpp"
#include "sim/scenario/read_pools.hpp"
#include "sim/scenario/read_scenario.hpp"

using namespace brinecast::sim;

namespace {

std::string scenario_text(std::string const& fleet) {
  return "[season]\nfirst_day = 2027-03-01\ndays = 10\n[weather]\nkind = \"generated\"\nclimate_file = "
         "\"" BRINECAST_SOURCE_DIR
         "/scenarios/valley/climate.csv\"\n[depot]\nlongitude = -93.0\nlatitude = "
         "28.2\n[[technicians]]\nname = \"Mara\"\nskills = [\"club\"]\n[policies.weekly]\n[fleet]\n" +
         fleet;
}

Scenario read(std::string const& fleet) {
  Problems problems;
  auto scenario = read_scenario_text(scenario_text(fleet), "town.toml", problems);
  INFO(problems.text());
  REQUIRE(scenario.has_value());
  return *scenario;
}

std::string const centre = "centre = { longitude = -93.0, latitude = 28.2 }\nradius = \"5 km\"\n";

double number_of(Pool pool, std::string_view column) {
  for (auto const& candidate : pool_columns()) {
    if (candidate.name == column) return candidate.value(pool) * candidate.SI_per_kept;
  }
  throw std::logic_error("no such column");
}

}  // namespace

TEST_CASE("a generated fleet is the same every time it is read", "[sim][scenario][unit]") {
  Scenario const once = read("count = 50\n" + centre);
  Scenario const again = read("count = 50\n" + centre);
  for (std::size_t i = 0; i < 50; ++i) {
    for (auto const& column : pool_columns()) {
      CAPTURE(i, column.name);
      CHECK(number_of(once.pools[i], column.name) == number_of(again.pools[i], column.name));
    }
    CHECK(once.pools[i].position.longitude_deg == again.pools[i].position.longitude_deg);
    CHECK(once.pools[i].cover == again.pools[i].cover);
  }
}

TEST_CASE("a pool of a generated fleet does not depend on how many others there are", "[sim][scenario][unit]") {
  Scenario const few = read("count = 10\n" + centre);
  Scenario const many = read("count = 400\n" + centre);
  for (std::size_t i = 0; i < 10; ++i) {
    CHECK(few.pools[i].water_volume_m3 == many.pools[i].water_volume_m3);
    CHECK(few.pools[i].position.latitude_deg == many.pools[i].position.latitude_deg);
  }
}

TEST_CASE("giving one trait leaves the draws of the others alone", "[sim][scenario][unit]") {
  Scenario const drawn = read("count = 30\n" + centre);
  Scenario const given = read("count = 30\n" + centre + "traits.pump_hours = \"9 h\"\n");
  for (std::size_t i = 0; i < 30; ++i) {
    CHECK(given.pools[i].pump_hours_per_day == Approx(9.0));
    CHECK(given.pools[i].water_volume_m3 == drawn.pools[i].water_volume_m3);
    CHECK(given.pools[i].start.salt_kg_per_m3 == drawn.pools[i].start.salt_kg_per_m3);
  }
}

TEST_CASE("a trait that is one value holds for every pool, with a unit or without", "[sim][scenario][unit]") {
  Scenario const fixed = read("count = 5\n" + centre +
                              "traits.start_ph = 7.25\ntraits.water_volume = \"48 m3\"\ntraits.fill_water = { mains = "
                              "1.0 }\ntraits.automatic_refill = { no = 1.0 }\n");
  for (auto const& pool : fixed.pools) {
    CHECK(pool.start.ph == 7.25);
    CHECK(number_of(pool, "water_volume") == Approx(48.0));
    CHECK(pool.fill_water == 0);
    CHECK_FALSE(pool.automatic_refill);
  }
}

TEST_CASE("another seed draws another fleet", "[sim][scenario][unit]") {
  Problems problems;
  auto const one = read("count = 5\n" + centre);
  auto const other = read_scenario_text("seed = 2\n" + scenario_text("count = 5\n" + centre), "town.toml", problems);
  REQUIRE(other.has_value());
  CHECK(one.pools[0].water_volume_m3 != other->pools[0].water_volume_m3);
}

TEST_CASE("drawn traits stay inside the limits of their columns", "[sim][scenario][unit]") {
  Scenario const scenario = read("count = 3000\n" + centre);
  for (auto const& pool : scenario.pools) {
    for (auto const& column : pool_columns()) {
      double const value = number_of(pool, column.name);
      CAPTURE(column.name, value);
      // A rounding beside a limit is no fault: the kept value is in other units than the limit.
      REQUIRE(value >= column.limits.lower - 1e-12 * std::fabs(column.limits.lower));
      REQUIRE(value <= column.limits.upper + 1e-12 * std::fabs(column.limits.upper));
    }
    REQUIRE(great_circle_m(pool.position, {-93.0, 28.2}) < 5001.0);
    if (pool.cover == CoverKind::none) REQUIRE(pool.covered_share_of_day == 0.0);
  }
}

TEST_CASE("a stated distribution is the one that is drawn from", "[sim][scenario][statistics]") {
  constexpr int count = 4000;
  Scenario const scenario = read("count = " + std::to_string(count) + "\n" + centre +
                                 "traits.water_volume = { median = \"16000 gal\", spread = 0.3 }\n"
                                 "traits.start_salt = { mean = \"3100 ppm\", spread = 0.05 }\n"
                                 "traits.sun_exposure = { low = \"40 %\", high = \"90 %\" }\n"
                                 "traits.cover = { none = \"25 %\", solid = \"75 %\" }\n"
                                 "traits.class = { home = \"90 %\", \"small club\" = \"10 %\" }\n");
  // Each check allows 4.9 standard errors: one false alarm in a million, for a seed that never changes.
  double const allowed = 4.9 / std::sqrt(static_cast<double>(count));
  auto const mean_of = [&](auto const& value) {
    return std::accumulate(scenario.pools.begin(), scenario.pools.end(), 0.0,
                           [&](double sum, Pool const& pool) { return sum + value(pool); }) /
           count;
  };
  CHECK(mean_of([](Pool const& p) { return std::log(p.water_volume_m3); }) ==
        Approx(std::log(16000 * 3.785411784e-3)).margin(0.3 * allowed));
  CHECK(mean_of([](Pool const& p) { return p.start.salt_kg_per_m3; }) == Approx(3.1).margin(0.155 * allowed));
  CHECK(mean_of([](Pool const& p) { return p.sun_exposure; }) == Approx(0.65).margin(0.5 / std::sqrt(12.0) * allowed));
  CHECK(mean_of([](Pool const& p) { return p.cover == CoverKind::solid ? 1.0 : 0.0; }) ==
        Approx(0.75).margin(std::sqrt(0.75 * 0.25) * allowed));
  CHECK(mean_of([](Pool const& p) { return p.pool_class == "home" ? 1.0 : 0.0; }) ==
        Approx(0.9).margin(std::sqrt(0.9 * 0.1) * allowed));
  CHECK(std::none_of(scenario.pools.begin(), scenario.pools.end(),
                     [](Pool const& p) { return p.cover == CoverKind::bubble; }));
}

TEST_CASE("the cells of a list are read in the units of their headers, or in their own", "[sim][scenario][unit]") {
  Scenario scenario;
  scenario.fill_waters.push_back({.name = "mains"});
  FleetTraits const traits = read_fleet_traits(std::nullopt, scenario);
  Problems problems;
  auto const pools = read_pool_list(
      "name,longitude,latitude,water_volume [gal],pump_hours [h],start_temperature [degF],cell_rating "
      "[lb/d],gate_opens\n"
      "Alder Row 4,-93,28.2,16000,10,68,1.3,07:45\n"
      "Bracken Lane 9,-93,28.2,60 m3,600 min,20 degC,0.6 kg/d,\n",
      "pools.csv", scenario, traits, problems);
  INFO(problems.text());
  REQUIRE(pools.size() == 2);
  REQUIRE(problems.empty());
  CHECK(pools[0].water_volume_m3 == Approx(60.566588544));
  CHECK(pools[0].pump_hours_per_day == Approx(10.0));
  CHECK(pools[0].start.temperature_K == Approx(293.15));
  CHECK(pools[0].cell_rated_production_kg_per_s == Approx(1.3 * 0.45359237 / 86400));
  CHECK(pools[0].gate_opens_s == 7 * 3600 + 45 * 60);
  CHECK(pools[1].water_volume_m3 == Approx(60.0));
  CHECK(pools[1].pump_hours_per_day == Approx(10.0));
  CHECK(pools[1].start.temperature_K == Approx(293.15));
  CHECK(pools[1].gate_opens_s == 0.0);
}

TEST_CASE("distances are those on a sphere of the mean radius of the Earth", "[sim][scenario][published]") {
  // Moritz, "Geodetic Reference System 1980", Journal of Geodesy 74, 2000: mean radius 6,371,008.7714 m (from memory).
  constexpr double radius_m = 6371008.7714;
  CHECK(great_circle_m({0.0, 0.0}, {30.0, 90.0}) == Approx(radius_m * std::numbers::pi / 2.0).epsilon(1e-8));
  CHECK(great_circle_m({179.5, 0.0}, {-179.5, 0.0}) == Approx(metres_per_degree).epsilon(1e-12));
  CHECK(great_circle_m({-93.0, 28.2}, {-93.0, 29.2}) == Approx(metres_per_degree).epsilon(1e-12));
  CHECK(great_circle_m({10.0, 45.0}, {10.0, 45.0}) == 0.0);
  CHECK(great_circle_m({0.0, 10.0}, {180.0, -10.0}) == Approx(radius_m * std::numbers::pi).epsilon(1e-8));
}

TEST_CASE("pools without a site take the nearest one", "[sim][scenario][unit]") {
  Scenario scenario;
  scenario.fill_waters.push_back({.name = "mains"});
  scenario.sites = {{.name = "hill", .position = {-93.1, 28.2}}, {.name = "shore", .position = {-92.9, 28.2}}};
  FleetTraits const traits = read_fleet_traits(std::nullopt, scenario);
  Problems problems;
  auto const pools =
      read_pool_list("name,longitude,latitude,site\nA,-93.09,28.2,\nB,-92.95,28.2,\nC,-92.95,28.2,hill\n", "pools.csv",
                     scenario, traits, problems);
  REQUIRE(pools.size() == 3);
  CHECK(pools[0].site == SiteId{0});
  CHECK(pools[1].site == SiteId{1});
  CHECK(pools[2].site == SiteId{0});
}

TEST_CASE("a fleet without sites has one at its centre", "[sim][scenario][unit]") {
  Scenario const scenario = read("count = 2000\nelevation = \"1000 ft\"\n" + centre);
  REQUIRE(scenario.sites.size() == 1);
  CHECK(scenario.sites[0].elevation_m == Approx(304.8));
  // The mean of 2000 places in a disc of 5 km radius, whose coordinates have a standard deviation of 2.5 km: within
  // 4.9 standard errors, one false alarm in a million.
  CHECK(great_circle_m(scenario.sites[0].position, {-93.0, 28.2}) < 4.9 * 2500 * std::sqrt(2.0) / std::sqrt(2000.0));
}

TEST_CASE("a fleet on both sides of the date line has its site and its clock there", "[sim][scenario][unit]") {
  std::string text =
      scenario_text("count = 200\ncentre = { longitude = 179.99, latitude = 28.2 }\nradius = \"5 km\"\n");
  auto const depot = text.find("longitude = -93.0");
  REQUIRE(depot != std::string::npos);
  text.replace(depot, std::string("longitude = -93.0").size(), "longitude = -179.99");
  Problems problems;
  auto const scenario = read_scenario_text(text, "town.toml", problems);
  INFO(problems.text());
  REQUIRE(scenario.has_value());
  bool east = false, west = false;
  for (Pool const& pool : scenario->pools) {
    CHECK(std::fabs(pool.position.longitude_deg) <= 180.0);
    (pool.position.longitude_deg > 0.0 ? east : west) = true;
  }
  CHECK((east && west));
  CHECK(great_circle_m(scenario->sites.front().position, {179.99, 28.2}) < 2000.0);
  CHECK(std::fabs(scenario->season.utc_offset_h) == 12.0);
}

TEST_CASE("a scenario that states no clock has standard time by its longitude", "[sim][scenario][unit]") {
  CHECK(read("count = 5\n" + centre).season.utc_offset_h == -6.0);
}

TEST_CASE("technicians work on their weekdays that are no holidays, from Monday to Friday unless told otherwise",
          "[sim][scenario][unit]") {
  Scenario scenario;
  auto const day = [](int of_may) { return std::chrono::sys_days{std::chrono::year{2027} / 5 / of_may}; };
  scenario.season.holidays = {day(31)};  // a Monday
  CHECK(scenario.is_working_day(day(24)));
  CHECK(scenario.is_working_day(day(28)));
  CHECK_FALSE(scenario.is_working_day(day(29)));
  CHECK_FALSE(scenario.is_working_day(day(30)));
  CHECK_FALSE(scenario.is_working_day(day(31)));
  scenario.rounds.working_days = {std::chrono::Saturday};
  CHECK_FALSE(scenario.is_working_day(day(28)));
  CHECK(scenario.is_working_day(day(29)));
}

TEST_CASE("a column is accepted at its limits as they are shown", "[sim][scenario][unit]") {
  for (auto const& column : pool_columns()) {
    if (!column.kind) continue;
    for (double const limit : {column.limits.lower, column.limits.upper}) {
      std::string const unit = usual_unit(column);
      ReadUnit const read_as = read_unit(unit, *column.kind);
      std::string const shown =
          fmt::format("{:.6g} {}", (limit - read_as.conversion->offset) / read_as.conversion->slope, unit);
      CAPTURE(column.name, shown);
      ReadQuantity const again = read_quantity(shown, *column.kind);
      REQUIRE(again.value);
      CHECK(range_problem(shown, again.number, *again.value, *column.kind, column.limits).empty());
    }
  }
}

TEST_CASE("a column that is wrong in every row is not reported row by row", "[sim][scenario][hostile]") {
  std::string text = "name,longitude,latitude,water_volume [m3]\n";
  for (int i = 0; i < 500; ++i) text += "pool " + std::to_string(i) + ",-93,28.2,16000\n";
  Scenario scenario;
  scenario.fill_waters.push_back({.name = "mains"});
  Problems problems;
  read_pool_list(text, "pools.csv", scenario, read_fleet_traits(std::nullopt, scenario), problems);
  REQUIRE(problems.all().size() == 11);
  CHECK(problems.all()[0].message ==
        "16000 m3 is more than 2000 m3, the largest accepted; was this in gal? write 16000 gal");
  CHECK(problems.all()[10].message ==
        "490 more rows have problems in this column; correct the first ones and check again");
}

TEST_CASE("every column of a pool list is documented", "[sim][scenario][unit]") {
  std::ifstream in(BRINECAST_SOURCE_DIR "/scenarios/README.md");
  std::stringstream readme;
  readme << in.rdbuf();
  for (auto const& column : pool_columns()) {
    CAPTURE(column.name);
    CHECK(readme.str().find(std::string("| `") + std::string(column.name)) != std::string::npos);
  }
  for (auto const& column : pool_word_columns()) {
    CAPTURE(column.name);
    CHECK(readme.str().find(std::string("| `") + std::string(column.name) + "` |") != std::string::npos);
  }
}
