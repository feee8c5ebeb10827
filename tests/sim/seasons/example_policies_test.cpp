// Every policy of the library, run for a year of a few pools: sane water, closed books, and its own rules at work in a
// climate that calls for them.

#include <filesystem>
#include <fstream>
#include <map>
#include <set>

#include "rule_kinds.hpp"
#include "small_fleet.hpp"

namespace brinecast::sim {
namespace {

std::filesystem::path const library = BRINECAST_SOURCE_DIR "/scenarios/policies/library.toml";

std::vector<std::string> names_in_library() {
  std::vector<std::string> names;
  std::ifstream file(library);
  for (std::string line; std::getline(file, line);) {
    constexpr std::string_view head = "[policies.";
    if (line.rfind(head, 0) == 0 && line.back() == ']') {
      names.push_back(line.substr(head.size(), line.size() - head.size() - 1));
    }
  }
  return names;
}

using Year = std::map<std::string, TaskResult>;  // by policy

Year year_of_all(tools::SmallFleet changes) {
  std::string policies;
  for (std::string const& name : names_in_library()) {
    policies += "[policies." + name + "]\nbase = \"" + name + "\"\n";
  }
  changes.merge(tools::SmallFleet{{"top", "policy_library = [\"" + library.string() + "\"]"},
                                  {"days", "365"},
                                  {"pools", "12"},
                                  {"policies", policies}});
  Problems problems;
  auto scenario = read_scenario_text(tools::small_fleet_text(std::move(changes)), "small_fleet.toml", problems);
  INFO(problems.text());
  REQUIRE(scenario);
  auto const prepared = prepare(std::move(*scenario), problems);
  INFO(problems.text());
  REQUIRE(prepared);
  Year year;
  for (std::size_t policy = 0; policy < prepared->scenario.policies.size(); ++policy) {
    year[prepared->scenario.policies[policy].name] = simulate(*prepared, {.policy = policy, .replicate = 0});
  }
  return year;
}

std::string const classes = "class = { home = \"50 %\", \"holiday let\" = \"50 %\" }\nbathers_per_day = 3\n";

/// The valley; the valley so cold that winters freeze; the valley on hard fill water.
Year const& warm() {
  static Year const year = year_of_all({{"traits", classes}});
  return year;
}
Year const& cold() {
  static Year const year = year_of_all({{"traits", classes}, {"weather", "warming = \"-9 K\""}});
  return year;
}
Year const& hard() {
  static Year const year =
      year_of_all({{"traits", classes + "start_calcium = \"450 mg/L\"\nstart_alkalinity = \"120 mg/L\""},
                   {"fill_calcium", "380 mg/L"},
                   {"fill_alkalinity", "220 mg/L"}});
  return year;
}

void check_sane(TaskResult const& year) {
  CHECK(year.book_errors.largest() < 1e-9);
  auto const within = [](auto const& values, double low, double high) {
    return std::all_of(values.begin(), values.end(),
                       [=](double value) { return std::isnan(value) || (value >= low && value <= high); });
  };
  for (PoolColumn const share :
       {&PoolTally::free_chlorine_in_range, &PoolTally::free_chlorine_low, &PoolTally::free_chlorine_high,
        &PoolTally::ph_in_range, &PoolTally::saturation_in_range, &PoolTally::salt_in_range,
        &PoolTally::coating_left}) {
    CHECK(within(year.pools.*share, 0.0, 1.0));
  }
  for (PoolColumn const amount : {&PoolTally::chlorine_produced, &PoolTally::salt_added, &PoolTally::acid_added,
                                  &PoolTally::fill_water, &PoolTally::cost}) {
    CHECK(within(year.pools.*amount, 0.0, 1e5));
  }
  CHECK(within(year.pools.open_hours, 100.0, 365.0 * 24.0));
  // Of cared-for water, with the days on which nobody has come yet; NaN while all pools are closed.
  for (std::size_t q = 0; q < day_quantiles.size(); ++q) {
    CHECK(within(year.days.salt[q], 0.5, 8.0));
    CHECK(within(year.days.free_chlorine[q], 0.0, 0.04));
    CHECK(within(year.days.ph[q], 6.0, 9.5));
    CHECK(within(year.days.saturation_index[q], -3.0, 2.0));
    CHECK(within(year.days.scale[q], 0.0, 5.0));
    CHECK(within(year.days.water_temperature[q], 271.0, 315.0));
  }
}

double visits(TaskResult const& year) { return sum({year}, &PoolTally::visits); }
/// June to August of a year from March on.
double summer_visits(TaskResult const& year) {
  return year.months.visits[3] + year.months.visits[4] + year.months.visits[5];
}
double service_s_per_visit(TaskResult const& year) { return sum({year}, &PoolTally::service_time) / visits(year); }

struct Example {
  char const* name;
  Year const& (*climate)();
  std::vector<std::string_view> rules;  // that must fire
  /// What else tells the policy, from the weekly one in the same year.
  std::function<bool(TaskResult const& year, TaskResult const& weekly)> differs;
};

std::vector<Example> const examples = {
    {"weekly", warm, {name_of(VisitReason::interval)}, {}},
    {"fortnightly",
     warm,
     {},
     [](auto const& year, auto const& weekly) { return visits(year) < 0.65 * visits(weekly); }},
    {"by_season",
     warm,
     {},
     [](auto const& year, auto const& weekly) { return summer_visits(year) > 1.5 * summer_visits(weekly); }},
    {"by_temperature",
     cold,
     {},
     [](auto const& year, auto const& weekly) { return visits(year) < 0.9 * visits(weekly); }},
    {"by_class",
     warm,
     {},
     [](auto const& year, auto const& weekly) { return summer_visits(year) > 1.2 * summer_visits(weekly); }},
    {"adaptive",
     warm,
     {name_of(FiredRule::interval_lengthened), name_of(FiredRule::interval_shortened),
      name_of(FiredRule::test_made_rarer), name_of(FiredRule::test_made_denser)},
     {}},
    {"storm_watch", warm, {name_of(VisitReason::rain), name_of(VisitReason::heat), name_of(VisitReason::warning)}, {}},
    {"heavy_use", warm, {name_of(VisitReason::bathers)}, {}},
    {"remote_watch",
     warm,
     {name_of(VisitReason::remote_reading)},
     [](auto const& year, auto const&) { return sum({year}, &PoolTally::remote_readings) > 12 * 360; }},
    {"owner_helps", warm, {}, [](auto const& year, auto const& weekly) { return visits(year) < 0.5 * visits(weekly); }},
    {"strips",
     warm,
     {},
     [](auto const& year, auto const& weekly) { return service_s_per_visit(year) < service_s_per_visit(weekly); }},
    {"meters",
     warm,
     {},
     [](auto const& year, auto const& weekly) { return count_tests({year}) > count_tests({weekly}); }},
    {"salt_by_display", warm, {name_of(FiredRule::salt_by_unit_display)}, {}},
    {"calendar_output", warm, {name_of(FiredRule::output_by_calendar)}, {}},
    {"clean_by_calendar", warm, {name_of(FiredRule::cleaned_by_calendar)}, {}},
    {"clean_by_hours", warm, {name_of(FiredRule::cleaned_by_operating_hours)}, {}},
    {"clean_by_voltage", hard, {name_of(FiredRule::cleaned_by_voltage)}, {}},
    {"clean_by_saturation", hard, {name_of(FiredRule::cleaned_by_saturation)}, {}},
    {"clean_first", hard, {name_of(FiredRule::cleaned_on_warning)}, {}},
    {"never_clean",
     hard,
     {},
     [](auto const& year, auto const& weekly) {
       return sum({year}, &PoolTally::cell_cleanings) == 0.0 && sum({weekly}, &PoolTally::cell_cleanings) > 0.0;
     }},
    {"new_cell_in_advance", warm, {name_of(FiredRule::cell_replaced_in_advance)}, {}},
    {"closes_by_date",
     cold,
     {name_of(VisitReason::closing), name_of(VisitReason::opening), name_of(VisitReason::winter_watch),
      name_of(VisitReason::return_visit), name_of(FiredRule::unit_kept_off), name_of(FiredRule::unit_powered)},
     {}},
    {"closes_by_temperature",
     cold,
     {name_of(VisitReason::closing), name_of(VisitReason::winter_watch)},
     [](auto const& year, auto const& weekly) {
       return sum({year}, &PoolTally::open_hours) < sum({weekly}, &PoolTally::open_hours);
     }},
    {"bypass_only",
     cold,
     {name_of(VisitReason::closing), name_of(VisitReason::opening), name_of(VisitReason::winter_watch)},
     {}},
    {"power_first",
     cold,
     {name_of(VisitReason::opening), name_of(FiredRule::unit_powered)},
     [](auto const& year, auto const&) { return count_rule({year}, FiredRule::unit_kept_off) == 0; }},
};

TEST_CASE("every policy of the library has its example here", "[sim][seasons][unit]") {
  std::set<std::string> here;
  for (Example const& example : examples) here.insert(example.name);
  std::vector<std::string> const there = names_in_library();
  CHECK(there.size() >= 12);
  CHECK(here == std::set<std::string>(there.begin(), there.end()));
}

TEST_CASE("every policy of the library keeps sane water and closed books for a year", "[sim][seasons][conservation]") {
  auto const& year = *GENERATE(&warm(), &cold(), &hard());
  for (auto const& [name, result] : year) {
    CAPTURE(name);
    check_sane(result);
  }
}

TEST_CASE("every policy of the library puts its own rules to work", "[sim][seasons][unit]") {
  for (Example const& example : examples) {
    CAPTURE(example.name);
    Year const& year = example.climate();
    TaskResult const& own = year.at(example.name);
    for (std::string_view const rule : example.rules) {
      CAPTURE(rule);
      CHECK(count_kind({own}, rule) > 0);
    }
    if (example.differs) CHECK(example.differs(own, year.at("weekly")));
  }
}

}  // namespace
}  // namespace brinecast::sim
