#include <catch2/catch.hpp>

#include "one_pool.hpp"
#include "sim/policy/policy_problems.hpp"
#include "sim/scenario/policy_lines.hpp"

namespace brinecast::sim {
namespace {

Scenario small_company() {
  Scenario scenario;
  scenario.path = "care.toml";
  scenario.season = {.first_day = std::chrono::sys_days{std::chrono::year{2031} / 3 / 1},
                     .days = 245,
                     .utc_offset_h = 0.0,
                     .holidays = {}};
  scenario.rounds.working_days = {std::chrono::Monday, std::chrono::Tuesday, std::chrono::Wednesday,
                                  std::chrono::Thursday, std::chrono::Friday};
  scenario.technicians.resize(2);
  scenario.pools.resize(30);
  for (Pool& pool : scenario.pools) pool.pool_class = "home";
  scenario.policies.resize(1);
  scenario.policies[0].name = "weekly";
  return scenario;
}

std::string findings(Scenario const& scenario) {
  PolicyFindings const found = check_policies(scenario);
  return found.errors.text() + found.warnings.text();
}

TEST_CASE("sensible policies have no finding", "[sim][policy][unit]") { CHECK(findings(small_company()) == ""); }

struct Finding {
  char const* place;
  char const* words;
  void (*cause)(Scenario&, PolicySpec&);
};

TEST_CASE("check says which rule can never fire, which contradict, which dose is too large and what no crew can serve",
          "[sim][policy][hostile]") {
  using std::chrono::December;
  using std::chrono::January;
  using std::chrono::June;
  using std::chrono::November;
  auto const finding = GENERATE(
      Finding{"visits.rules[1]", "did you mean \"home\"?",
              [](Scenario&, PolicySpec& p) {
                p.visits.rules = {every(3.0)};
                p.visits.rules[0].pool_class = "hone";
              }},
      Finding{"visits.rules[1]", "outside the season",
              [](Scenario&, PolicySpec& p) {
                p.visits.rules = {every(3.0)};
                p.visits.rules[0].dates = {December / 1, January / 31};
              }},
      Finding{"visits.rules[1]", "exchange the two",
              [](Scenario&, PolicySpec& p) {
                p.visits.rules = {every(3.0)};
                p.visits.rules[0].water_above_K = 300.0;
                p.visits.rules[0].water_below_K = 290.0;
              }},
      Finding{"visits.rules[2]", "rule 1 before it holds",
              [](Scenario&, PolicySpec& p) {
                p.visits.rules = {every(3.0), every(5.0)};
                p.visits.rules[0].dates = {June / 1, November / 30};
                p.visits.rules[1].dates = {June / 15, June / 30};
              }},
      Finding{"visits.interval", "contradicts the adaptive limits",
              [](Scenario&, PolicySpec& p) {
                p.visits.adaptive.used = true;
                p.visits.interval_d = 30.0;
              }},
      Finding{"visits.triggers.shortest_gap", "no trigger can ever fire",
              [](Scenario&, PolicySpec& p) {
                p.visits.triggers.rain_m = 0.04;
                p.visits.triggers.shortest_gap_d = 8.0;
              }},
      Finding{"visits.triggers.warning", "can never fire",
              [](Scenario&, PolicySpec& p) {
                p.visits.triggers.warning = true;
                p.people.call_chance_per_day = 0.0;
              }},
      Finding{"visits.remote", "free chlorine contradicts",
              [](Scenario&, PolicySpec& p) {
                p.visits.remote.used = true;
                p.visits.remote.free_chlorine_below_kg_per_m3 = 0.004;
              }},
      Finding{"visits.remote", "pH contradicts",
              [](Scenario&, PolicySpec& p) {
                p.visits.remote.used = true;
                p.visits.remote.ph_above = 7.4;
              }},
      Finding{"visits.remote.salt_below", "contradicts dosing",
              [](Scenario&, PolicySpec& p) {
                p.visits.remote.used = true;
                p.visits.remote.salt_below_kg_per_m3 = 3.0;
              }},
      Finding{"visits.remote.set_output", "contradicts production.rule",
              [](Scenario&, PolicySpec& p) {
                p.visits.remote.used = p.visits.remote.set_output = true;
                p.production.rule = OutputRule::kept;
              }},
      Finding{"dosing.calcium", "calcium is never tested",
              [](Scenario&, PolicySpec& p) { p.tests[Measured::calcium].method = TestMethod::none; }},
      Finding{"dosing.salt", "salt has no method",
              [](Scenario&, PolicySpec& p) { p.tests[Measured::salt].method = TestMethod::none; }},
      Finding{"dosing.salt.top_up_share", "more than the water lacks",
              [](Scenario&, PolicySpec& p) { p.dosing.salt_top_up_share = 1.2; }},
      Finding{"dosing.ph.largest_acid", "more than the water can take",
              [](Scenario&, PolicySpec& p) { p.dosing.largest_acid_mol_per_m3 = 1.5; }},
      Finding{"dosing.free_chlorine.largest_raise", "write a smaller one",
              [](Scenario&, PolicySpec& p) { p.dosing.largest_free_chlorine_raise_kg_per_m3 = 0.02; }},
      Finding{"dosing.free_chlorine.largest_shock", "write a smaller one",
              [](Scenario&, PolicySpec& p) { p.dosing.largest_shock_kg_per_m3 = 0.03; }},
      Finding{"dosing.cyanuric_acid.largest_raise", "more than the water can take",
              [](Scenario&, PolicySpec& p) { p.dosing.largest_cyanuric_acid_raise_mol_per_m3 = 1.0; }},
      Finding{"dosing.free_chlorine.per_cyanuric_acid", "contradicts the band's high",
              [](Scenario&, PolicySpec& p) { p.dosing.free_chlorine_per_cyanuric_acid = 0.2; }},
      Finding{"dosing.largest_drain", "lift or crack",
              [](Scenario&, PolicySpec& p) { p.dosing.largest_drain_share = 0.8; }},
      Finding{"upkeep.backwash_duration", "more than a tenth",
              [](Scenario&, PolicySpec& p) { p.upkeep.backwash_duration_s = 3000.0; }},
      Finding{"production.rule", "free chlorine is never tested",
              [](Scenario&, PolicySpec& p) { p.tests[Measured::free_chlorine].every_d = never; }},
      Finding{"production.calendar", "without rows",
              [](Scenario&, PolicySpec& p) { p.production.rule = OutputRule::calendar; }},
      Finding{"production.calendar", "can never fire",
              [](Scenario&, PolicySpec& p) { p.production.calendar.resize(1); }},
      Finding{"production.calendar[2]", "row 1 before it",
              [](Scenario&, PolicySpec& p) {
                p.production.rule = OutputRule::calendar;
                p.production.calendar.resize(2);
              }},
      Finding{"cell.clean_at_voltage_rise", "never measured",
              [](Scenario&, PolicySpec& p) { p.cell.clean_at_voltage_rise = 0.1; }},
      Finding{"cell.clean_after_saturated_visits", "can never fire",
              [](Scenario&, PolicySpec& p) {
                p.cell.clean_after_saturated_visits = 3;
                p.tests[Measured::alkalinity].every_d = never;
              }},
      Finding{"cell.saturation_index_limit", "contradicts the dosing targets",
              [](Scenario&, PolicySpec& p) {
                p.cell.clean_after_saturated_visits = 3;
                p.cell.saturation_index_limit = -0.5;
              }},
      Finding{"year.winter_watch", "never close", [](Scenario&, PolicySpec& p) { p.year.winter_watch_d = 28.0; }},
      Finding{"year.closes", "can never close",
              [](Scenario&, PolicySpec& p) {
                p.year.closes = true;
                p.year.open_on = June / 1;
              }},
      Finding{"year.closes", "can never open",
              [](Scenario&, PolicySpec& p) {
                p.year.closes = true;
                p.year.close_on = November / 1;
              }},
      Finding{"year.closing_season", "overlap",
              [](Scenario&, PolicySpec& p) {
                p.year.closes = true;
                p.year.close_below_water_K = 285.0;
                p.year.open_above_air_K = 288.0;
                p.year.opening_season = {std::chrono::March / 1, November / 30};
              }},
      Finding{"people.cancellations", "complaints are off",
              [](Scenario&, PolicySpec& p) {
                p.people.cancellations = true;
                p.people.complaints = false;
              }},
      Finding{"visits.interval", "no crew can serve an interval",
              [](Scenario&, PolicySpec& p) { p.visits.interval_d = 1.0; }},
      Finding{"visits.interval", "no technician capacity", [](Scenario& s, PolicySpec&) {
                Pool const pool = s.pools[0];
                s.pools.resize(400, pool);
              }});
  CAPTURE(finding.place, finding.words);
  Scenario scenario = small_company();
  finding.cause(scenario, scenario.policies[0]);
  std::string const text = findings(scenario);
  CHECK_THAT(text, Catch::Contains(std::string("policies.weekly.") + finding.place + ": "));
  CHECK_THAT(text, Catch::Contains(finding.words));
}

TEST_CASE("harmful doses and contradictions stop a run; rules that never fire and too much work only warn",
          "[sim][policy][unit]") {
  Scenario scenario = small_company();
  PolicySpec& policy = scenario.policies[0];
  policy.visits.interval_d = 1.0;
  policy.cell.clean_at_voltage_rise = 0.1;
  CHECK(check_policies(scenario).errors.empty());
  CHECK(check_policies(scenario).warnings.all().size() >= 2);
  policy.dosing.largest_acid_mol_per_m3 = 1.5;
  CHECK(check_policies(scenario).errors.all().size() == 1);
}

TEST_CASE("a finding stands at the line of its value, in the scenario, at the base or in the library",
          "[sim][policy][unit]") {
  Scenario scenario = small_company();
  scenario.text =
      "[policies.base]\n"
      "dosing.ph.largest_acid = \"1.5 mol/m3\"\n"
      "[policies.weekly]\n"
      "base = \"base\"\n"
      "[policies.weekly.visits]\n"
      "interval = \"1 d\"\n"
      "[[policies.weekly.visits.rules]]\n"
      "interval = \"3 d\"\n"
      "[[policies.weekly.visits.rules]]\n"
      "interval = \"5 d\"\n";
  PolicySpec& policy = scenario.policies[0];
  policy.dosing.largest_acid_mol_per_m3 = 1.5;
  policy.visits.rules = {every(3.0), every(5.0)};
  std::string const text = findings(scenario);
  CHECK_THAT(text, Catch::Contains("care.toml:2:"));
  CHECK_THAT(text, Catch::Contains("care.toml:9:"));
  auto const unstated = where_stated(scenario, "weekly", "cell.clean_at_voltage_rise");
  CHECK(unstated.line == 3);
}

TEST_CASE("check cautions against bathing after a shock and after acid, and only then", "[sim][policy][unit]") {
  Scenario scenario = small_company();
  auto const cautions = check_policies(scenario).cautions;
  REQUIRE(cautions.size() == 2);
  CHECK_THAT(cautions[0], Catch::Contains("weekly: a shock") && Catch::Contains("nobody enters the water"));
  CHECK_THAT(cautions[1], Catch::Contains("weekly: acid") && Catch::Contains("local code"));
  scenario.policies[0].dosing.largest_shock_kg_per_m3 = 0.004;
  scenario.policies[0].dosing.largest_acid_mol_per_m3 = 0.0;
  CHECK(check_policies(scenario).cautions.empty());
}

}  // namespace
}  // namespace brinecast::sim
