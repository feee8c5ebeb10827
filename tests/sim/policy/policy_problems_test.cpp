#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <optional>

#include "sim/policy/policy_problems.hpp"
#include "sim/scenario/read_scenario.hpp"
#include "tools/small_fleet/small_fleet.hpp"

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

/// As check prints them.
std::string findings(Scenario const& scenario) {
  PolicyFindings const found = check_policies(scenario);
  Problems all = found.errors;
  for (Problem const& problem : found.warnings.all()) all.add(problem);
  return all.text();
}

TEST_CASE("sensible policies have no finding", "[sim][policy][unit]") { CHECK(findings(small_company()) == ""); }

TEST_CASE("a season without a working day is told", "[sim][policy][unit]") {
  std::string const wanted =
      "nobody can visit: no day of the season is a working day without a holiday; change rounds.working_days or "
      "season.holidays";
  Scenario company = small_company();
  company.season.days = 2;  // 1 March 2031 is a Saturday
  CHECK_THAT(findings(company), Catch::Contains(wanted));
  company.season.days = 3;
  CHECK(findings(company) == "");
  company.season.holidays = {company.season.first_day + std::chrono::days{2}};
  CHECK_THAT(findings(company), Catch::Contains(wanted));
}

/// The scenario of a small company with these policies, read as a user's is, and the number of the line before them.
struct ReadCompany {
  std::optional<Scenario> scenario;
  std::string problems;
  int lines_before = 0;
};
ReadCompany company_with(std::string const& policies, std::filesystem::path const& path, std::string const& top = "",
                         std::string const& latitude_deg = "28.2") {
  std::string const text = tools::small_fleet_text({{"pools", "30"},
                                                    {"traits", "class = { home = \"100 %\" }"},
                                                    {"top", top},
                                                    {"latitude", latitude_deg},
                                                    {"policies", policies}});
  Problems problems;
  ReadCompany read;
  read.scenario = read_scenario_text(text, path, problems);
  read.problems = problems.text();
  auto const end = text.begin() + static_cast<std::ptrdiff_t>(text.find(policies));
  read.lines_before = static_cast<int>(std::count(text.begin(), end, '\n'));
  return read;
}

/// "@2" of the expected text is line 2 of the policies.
std::string with_lines(std::string text, int lines_before) {
  for (std::size_t at = text.find('@'); at != std::string::npos; at = text.find('@')) {
    std::size_t const end = text.find(':', at);
    text.replace(at, end - at, std::to_string(lines_before + std::stoi(text.substr(at + 1, end - at - 1))));
  }
  return text;
}

/// What a policy says, its head being line 1, and all that check says of it.
struct Finding {
  std::string policy;
  std::string lines;
};

TEST_CASE("check says which rule can never fire, which contradict, which dose is too large and what no crew can serve",
          "[sim][policy][hostile]") {
  auto const finding = GENERATE(
      Finding{"visits.rules = [{ interval = \"3 d\", pool_class = \"hone\" }]\n",
              "care.toml:@2:17: policies.mine.visits.rules[1]: this rule can never fire: no pool is of the class "
              "\"hone\"; did you mean \"home\"?\n"},
      Finding{"visits.rules = [{ interval = \"3 d\", from = \"12-01\", to = \"01-31\" }]\n",
              "care.toml:@2:17: policies.mine.visits.rules[1]: this rule can never fire: its dates lie outside the "
              "season; change from and to, or delete it\n"},
      Finding{
          "[[policies.mine.visits.rules]]\ninterval = \"3 d\"\nwater_above = \"27 degC\"\nwater_below = \"17 degC\"\n",
          "care.toml:@2:1: policies.mine.visits.rules[1]: this rule can never fire: its temperature would have to be "
          "above one limit and below a lower one; exchange the two\n"},
      Finding{"[[policies.mine.visits.rules]]\ninterval = \"3 d\"\nfrom = \"06-01\"\nto = "
              "\"11-30\"\n[[policies.mine.visits.rules]]\ninterval = \"5 d\"\nfrom = \"06-15\"\nto = \"06-30\"\n",
              "care.toml:@6:1: policies.mine.visits.rules[2]: this rule can never fire: rule 1 before it holds "
              "whenever it would; put the narrower rule first\n"},
      Finding{"visits.triggers = { rain = \"40 mm\", shortest_gap = \"8 d\" }\n",
              "care.toml:@2:52: policies.mine.visits.triggers.shortest_gap: no trigger can ever fire: within 8 d of a "
              "visit none may, and the next comes after 7 d; shorten the gap\n"},
      Finding{"visits.triggers.warning = true\npeople.call_chance_per_day = 0.0\n",
              "care.toml:@2:27: policies.mine.visits.triggers.warning: this trigger can never fire: owners never call "
              "and no remote reading reports lamps; raise people.call_chance_per_day or use visits.remote\n"},
      Finding{"tests.calcium.method = \"none\"\n",
              "care.toml:@2:7: policies.mine.dosing.calcium: this rule can never fire: calcium is never tested; give "
              "tests.calcium a method and an interval\n"},
      Finding{"tests.salt.method = \"none\"\n",
              "care.toml:@2:7: policies.mine.dosing.salt: this rule can never fire: salt has no method; give "
              "tests.salt one\n"},
      Finding{"dosing.salt.check = \"unit_display\"\ntests.unit_salt.method = \"none\"\n",
              "care.toml:@2:8: policies.mine.dosing.salt: this rule can never fire: unit_salt has no method; give "
              "tests.unit_salt one\n"},
      Finding{"tests.free_chlorine.every = \"never\"\n",
              "care.toml:@2:7: policies.mine.dosing.free_chlorine: this rule can never fire: free_chlorine is never "
              "tested; give tests.free_chlorine a method and an interval\ncare.toml:@2:7: "
              "policies.mine.production.rule: this rule can never fire: free chlorine is never tested; give "
              "tests.free_chlorine a method and an interval, or use \"calendar\"\n"},
      Finding{"production.calendar = [{ output = \"50 %\" }]\n",
              "care.toml:@2:23: policies.mine.production.calendar: these rows can never fire: production.rule is not "
              "\"calendar\"; change one of the two\n"},
      Finding{"[policies.mine.production]\nrule = \"calendar\"\ncalendar = [\n  { output = \"50 %\" },\n  { output = "
              "\"80 %\", from = \"06-01\", to = \"08-31\" },\n]\n",
              "care.toml:@6:3: policies.mine.production.calendar[2]: this row can never fire: row 1 before it covers "
              "its dates; put it first\n"},
      Finding{"[policies.mine.production]\nrule = \"calendar\"\ncalendar = [{ output = \"50 %\", from = \"12-01\", to "
              "= \"01-31\" }]\n",
              "care.toml:@4:13: policies.mine.production.calendar[1]: this row can never fire: its dates lie outside "
              "the season; change from and to, or delete it\n"},
      Finding{"cell.clean_at_voltage_rise = \"10 %\"\n",
              "care.toml:@2:30: policies.mine.cell.clean_at_voltage_rise: this rule can never fire: the cell's voltage "
              "is never measured; give tests.cell_voltage a method and an interval\n"},
      Finding{"tests.alkalinity.every = \"never\"\ndosing.alkalinity = { low = \"0 mg/L\", target = \"80 mg/L\", high "
              "= \"never\" }\ncell.clean_after_saturated_visits = 3\n",
              "care.toml:@4:37: policies.mine.cell.clean_after_saturated_visits: this rule can never fire: the "
              "saturation index needs pH, alkalinity and calcium, and one is never tested\n"},
      Finding{"year.winter_watch = \"28 d\"\n",
              "care.toml:@2:21: policies.mine.year.winter_watch: this rule can never fire: the pools never close; set "
              "closes = true or delete it\n"},
      Finding{"people = { cancellations = true, complaints = false }\n",
              "care.toml:@2:28: policies.mine.people.cancellations: this rule can never fire: customers leave after "
              "complaints, and complaints are off; set complaints = true\n"},
      Finding{"visits.interval = \"30 d\"\nvisits.adaptive = { longest = \"21 d\" }\n",
              "care.toml:@2:19: policies.mine.visits.interval: 30 d contradicts the adaptive limits of 4 to 21 d; move "
              "it or them\n"},
      Finding{"visits.adaptive = { longest = \"21 d\" }\nvisits.rules = [{ interval = \"28 d\" }]\n",
              "care.toml:@3:30: policies.mine.visits.rules[1].interval: 28 d contradicts the adaptive limits of 4 to "
              "21 d; move it or them\n"},
      Finding{
          "visits.remote.free_chlorine_below = \"4 mg/L\"\n",
          "care.toml:@2:37: policies.mine.visits.remote.free_chlorine_below: the alarm on free chlorine contradicts "
          "the dosing target, which lies outside it: every visit would be followed by another; widen it\n"},
      Finding{"visits.remote = { ph_above = 7.4 }\n",
              "care.toml:@2:30: policies.mine.visits.remote.ph_above: the alarm on pH contradicts the dosing target, "
              "which lies outside it: every visit would be followed by another; widen it\n"},
      Finding{"visits.remote = { salt_below = \"3 g/L\" }\n",
              "care.toml:@2:32: policies.mine.visits.remote.salt_below: the alarm contradicts dosing: it calls at 3000 "
              "mg/L of salt, but salt is added below 2800 mg/L only; lower the alarm\n"},
      Finding{"visits.remote.set_output = true\nproduction.rule = \"kept\"\n",
              "care.toml:@2:28: policies.mine.visits.remote.set_output: the output set from afar contradicts "
              "production.rule, which keeps it or takes it from the calendar; use \"learned\" or \"stepped\"\n"},
      Finding{"production.rule = \"calendar\"\n",
              "care.toml:@2:19: policies.mine.production.calendar: the output follows a calendar without rows; write "
              "[[...production.calendar]]\n"},
      Finding{"dosing.free_chlorine.per_cyanuric_acid = 0.2\n",
              "care.toml:@2:42: policies.mine.dosing.free_chlorine.per_cyanuric_acid: the stabiliser's target asks for "
              "10 mg/L of free chlorine, which contradicts the band's high of 6 mg/L; lower one of them\n"},
      Finding{"cell = { clean_after_saturated_visits = 3, saturation_index_limit = -0.5 }\n",
              "care.toml:@2:69: policies.mine.cell.saturation_index_limit: the limit of -0.50 contradicts the dosing "
              "targets, whose water has an index of -0.30 at 25 degC: every visit would count; raise the limit or "
              "lower a target\n"},
      Finding{"year = { closes = true, open_on = \"06-01\" }\n",
              "care.toml:@2:19: policies.mine.year.closes: the pools can never close: neither a date nor a water "
              "temperature is given; write close_on or close_below_water\n"},
      Finding{"year = { closes = true, close_on = \"11-01\" }\n",
              "care.toml:@2:19: policies.mine.year.closes: a closed pool can never open: neither a date nor an air "
              "temperature is given; write open_on or open_above_air\n"},
      Finding{"year = { closes = true, close_on = \"11-01\", open_on = \"11-01\" }\n",
              "care.toml:@2:55: policies.mine.year.open_on: opening and closing on the same day contradict; write "
              "another day\n"},
      Finding{"[policies.mine.year]\ncloses = true\nclose_below_water = \"12 degC\"\nopen_above_air = \"15 "
              "degC\"\nopening_season = { from = \"03-01\", to = \"11-30\" }\n",
              "care.toml:@6:18: policies.mine.year.closing_season: closing and opening contradict: their seasons "
              "overlap; part them\n"},
      Finding{"[policies.mine.year]\ncloses = true\nclose_on = \"11-01\"\nclose_below_water = \"12 degC\"\nopen_on = "
              "\"04-10\"\nopen_above_air = \"13 degC\"\n",
              "care.toml:@5:21: policies.mine.year.close_below_water: this rule can never fire: close_on gives a date, "
              "and dates go before temperatures; write \"never\" for one of the two\ncare.toml:@7:18: "
              "policies.mine.year.open_above_air: this rule can never fire: open_on gives a date, and dates go before "
              "temperatures; write \"never\" for one of the two\n"},
      Finding{"dosing.salt.top_up_share = 1.2\n",
              "care.toml:@2:28: policies.mine.dosing.salt.top_up_share: 1.2 of the deficit is more than the water "
              "lacks, and salt leaves by draining only; write at most 1\n"},
      Finding{"dosing.ph.largest_acid = \"75 mg/L\"\n",
              "care.toml:@2:26: policies.mine.dosing.ph.largest_acid: a dose of 75 mg/L as CaCO3 is more than the "
              "water can take: it uses up an alkalinity of 60 mg/L as CaCO3; write less than half of it\n"},
      Finding{"dosing.free_chlorine.largest_raise = \"20 mg/L\"\n",
              "care.toml:@2:38: policies.mine.dosing.free_chlorine.largest_raise: a dose of 20 mg/L would lift free "
              "chlorine above 10 mg/L, the most for water with people in it; write a smaller one\n"},
      Finding{
          "dosing.free_chlorine.largest_shock = \"30 mg/L\"\n",
          "care.toml:@2:38: policies.mine.dosing.free_chlorine.largest_shock: a shock of 30 mg/L is more than a pool "
          "should take: 20 mg/L is what public health guides ask for after the worst soiling; write a smaller one\n"},
      Finding{"dosing.alkalinity.largest_raise = \"200 mg/L\"\n",
              "care.toml:@2:35: policies.mine.dosing.alkalinity.largest_raise: a single dose of 200 mg/L as CaCO3 is "
              "more than the water can take: even pure water would end above the band's 140 mg/L as CaCO3; write a "
              "smaller one\n"},
      Finding{"dosing.calcium.largest_raise = \"700 mg/L\"\n",
              "care.toml:@2:32: policies.mine.dosing.calcium.largest_raise: a single dose of 700 mg/L as CaCO3 is more "
              "than the water can take: even pure water would end above the band's 601 mg/L as CaCO3; write a smaller "
              "one\n"},
      Finding{"dosing.cyanuric_acid.largest_raise = \"130 mg/L\"\n",
              "care.toml:@2:38: policies.mine.dosing.cyanuric_acid.largest_raise: a single dose of 130 mg/L is more "
              "than the water can take: even pure water would end above the band's 101 mg/L; write a smaller one\n"},
      Finding{"dosing.salt.largest_raise = \"5 g/L\"\n",
              "care.toml:@2:29: policies.mine.dosing.salt.largest_raise: a single dose of 5000 mg/L is more than the "
              "water can take: even pure water would end above the band's 4600 mg/L; write a smaller one\n"},
      Finding{
          "dosing.salt.low = \"2 g/L\"\n",
          "care.toml:@2:19: policies.mine.dosing.salt.low: salt is added below 2000 mg/L only, and the unit stops at "
          "2300 mg/L and less (model.cell_salt_stop_low_kg_per_m3); write more\n"},
      Finding{"dosing.salt = { low = \"1 g/L\", target = \"1500 ppm\" }\n",
              "care.toml:@2:41: policies.mine.dosing.salt.target: the water would be salted to 1500 mg/L only, and the "
              "unit stops at 2300 mg/L and less (model.cell_salt_stop_low_kg_per_m3); write more\n"},
      Finding{"dosing.salt = { target = \"7 g/L\", high = \"8 g/L\" }\n",
              "care.toml:@2:26: policies.mine.dosing.salt.target: the water would be salted to 7000 mg/L, and the unit "
              "stops from 7000 mg/L on (model.cell_salt_stop_high_kg_per_m3); write less\n"},
      // Pools that keep the salt they have; a low just above the stop.
      Finding{"dosing.salt.low = \"0 g/L\"\n", ""}, Finding{"dosing.salt.low = \"2.31 g/L\"\n", ""},
      Finding{"dosing.largest_drain = \"80 %\"\n",
              "care.toml:@2:24: policies.mine.dosing.largest_drain: draining 80 % at once is more than a pool can "
              "take: an emptied shell can lift or crack; write at most 50 %\n"},
      Finding{"upkeep.backwash_duration = \"50 min\"\n",
              "care.toml:@2:28: policies.mine.upkeep.backwash_duration: a backwash takes 7.2 m3 of the 66.3 m3 of pool "
              "\"Pool 01\", more than a tenth; shorten it\n"},
      Finding{"visits.interval = \"1 d\"\n",
              "care.toml:@2:19: policies.mine.visits.interval: no crew can serve an interval of 1 d on 5 working days "
              "a week; write at least 1.4 d, or more working days\n"},
      Finding{"visits.rules = [{ interval = \"1 d\" }]\n",
              "care.toml:@2:30: policies.mine.visits.rules[1].interval: no crew can serve an interval of 1 d on 5 "
              "working days a week; write at least 1.4 d, or more working days\n"},
      Finding{"visits.interval = \"2 d\"\nwork.debris = \"5 h\"\n",
              "care.toml:@2:19: policies.mine.visits.interval: no technician capacity can serve these visits: 545 h of "
              "work a week before any driving, against 85 h of shifts and overtime; lengthen the interval or add "
              "technicians\n"},
      Finding{
          "work.debris = \"20 h\"\n",
          "care.toml:@1:1: policies.mine.visits.interval: no technician capacity can serve these visits: 607 h of work "
          "a week before any driving, against 85 h of shifts and overtime; lengthen the interval or add technicians\n"},
      Finding{"work.debris = \"1 h\"\nvisits.rules = [{ interval = \"1.5 d\", from = \"06-14\", to = \"08-31\" }]\n",
              "care.toml:@3:30: policies.mine.visits.rules[1].interval: no technician capacity can serve these visits: "
              "169 h of work in the busiest week, from 06-14, before any driving, against 85 h of shifts and overtime; "
              "lengthen the interval or add technicians\n"},
      Finding{
          "visits.remote = { free_chlorine_above = \"2 mg/L\" }\n",
          "care.toml:@2:41: policies.mine.visits.remote.free_chlorine_above: the alarm on free chlorine contradicts "
          "the dosing target, which lies outside it: every visit would be followed by another; widen it\n"},
      Finding{"visits.remote = { used = true }\ndosing.ph = { low = 6.6, target = 6.8, high = 7.8 }\n",
              "care.toml:@3:35: policies.mine.visits.remote.ph_below: the alarm on pH contradicts the dosing target, "
              "which lies outside it: every visit would be followed by another; widen it\n"},
      Finding{
          "visits.interval = \"1 d\"\ndosing.largest_drain = \"80 %\"\ncell.clean_at_voltage_rise = \"10 %\"\n",
          "care.toml:@2:19: policies.mine.visits.interval: no crew can serve an interval of 1 d on 5 working days a "
          "week; write at least 1.4 d, or more working days\ncare.toml:@3:24: policies.mine.dosing.largest_drain: "
          "draining 80 % at once is more than a pool can take: an emptied shell can lift or crack; write at most 50 "
          "%\ncare.toml:@4:30: policies.mine.cell.clean_at_voltage_rise: this rule can never fire: the cell's voltage "
          "is never measured; give tests.cell_voltage a method and an interval\n"});
  auto const company = company_with("[policies.mine]\n" + finding.policy, "care.toml");
  CAPTURE(finding.policy, company.problems);
  REQUIRE(company.scenario);
  CHECK(findings(*company.scenario) == with_lines(finding.lines, company.lines_before));
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

TEST_CASE("a salt window of the user's own is the one that doses are held to", "[sim][policy][unit]") {
  Scenario company = small_company();
  company.parameters.cell_salt_stop_low_kg_per_m3 = 3.0;
  CHECK_THAT(findings(company), Catch::Contains("salt is added below 2800 mg/L only, and the unit stops at 3000 mg/L"));
  company.parameters.cell_salt_stop_low_kg_per_m3 = 2.0;
  company.parameters.cell_salt_stop_high_kg_per_m3 = 3.2;
  CHECK_THAT(findings(company), Catch::Contains("salted to 3200 mg/L, and the unit stops from 3200 mg/L on"));
}

TEST_CASE("where nobody states them, the seasons for closing and opening are those of the fleet's half of the earth",
          "[sim][policy][unit]") {
  using namespace std::chrono;
  std::string const by_temperature =
      "[policies.mine]\nyear = { closes = true, close_below_water = \"12 degC\", open_above_air = \"13 degC\" }\n";
  auto const year_at = [&](std::string const& latitude_deg) {
    auto const company = company_with(by_temperature, "care.toml", "", latitude_deg);
    CAPTURE(latitude_deg, company.problems);
    REQUIRE(company.scenario);
    CHECK(findings(*company.scenario) == "");
    return company.scenario->policies[0].year;
  };
  YearSpec const north = year_at("28.2"), south = year_at("-33.9");
  CHECK(north.closing_season.first == September / 1);
  CHECK(north.closing_season.last == December / 31);
  CHECK(north.opening_season.first == March / 1);
  CHECK(north.opening_season.last == June / 30);
  CHECK(south.closing_season.first == March / 1);
  CHECK(south.closing_season.last == June / 30);
  CHECK(south.opening_season.first == September / 1);
  CHECK(south.opening_season.last == December / 31);
  auto const own = company_with(
      "[policies.mine.year]\ncloses = true\nclose_below_water = \"12 degC\"\nopen_above_air = \"13 degC\"\n"
      "closing_season = { from = \"02-15\", to = \"06-30\" }\n",
      "care.toml", "", "-33.9");
  REQUIRE(own.scenario);
  CHECK(own.scenario->policies[0].year.closing_season.first == February / 15);
}

TEST_CASE("pools that would be closed all summer are told, north and south", "[sim][policy][hostile]") {
  struct Summer {
    std::string latitude_deg, policy, lines;
  };
  auto const summer = GENERATE(
      Summer{"-33.9", "year = { closes = true, close_on = \"11-01\", open_on = \"04-10\" }\n",
             "care.toml:@2:36: policies.mine.year.close_on: closed from 11-01 to 04-10, pools at latitude -33.9 miss "
             "their whole summer; close and open half a year later\n"},
      Summer{"28.2", "year = { closes = true, close_on = \"05-01\", open_on = \"10-10\" }\n",
             "care.toml:@2:36: policies.mine.year.close_on: closed from 05-01 to 10-10, pools at latitude 28.2 miss "
             "their whole summer; close and open half a year later\n"},
      Summer{"-33.9",
             "[policies.mine.year]\ncloses = true\nclose_below_water = \"12 degC\"\nopen_above_air = \"13 degC\"\n"
             "closing_season = { from = \"09-01\", to = \"12-31\" }\n"
             "opening_season = { from = \"03-01\", to = \"06-30\" }\n",
             "care.toml:@6:18: policies.mine.year.closing_season: closed from 09-01 to 03-01, pools at latitude -33.9 "
             "miss their whole summer; close and open half a year later\n"},
      Summer{"-33.9", "year = { closes = true, close_on = \"05-01\", open_on = \"10-10\" }\n", ""},
      Summer{"-33.9", "year = { closes = true, close_on = \"01-10\", open_on = \"10-10\" }\n", ""},
      Summer{"28.2", "year = { closes = true, close_on = \"11-01\", open_on = \"04-10\" }\n", ""},
      Summer{"-4.5", "year = { closes = true, close_on = \"11-01\", open_on = \"04-10\" }\n", ""});
  auto const company = company_with("[policies.mine]\n" + summer.policy, "care.toml", "", summer.latitude_deg);
  CAPTURE(summer.latitude_deg, summer.policy, company.problems);
  REQUIRE(company.scenario);
  CHECK(findings(*company.scenario) == with_lines(summer.lines, company.lines_before));
}

TEST_CASE("vans that cannot carry what visits take are told without a plan", "[sim][policy][hostile]") {
  struct Payloads {
    std::string first, second, lines;
  };
  // A pool of 100 m3 takes 0.06 of 50 kg salt, half of 0.8 kg acid a week and a tenth of 5 kg powder: 3.9 kg.
  auto const payloads = GENERATE(
      Payloads{"4 kg", "4 kg", ""}, Payloads{"3.91 kg", "100 kg", ""},
      Payloads{"1 kg", "4 kg",
               "care.toml:32:11: technicians[1].payload: Ada Thornwick can visit no pool: a visit takes along 3.9 kg "
               "or more, "
               "and the van carries 1 kg; write a larger payload\n"},
      Payloads{
          "2 kg", "3 kg",
          "care.toml:32:11: technicians[1].payload: Ada Thornwick can visit no pool: a visit takes along 3.9 kg or "
          "more, "
          "and the van carries 2 kg; write a larger payload\n"
          "care.toml:35:11: technicians[2].payload: Ben Okonjo-Vale can visit no pool: a visit takes along 3.9 kg or "
          "more, and the van carries 3 kg; write a larger payload\n"});
  auto const company = [](std::string const& crew, std::string const& policies) {
    Problems problems;
    auto scenario = read_scenario_text(
        tools::small_fleet_text(
            {{"pools", "3"}, {"traits", "water_volume = \"100 m3\""}, {"technicians", crew}, {"policies", policies}}),
        "care.toml", problems);
    INFO(problems.text());
    REQUIRE(scenario);
    return *scenario;
  };
  auto const crew = [](std::string const& first, std::string const& second) {
    return "[[technicians]]\nname = \"Ada Thornwick\"\npayload = \"" + first +
           "\"\n[[technicians]]\nname = \"Ben Okonjo-Vale\"\npayload = \"" + second + "\"\n";
  };
  CAPTURE(payloads.first, payloads.second);
  CHECK(findings(company(crew(payloads.first, payloads.second), "[policies.weekly]\n")) == payloads.lines);
  // Every other week the acid of two weeks is taken along.
  std::string const both = "[policies.weekly]\n[policies.fortnightly]\nvisits.interval = \"14 d\"\n";
  CHECK_THAT(
      findings(company(crew("1 kg", "4 kg"), both)),
      Catch::Contains("technicians[2].payload: no van can serve 3 of 3 pools: a visit takes along up to 4.3 kg, to "
                      "\"Pool 1\", and the largest van carries 4 kg; write a larger payload\n"));
}

TEST_CASE("a finding stands at the line of its value, in the policy, at its base or in a library, whoever inherits it",
          "[sim][policy][hostile]") {
  auto const folder = std::filesystem::temp_directory_path() / fmt::format("brinecast_finding_{}", ::getpid());
  std::filesystem::create_directories(folder);
  std::ofstream(folder / "library.toml") << "# of the house\n"
                                            "[policies.careful]\n"
                                            "visits.rules = [\n"
                                            "  { interval = \"3 d\" },\n"
                                            "  { interval = \"5 d\" },\n"
                                            "]\n"
                                            "[policies.strong]\n"
                                            "base = \"careful\"\n"
                                            "dosing.ph.largest_acid = \"75 mg/L\"\n"
                                            "[policies.dated]\n"
                                            "year = { closes = true, close_on = \"11-01\", open_on = \"04-10\" }\n";
  auto const company = company_with(
      "[policies.house]\n"
      "dosing.largest_drain = \"80 %\"\n"
      "[policies.mine]\n"
      "base = \"house\"\n"
      "year.winter_watch = \"28 d\"\n"
      "[policies.strong]\n"
      "base = \"strong\"\n"
      "[policies.stronger]\n"
      "base = \"strong\"\n"
      "dosing.ph.largest_acid = \"100 mg/L\"\n"
      "cell.clean_at_voltage_rise = \"10 %\"\n"
      "[policies.warm]\n"
      "base = \"dated\"\n"
      "year.close_below_water = \"12 degC\"\n",
      folder / "care.toml", "policy_library = [\"library.toml\"]");
  std::filesystem::path const here = folder / "";
  REQUIRE(company.scenario);
  std::string text = findings(*company.scenario);
  for (std::size_t at = text.find(here.string()); at != std::string::npos; at = text.find(here.string())) {
    text.erase(at, here.string().size());
  }
  CHECK(text ==
        with_lines("care.toml:@2:24: policies.house.dosing.largest_drain: draining 80 % at once is more than a pool "
                   "can take: an emptied shell can lift or crack; write at most 50 %\n"
                   "care.toml:@2:24: policies.mine.dosing.largest_drain: draining 80 % at once is more than a pool can "
                   "take: an emptied shell can lift or crack; write at most 50 %\n"
                   "care.toml:@5:21: policies.mine.year.winter_watch: this rule can never fire: the pools never close; "
                   "set closes = true or delete it\n"
                   "care.toml:@10:26: policies.stronger.dosing.ph.largest_acid: a dose of 100 mg/L as CaCO3 is more "
                   "than the water can take: it uses up an alkalinity of 60 mg/L as CaCO3; write less than half of it\n"
                   "care.toml:@11:30: policies.stronger.cell.clean_at_voltage_rise: this rule can never fire: the "
                   "cell's voltage is never measured; give tests.cell_voltage a method and an interval\n"
                   "care.toml:@14:26: policies.warm.year.close_below_water: this rule can never fire: close_on gives a "
                   "date, and dates go before temperatures; write \"never\" for one of the two\n"
                   "library.toml:5:3: policies.strong.visits.rules[2]: this rule can never fire: rule 1 before it "
                   "holds whenever it would; put the narrower rule first\n"
                   "library.toml:5:3: policies.stronger.visits.rules[2]: this rule can never fire: rule 1 before it "
                   "holds whenever it would; put the narrower rule first\n"
                   "library.toml:9:26: policies.strong.dosing.ph.largest_acid: a dose of 75 mg/L as CaCO3 is more than "
                   "the water can take: it uses up an alkalinity of 60 mg/L as CaCO3; write less than half of it\n",
                   company.lines_before));
  std::filesystem::remove_all(folder);
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
