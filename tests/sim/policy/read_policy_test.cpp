#include <toml++/toml.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "sim/scenario/read_policy.hpp"

namespace brinecast::sim {
namespace {

struct ReadResult {
  std::vector<PolicySpec> policies;
  std::string problems;
};

ReadResult read(std::string const& text, std::filesystem::path const& directory = ".") {
  toml::parse_result const parsed = toml::parse(text);
  REQUIRE(parsed);
  Problems problems;
  TableReader root(parsed.table(), "", "care.toml", problems);
  ReadResult result;
  std::vector<std::filesystem::path> input_files;
  result.policies = read_policies(root, directory, input_files);
  root.finish();
  result.problems = problems.text();
  return result;
}

TEST_CASE("an empty policy is the default care", "[sim][policy][unit]") {
  auto const result = read("[policies.weekly]\n");
  CHECK(result.problems.empty());
  REQUIRE(result.policies.size() == 1);
  CHECK(result.policies[0].name == "weekly");
  CHECK(result.policies[0].visits.interval_d == 7.0);
}

TEST_CASE("policies keep the order of the file", "[sim][policy][unit]") {
  auto const result = read("[policies.weekly]\n[policies.adaptive]\n[policies.monthly]\n");
  REQUIRE(result.policies.size() == 3);
  CHECK(result.policies[0].name == "weekly");
  CHECK(result.policies[1].name == "adaptive");
  CHECK(result.policies[2].name == "monthly");
}

TEST_CASE("every part of a policy can be written with units and arrives in SI", "[sim][policy][unit]") {
  auto const result = read(R"(
[policies.full]
comment = "everything said"
visits.interval = "10 d"
visits.rules = [
  { interval = "3.5 d", pool_class = "holiday let", from = "06-01", to = "08-31" },
  { interval = "2 weeks", air_below = "10 degC" },
]
visits.adaptive = { shortest = "5 d", longest = "15 d", steady_visits = 4 }
visits.triggers = { rain = "40 mm", rain_within = "2 d", heat = "36 degC", bathers = 12, warning = true }
visits.remote = { every = "1 d", ph_above = 8.0, set_output = true }
tests.salt = { method = "strip", every = "visit" }
tests.calcium = { method = "none", every = "never" }
tests.adaptive = { steady_readings = 5 }
tests.errors.strip.salt = { bias = "200 mg/L", sd_share = "10 %" }
dosing.salt = { low = "2700 ppm", target = "3400 ppm", high = "5 g/L", check = "unit_display", top_up_share = "80 %" }
dosing.alkalinity = { low = "60 mg/L", target = "80 mg/L", high = "140 mg/L" }
dosing.ph = { low = 7.2, target = 7.4, high = 7.7 }
dosing.largest_drain = "25 %"
production = { rule = "stepped", step = "15 %", longest_pump_hours = "14 h", demand_per_kelvin = "0.06 K-1" }
upkeep.backwash_every = "never"
cell = { clean_at = "dusting", clean_every_operating = "600 h", warning_order = "clean_first", cycles_bridges = 4 }
year = { closes = true, how = "lower_level", close_on = "11-01", open_on = "04-15", winter_watch = "28 d" }
people = { cancellations = true, call_answer = "2 d" }
fees = { per_visit = 45.0, per_call_out = 70.0 }
work = { test_kit = "2 min", salt_per_kilogram = "10 s kg-1" }
)");
  CHECK(result.problems == "");
  REQUIRE(result.policies.size() == 1);
  PolicySpec const& p = result.policies[0];
  CHECK(p.visits.interval_d == Approx(10.0));
  REQUIRE(p.visits.rules.size() == 2);
  CHECK(p.visits.rules[0].pool_class == "holiday let");
  CHECK(p.visits.rules[0].dates.first == std::chrono::June / 1);
  CHECK(p.visits.rules[1].interval_d == Approx(14.0));
  CHECK(p.visits.rules[1].air_below_K == Approx(283.15));
  CHECK(p.visits.adaptive.used);
  CHECK(p.visits.adaptive.longest_d == Approx(15.0));
  CHECK(p.visits.triggers.rain_m == Approx(0.04));
  CHECK(p.visits.triggers.rain_days == 2);
  CHECK(p.visits.triggers.bathers == 12.0);
  CHECK(p.visits.remote.set_output);
  CHECK(p.tests[Measured::salt].method == TestMethod::strip);
  CHECK(p.tests[Measured::salt].every_d == 0.0);
  CHECK(p.tests[Measured::calcium].every_d == never);
  CHECK(p.tests.adaptive.used);
  CHECK(p.tests.errors[1][static_cast<std::size_t>(Measured::salt)].bias == Approx(0.2));
  CHECK(p.dosing.salt_kg_per_m3.target == Approx(3.4));
  CHECK(p.dosing.salt_kg_per_m3.high == Approx(5.0));
  CHECK(p.dosing.salt_check == SaltCheck::unit_display);
  CHECK(p.dosing.alkalinity_mol_per_m3.target == Approx(80.0 / 50.0435).epsilon(1e-4));
  CHECK(p.dosing.ph.target == 7.4);
  CHECK(p.dosing.largest_drain_share == Approx(0.25));
  CHECK(p.production.rule == OutputRule::stepped);
  CHECK(p.production.longest_pump_h == Approx(14.0));
  CHECK(p.production.demand_per_K == Approx(0.06));
  CHECK(p.upkeep.backwash_every_d == never);
  CHECK(p.cell.clean_at_grade == 1);
  CHECK(p.cell.clean_every_operating_h == Approx(600.0));
  CHECK(p.cell.cycles_by_grade[3] == 4);
  CHECK(p.year.how == Closing::lower_level);
  CHECK(p.year.close_on == std::chrono::November / 1);
  CHECK(p.people.call_answer_d == Approx(2.0));
  CHECK(p.fees.per_visit == 45.0);
  CHECK(p.work.test_kit_s == Approx(120.0));
  CHECK(p.work.salt_s_per_kg == Approx(10.0));
}

TEST_CASE("a policy takes its base's values, wherever the base stands, and states only what differs",
          "[sim][policy][unit]") {
  auto const result = read(R"(
[policies.often]
base = "careful"
visits.interval = "5 d"
[policies.careful]
visits.interval = "7 d"
dosing.salt = { top_up_share = 0.7 }
cell.clean_every = "60 d"
[policies.lazy]
base = "often"
cell.clean_every = "never"
)");
  CHECK(result.problems == "");
  REQUIRE(result.policies.size() == 3);
  CHECK(result.policies[0].visits.interval_d == 5.0);
  CHECK(result.policies[0].dosing.salt_top_up_share == Approx(0.7));
  CHECK(result.policies[0].cell.clean_every_d == Approx(60.0));
  CHECK(result.policies[2].visits.interval_d == 5.0);
  CHECK(result.policies[2].cell.clean_every_d == never);
}

TEST_CASE("a library gives bases, also one of the policy's own name, and is not run itself", "[sim][policy][unit]") {
  auto const folder = std::filesystem::temp_directory_path() / "brinecast_policy_test";
  std::filesystem::create_directories(folder);
  std::ofstream(folder / "library.toml") << "[policies.weekly]\nvisits.interval = \"6 d\"\n[policies.other]\n";
  auto const result = read(
      "policy_library = [\"library.toml\"]\n[policies.weekly]\nbase = \"weekly\"\n[policies.mine]\nbase = \"other\"\n",
      folder);
  CHECK(result.problems == "");
  REQUIRE(result.policies.size() == 2);
  CHECK(result.policies[0].visits.interval_d == Approx(6.0));
  CHECK(result.policies[1].name == "mine");
  std::filesystem::remove_all(folder);
}

TEST_CASE("a rule that is never or at every visit to apply is so written", "[sim][policy][unit]") {
  auto const result = read(R"(
[policies.busy]
visits.triggers = { rain = "30 mm", heat = "36 degC", bathers = 20 }
cell.clean_every_operating = "600 h"
year = { close_on = "11-01", close_below_water = "12 degC" }
[policies.calm]
base = "busy"
visits.triggers = { rain = "never", heat = "never", bathers = "never" }
tests.errors.strip.ph = { bias = 0.2, sd = 0.3 }
upkeep.debris_every = "visit"
cell.clean_every_operating = "never"
year = { close_on = "never", close_below_water = "never" }
)");
  CHECK(result.problems == "");
  REQUIRE(result.policies.size() == 2);
  PolicySpec const &busy = result.policies[0], &calm = result.policies[1];
  CHECK(busy.visits.triggers.rain_m == Approx(0.03));
  CHECK(calm.visits.triggers.rain_m == never);
  CHECK(calm.visits.triggers.heat_K == never);
  CHECK(calm.visits.triggers.bathers == never);
  CHECK(calm.tests.errors[static_cast<std::size_t>(TestMethod::strip)][static_cast<std::size_t>(Measured::ph)].bias ==
        0.2);
  CHECK(calm.upkeep.debris_every_d == 0.0);
  CHECK(busy.cell.clean_every_operating_h == Approx(600.0));
  CHECK(calm.cell.clean_every_operating_h == never);
  CHECK(busy.year.close_on.has_value());
  CHECK_FALSE(calm.year.close_on.has_value());
  CHECK(busy.year.close_below_water_K == Approx(285.15));
  CHECK(calm.year.close_below_water_K == 0.0);
}

TEST_CASE("a library that is not TOML is told with its line", "[sim][policy][hostile]") {
  auto const folder = std::filesystem::temp_directory_path() / "brinecast_broken_library_test";
  std::filesystem::create_directories(folder);
  std::ofstream(folder / "library.toml") << "[policies.weekly]\ninterval = = 3\n";
  CHECK_THAT(
      read("policy_library = [\"library.toml\"]\n[policies.weekly]\n", folder).problems,
      Catch::StartsWith((folder / "library.toml").string() + ":2:12: ") && Catch::EndsWith("; correct the TOML\n"));
  std::filesystem::remove_all(folder);
}

struct Mistake {
  char const* text;
  char const* line;
};

TEST_CASE("each mistake in a policy gets its own line with its place and its remedy", "[sim][policy][hostile]") {
  auto const mistake = GENERATE(
      Mistake{"[policies.a]\nvisits.intervall = \"7 d\"\n",
              "care.toml:2:8: policies.a.visits.intervall: unknown key; did you mean interval?"},
      Mistake{"[policies.a]\nbase = \"b\"\n[policies.b]\nbase = \"a\"\n", "builds on itself"},
      Mistake{"[policies.weekly]\n[policies.a]\nbase = \"weekley\"\n", "did you mean \"weekly\"?"},
      Mistake{"[policies.a]\ndosing.ph = { low = 7.6, target = 7.5 }\n", "not in this order"},
      Mistake{"[policies.a]\ntests.calcium = { method = \"unit\" }\n", "does not measure that"},
      Mistake{"[policies.a]\ncell.clean_at = \"flaks\"\n", "did you mean \"flakes\"?"},
      Mistake{"[policies.a]\nvisits.rules = [ { pool_class = \"home\" } ]\n", "interval is missing"},
      Mistake{"[policies.a]\nvisits.interval = \"7 kg\"\n", "policies.a.visits.interval"},
      Mistake{"[policies.a]\nvisits.interval = 7\n", "has no unit"},
      Mistake{"[policies.a]\nyear.close_on = \"13-40\"\n", "not a day of the year"},
      Mistake{"policy_library = [\"nowhere.toml\"]\n[policies.a]\n", "no such file"},
      Mistake{"[policies]\n", "there is no policy"}, Mistake{"other = 1\n", "policies is missing"},
      Mistake{"[policies.a]\nproduction = { shortest_pump_hours = \"20 h\" }\n", "longer than the longest"},
      Mistake{"[policies.a]\nproduction = { lowest = \"80 %\", highest = \"20 %\" }\n", "lowest output is above"},
      Mistake{"[policies.a]\nvisits.adaptive = { shortest = \"30 d\" }\n", "longer than the longest"});
  CAPTURE(mistake.text);
  CHECK_THAT(read(mistake.text).problems, Catch::Contains(mistake.line));
}

TEST_CASE("all mistakes of a policy are told at once", "[sim][policy][hostile]") {
  auto const problems =
      read("[policies.a]\nvisits.interval = 7\ncell.clean_every = \"1 kg\"\nfees.per_mont = 3\nspeed = 1\n").problems;
  CHECK(std::count(problems.begin(), problems.end(), '\n') == 4);
}

TEST_CASE("every example policy reads without a fault and says who would want it", "[sim][policy][unit]") {
  std::filesystem::path const folder = std::filesystem::path(BRINECAST_SOURCE_DIR) / "scenarios" / "policies";
  std::size_t count = 0;
  for (auto const& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.path().extension() != ".toml") continue;
    CAPTURE(entry.path());
    toml::parse_result const parsed = toml::parse_file(entry.path().string());
    REQUIRE(parsed);
    Problems problems;
    TableReader root(parsed.table(), "", entry.path().filename().string(), problems);
    std::vector<std::filesystem::path> input_files;
    auto const policies = read_policies(root, folder, input_files);
    root.finish();
    CHECK(problems.text() == "");
    count += policies.size();
    for (PolicySpec const& policy : policies) {
      CAPTURE(policy.name);
      CHECK(policy.comment.size() > 20);
    }
  }
  CHECK(count >= 12);
}

}  // namespace
}  // namespace brinecast::sim
