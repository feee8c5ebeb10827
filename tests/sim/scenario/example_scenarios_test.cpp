// The examples that the repository carries, and where their paths lead.

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <set>

#include "sim/scenario/read_scenario.hpp"
#include "tests/sim/scenario/town.hpp"

using namespace brinecast;

namespace {

std::filesystem::path const scenarios = BRINECAST_SOURCE_DIR "/scenarios";

/// Sets BRINECAST_DATA and puts it back.
class DataFolder {
 public:
  explicit DataFolder(char const* folder) {
    if (char const* const before = std::getenv("BRINECAST_DATA")) before_ = before;
    if (folder != nullptr) {
      ::setenv("BRINECAST_DATA", folder, 1);
    } else {
      ::unsetenv("BRINECAST_DATA");
    }
  }
  DataFolder(DataFolder const&) = delete;
  DataFolder& operator=(DataFolder const&) = delete;
  ~DataFolder() {
    if (before_.empty()) {
      ::unsetenv("BRINECAST_DATA");
    } else {
      ::setenv("BRINECAST_DATA", before_.c_str(), 1);
    }
  }

 private:
  std::string before_;
};

}  // namespace

TEST_CASE("the valley is a fleet of at least 240 different pools under three policies that differ in the interval only",
          "[sim][scenario][unit]") {
  sim::Problems problems;
  auto const valley = sim::read_scenario(scenarios / "valley.toml", problems);
  INFO(problems.text());
  REQUIRE(valley.has_value());
  CHECK(valley->pools.size() >= 240);
  CHECK(valley->technicians.size() == 4);
  CHECK(valley->season.days == 245);
  CHECK(valley->weather.kind == sim::WeatherKind::generated);
  std::set<std::string> neighbourhoods;
  std::set<sim::CoverKind> covers;
  std::set<std::size_t> fill_waters;
  std::set<double> volumes;
  for (auto const& pool : valley->pools) {
    neighbourhoods.insert(pool.neighbourhood);
    covers.insert(pool.cover);
    fill_waters.insert(pool.fill_water);
    volumes.insert(pool.water_volume_m3);
    CHECK(pool.water_volume_m3 >= 30.0);
    CHECK(pool.water_volume_m3 <= 120.0);
  }
  CHECK(neighbourhoods.size() >= 4);
  CHECK(covers.size() == 3);
  CHECK(fill_waters.size() == 3);
  CHECK(volumes.size() > 150);
  REQUIRE(valley->policies.size() == 3);
  std::map<std::string, double> intervals;
  for (auto const& policy : valley->policies) intervals[policy.name] = policy.visits.interval_d;
  CHECK(intervals == std::map<std::string, double>{{"weekly", 7.0}, {"every_ten_days", 10.0}, {"fortnightly", 14.0}});
}

TEST_CASE("the measured example reads where its data are", "[sim][scenario][unit]") {
  sim::ResolvedPath const data = sim::resolve_path("${BRINECAST_DATA}/weather", scenarios / "valley_measured.toml");
  if (!data.path || !std::filesystem::is_directory(*data.path)) {
    WARN("SKIPPED: the data folder is not here; set BRINECAST_DATA to it");
    return;
  }
  sim::Problems problems;
  auto const valley = sim::read_scenario(scenarios / "valley_measured.toml", problems);
  INFO(problems.text());
  REQUIRE(valley.has_value());
  CHECK(valley->pools.size() == 60);
  CHECK(valley->weather.kind == sim::WeatherKind::measured);
  CHECK(valley->roads.kind == sim::RoadKind::osm_extract);
}

TEST_CASE("a scenario read from its text is the scenario read from its file", "[sim][scenario][unit]") {
  sim::Problems problems;
  auto const from_file = sim::read_scenario(scenarios / "valley.toml", problems);
  REQUIRE(from_file.has_value());
  auto const from_text = sim::read_scenario_text(from_file->text, scenarios / "valley.toml", problems);
  REQUIRE(from_text.has_value());
  CHECK(from_text->text == from_file->text);
  CHECK(from_text->pools.size() == from_file->pools.size());
  CHECK(from_text->pools.back().leak_m3_per_s == from_file->pools.back().leak_m3_per_s);
}

TEST_CASE("paths start in the scenario's folder or in the data folder", "[sim][scenario][unit]") {
  CHECK(sim::resolve_path("valley/pools.csv", "somewhere/valley.toml").path == "somewhere/valley/pools.csv");
  CHECK(sim::resolve_path("../pools.csv", "a/b/valley.toml").path == "a/pools.csv");
  CHECK(sim::resolve_path("/data/pools.csv", "a/valley.toml").path == "/data/pools.csv");
  {
    DataFolder const folder("/srv/data");
    CHECK(sim::resolve_path("${BRINECAST_DATA}/roads/town.osm.pbf", "a/b.toml").path == "/srv/data/roads/town.osm.pbf");
  }
  DataFolder const none(nullptr);
  auto const lost = sim::resolve_path("${BRINECAST_DATA}/roads", "/proc/self/town.toml");
  CHECK_FALSE(lost.path.has_value());
  CHECK(
      lost.problem ==
      "BRINECAST_DATA is not set and no folder shared/data stands beside the scenario's folders; set it to the folder "
      "that holds the data");
}

TEST_CASE("without the variable the data folder is found beside the folders above the scenario",
          "[sim][scenario][unit]") {
  DataFolder const none(nullptr);
  auto const top = std::filesystem::temp_directory_path() / "brinecast_data_beside";
  std::filesystem::create_directories(top / "shared" / "data");
  std::filesystem::create_directories(top / "checkout" / "scenarios");
  auto const found =
      sim::resolve_path("${BRINECAST_DATA}/weather/year.csv", top / "checkout" / "scenarios" / "town.toml");
  CHECK(found.path == top / "shared" / "data" / "weather" / "year.csv");
  std::filesystem::remove_all(top);
}
