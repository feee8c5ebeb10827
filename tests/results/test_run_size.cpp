// What a run takes, told before it starts: that what is said to fit fits, and one more does not.

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <limits>

#include "results/run_size.hpp"

using namespace brinecast;
using Catch::Matchers::Contains;

namespace {

results::RunShape const town{.pools = 1000,
                             .technicians = 10,
                             .sites = 2,
                             .days = 240,
                             .policies = 3,
                             .replicates = 400,
                             .trace_pools = 20,
                             .threads = 8,
                             .visits_of_a_season = 30'000};

results::Room room(double memory_bytes, double disk_bytes) { return {memory_bytes, "the machine", disk_bytes}; }

constexpr double endless = std::numeric_limits<double>::infinity();

/// The number in a message that stands between two texts.
double number_between(std::string const& text, std::string const& before, std::string const& after) {
  auto const start = text.find(before);
  INFO(text);
  REQUIRE(start != std::string::npos);
  auto const end = text.find(after, start + before.size());
  REQUIRE(end != std::string::npos);
  return std::stod(text.substr(start + before.size(), end - start - before.size()));
}

}  // namespace

TEST_CASE("a run that fits is not spoken of", "[results][size][unit]") {
  CHECK(results::fault_of_size(town, room(endless, endless)).empty());
}

TEST_CASE("a run too large for the disk is told the most replicates and policies that fit", "[results][size][unit]") {
  double const bytes = 0.7 * results::size_of(town).disk_bytes;
  std::string const told = results::fault_of_size(town, room(endless, bytes));
  CHECK_THAT(told, Contains("the run needs about " + results::bytes_text(results::size_of(town).disk_bytes) +
                            " of disk, and " + results::bytes_text(bytes) + " are free where --out lies; "));
  auto const needs = [](auto const& change) {
    auto shape = town;
    change(shape);
    return results::size_of(shape).disk_bytes;
  };
  double const replicates = number_between(told, "--out lies; ", " replicates");
  CHECK(needs([&](auto& s) { s.replicates = replicates; }) <= bytes);
  CHECK(needs([&](auto& s) { s.replicates = replicates + 1; }) > bytes);
  CHECK_THAT(told, Contains(", or 2 policies"));
  CHECK_THAT(told, !Contains("--threads"));  // fewer threads save no disk
}

TEST_CASE("a run too large for memory is told what bounds it and what would fit", "[results][size][unit]") {
  double const bytes = 0.9 * results::size_of(town).memory_bytes;
  std::string const told = results::fault_of_size(town, room(bytes, endless));
  CHECK_THAT(told, Contains(" of memory, and the machine has " + results::bytes_text(bytes) + "; "));
  auto fewer = town;
  fewer.threads = number_between(told, "--threads ", ", or");
  CHECK(results::size_of(fewer).memory_bytes <= bytes);
  CHECK_THAT(results::fault_of_size(town, room(1e6, endless)),
             Contains("; make the scenario smaller in more than one way"));
}

TEST_CASE("more visits than a log can count are refused, and a run without a log is not", "[results][size][unit]") {
  auto many = town;
  many.replicates = 100'000;
  std::string const told = results::fault_of_size(many, room(endless, endless));
  CHECK_THAT(told, Contains("the run would log about 9e+09 visits, more than the 2000000000 accepted; ") &&
                       Contains("22222 replicates") && Contains(", or visit_log = false under [outputs]"));
  many.visits_of_a_season = 0.0;
  CHECK(results::fault_of_size(many, room(endless, endless)).empty());
}

TEST_CASE("beyond the places whose drives are all held, memory grows with places and not with their pairs",
          "[results][size][unit]") {
  auto const memory = [](double pools, bool on_roads) {
    auto shape = town;
    shape.on_roads = on_roads;
    shape.pools = pools;
    return results::size_of(shape).memory_bytes;
  };
  CHECK(memory(3900, true) - memory(1000, true) > 8 * (3900.0 * 3900 - 1000.0 * 1000));
  CHECK(memory(20'000, true) - memory(20'000, false) == Approx((20'020) * (6000 - sizeof(sim::Position))));
}

TEST_CASE("the shape of a run counts its visits by their intervals and the records it holds", "[results][size][unit]") {
  sim::Scenario scenario;
  scenario.pools.resize(10);
  scenario.sites.resize(1);
  scenario.season.days = 140;
  scenario.policies.resize(2);
  scenario.policies[0].visits.interval_d = 7.0;
  scenario.policies[1].visits.interval_d = 14.0;
  auto const record = std::filesystem::temp_directory_path() / "brinecast-record-of-a-shape.csv";
  std::ofstream(record) << "date,rain [mm]\n";
  scenario.weather.daily_file = record;
  auto const shape = results::shape_of(scenario, 4);
  std::filesystem::remove(record);
  CHECK(shape.visits_of_a_season == Approx(10 * (140 / 7 + 140 / 14) / 2.0));
  CHECK(shape.weather_file_bytes == 15.0);
  CHECK(shape.threads == 4.0);
  scenario.outputs.visit_log = false;
  CHECK(results::shape_of(scenario, 4).visits_of_a_season == 0.0);
  CHECK(results::shape_of(scenario, 4).weather_file_bytes == 0.0);  // the file has gone
}

TEST_CASE("bytes are told in the unit that keeps three digits", "[results][size][unit]") {
  CHECK(results::bytes_text(0) == "0 B");
  CHECK(results::bytes_text(999) == "999 B");
  CHECK(results::bytes_text(999.6) == "1 kB");
  CHECK(results::bytes_text(35'400'000) == "35.4 MB");
  CHECK(results::bytes_text(5e16) == "5e+04 TB");
}
