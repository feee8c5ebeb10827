// Each kind of rule alone moves the outcome that it is made for: two policies that differ in this rule only, on the
// same weather, bathers and luck, pool by pool. That every kind has its row here is checked against the enumerations.

#include <algorithm>

#include "rule_kinds.hpp"
#include "small_fleet.hpp"

namespace brinecast::sim {
namespace {

using std::chrono::April;
using std::chrono::August;
using std::chrono::December;
using std::chrono::January;
using std::chrono::June;
using std::chrono::November;

enum class Moves : std::uint8_t { up, down };

struct Row {
  char const* claim;
  std::vector<std::string_view> kinds;
  tools::SmallFleet setting;
  std::function<void(PolicySpec&)> alike;  // what both policies have
  std::function<void(PolicySpec&)> rule;   // what one of them has besides
  std::function<double(TaskResult const&, std::size_t)> outcome;
  Moves moves;
  std::uint32_t replicates = 4;
};

auto column(PoolColumn member) {
  return [member](TaskResult const& result, std::size_t pool) { return (result.pools.*member)[pool]; };
}

/// Of the visits of a pool.
auto logged(std::function<double(VisitRecord const&)> of_visit) {
  return [of_visit](TaskResult const& result, std::size_t pool) {
    double total = 0.0;
    for (VisitRecord const& visit : result.visits) {
      if (visit.pool == pool) total += of_visit(visit);
    }
    return total;
  };
}
double readings(VisitRecord const& visit) {
  double count = 0.0;
  for (float const reading : {visit.free_chlorine_reading, visit.ph_reading, visit.alkalinity_reading,
                              visit.calcium_reading, visit.cyanuric_acid_reading, visit.salt_reading}) {
    count += std::isnan(reading) ? 0.0 : 1.0;
  }
  return count;
}

void nothing(PolicySpec&) {}
void rare_visits(PolicySpec& p) { p.visits.interval_d = 28.0; }
void kept_output(PolicySpec& p) { p.production.rule = OutputRule::kept; }
void never_cleaned(PolicySpec& p) {
  p.dosing.ph = {7.2, 7.8, 8.2};  // little acid: the cells scale
  p.cell.inspect_every_d = never;
  p.cell.clean_at_grade = 4;
  p.cell.replace_failed = false;
  p.tests[Measured::cell_voltage] = {TestMethod::meter, 0.0};
  p.tests[Measured::alkalinity].every_d = 14.0;
}
void closed_in_winter(PolicySpec& p) {
  p.year.closes = true;
  p.year.close_on = November / 1;
  p.year.open_on = April / 10;
}

tools::SmallFleet fleet(tools::SmallFleet changes) {
  changes.emplace("pools", "16");
  return changes;
}
auto const usual = fleet({});
/// Cells scale from one month to the next.
auto const hard_water = fleet({{"traits", "start_calcium = \"450 mg/L\"\nstart_alkalinity = \"120 mg/L\""},
                               {"fill_calcium", "380 mg/L"},
                               {"fill_alkalinity", "220 mg/L"}});
auto const soft_water = fleet({{"traits", "start_calcium = \"60 mg/L\""}, {"fill_calcium", "20 mg/L"}});
auto const weak_water = fleet({{"traits", "start_alkalinity = \"40 mg/L\""}});
auto const bare_water = fleet({{"traits", "start_cyanuric_acid = \"10 mg/L\""}});
auto const weak_units = fleet({{"traits", "output_setting = \"10 %\""}});
auto const strong_units = fleet({{"traits", "output_setting = \"100 %\""}});
auto const odd_sensors = fleet({{"model", "sensor_gain_spread = 0.3"}});
auto const short_lived_cells =
    fleet({{"model", "coating_life_scale_h = \"1000 h\""}, {"supplies", "cells_in_stock = 1000"}});
auto const falling_levels = fleet({{"traits", "automatic_refill = { no = \"100 %\" }\nowner_diligence = \"80 %\""},
                                   {"weather", "rain_factor = 0.1"}});
/// October to August in a valley that is colder, pumps without a frost guard.
auto const cold_year = fleet({{"first_day", "2027-10-01"},
                              {"days", "320"},
                              {"weather", "warming = \"-18 K\""},
                              {"model", "pump_frost_guard_K = \"253.15 K\""}});
auto const leafy_cold_year = [] {
  tools::SmallFleet leafy = cold_year;
  leafy["traits"] = "debris_factor = 4";
  return leafy;
}();

std::vector<Row> const rows = {
    // When a pool is visited
    {"a shorter interval keeps free chlorine in range", {name_of(VisitReason::interval)}, usual, rare_visits,
     [](PolicySpec& p) { p.visits.interval_d = 7.0; }, column(&PoolTally::free_chlorine_in_range), Moves::up},
    {"a rule for the summer keeps free chlorine in range", {}, usual, rare_visits,
     [](PolicySpec& p) {
       VisitRule rule;
       rule.interval_d = 7.0;
       rule.dates = {June / 1, August / 31};
       p.visits.rules = {rule};
     },
     column(&PoolTally::free_chlorine_in_range), Moves::up, 6},
    {"a rule for warm water keeps free chlorine in range", {}, usual, rare_visits,
     [](PolicySpec& p) {
       VisitRule rule;
       rule.interval_d = 7.0;
       rule.water_above_K = 300.15;
       p.visits.rules = {rule};
     },
     column(&PoolTally::free_chlorine_in_range), Moves::up},
    {"a rule for warm air keeps free chlorine in range", {}, usual, rare_visits,
     [](PolicySpec& p) {
       VisitRule rule;
       rule.interval_d = 7.0;
       rule.air_above_K = 297.15;
       p.visits.rules = {rule};
     },
     column(&PoolTally::free_chlorine_in_range), Moves::up},
    {"a rule for a class of pools keeps free chlorine in range",
     {},
     fleet({{"traits", "class = { home = \"50 %\", club = \"50 %\" }"}}),
     rare_visits,
     [](PolicySpec& p) {
       VisitRule rule;
       rule.interval_d = 7.0;
       rule.pool_class = "club";
       p.visits.rules = {rule};
     },
     column(&PoolTally::free_chlorine_in_range), Moves::up, 10},
    {"readings that stay steady lengthen the interval: fewer visits", {name_of(FiredRule::interval_lengthened)}, usual,
     nothing,
     [](PolicySpec& p) {
       p.visits.adaptive.used = true;
       p.visits.adaptive.shortest_d = 7.0;
     },
     column(&PoolTally::visits), Moves::down},
    {"readings that drift shorten the interval: free chlorine in range", {name_of(FiredRule::interval_shortened)},
     usual, [](PolicySpec& p) { p.visits.interval_d = 14.0; },
     [](PolicySpec& p) {
       p.visits.adaptive.used = true;
       p.visits.adaptive.longest_d = 14.0;
     },
     column(&PoolTally::free_chlorine_in_range), Moves::up},
    {"visits after rain keep the salt in range", {name_of(VisitReason::rain)},
     fleet({{"weather", "rain_factor = 2.0"}}), rare_visits, [](PolicySpec& p) { p.visits.triggers.rain_m = 0.03; },
     column(&PoolTally::salt_in_range), Moves::up},
    {"visits in the heat keep free chlorine in range", {name_of(VisitReason::heat)}, usual, rare_visits,
     [](PolicySpec& p) {
       p.visits.triggers.heat_K = 306.15;
       p.visits.triggers.shortest_gap_d = 5.0;
     },
     column(&PoolTally::free_chlorine_in_range), Moves::up, 8},
    {"visits after heavy use keep free chlorine in range",
     {name_of(VisitReason::bathers)},
     fleet({{"traits", "bathers_per_day = 4"}}),
     rare_visits, [](PolicySpec& p) { p.visits.triggers.bathers = 20.0; }, column(&PoolTally::free_chlorine_in_range),
     Moves::up},
    {"visits on a lamp that the owner reports mean fewer days without production",
     {name_of(VisitReason::warning)},
     fleet({{"traits", "start_salt = \"2400 mg/L\""}}),
     [](PolicySpec& p) {
       p.visits.interval_d = 28.0;
       p.people.call_answer_d = 1000.0;  // nobody goes out for the call itself
     },
     [](PolicySpec& p) { p.visits.triggers.warning = true; }, column(&PoolTally::days_without_production), Moves::down, 8},
    {"call-outs mean less cloudy water", {name_of(VisitReason::call_out)}, weak_units,
     [](PolicySpec& p) {
       rare_visits(p);
       kept_output(p);
       p.people.call_chance_per_day = 0.0;
     },
     [](PolicySpec& p) { p.people.call_chance_per_day = 0.35; }, column(&PoolTally::cloudy_hours), Moves::down},
    {"calls that are answered sooner mean less cloudy water", {}, weak_units,
     [](PolicySpec& p) {
       rare_visits(p);
       kept_output(p);
       p.people.call_answer_d = 14.0;
     },
     [](PolicySpec& p) { p.people.call_answer_d = 1.0; }, column(&PoolTally::cloudy_hours), Moves::down},
    {"a remote reading out of its band brings a visit: free chlorine in range",
     {name_of(VisitReason::remote_reading), name_of(TestMethod::remote)}, usual, rare_visits,
     [](PolicySpec& p) { p.visits.remote.used = true; }, column(&PoolTally::free_chlorine_in_range), Moves::up},
    {"an output set from afar keeps free chlorine in range", {}, usual,
     [](PolicySpec& p) {
       p.visits.interval_d = 28.0;
       p.visits.remote.used = true;
     },
     [](PolicySpec& p) { p.visits.remote.set_output = true; }, column(&PoolTally::free_chlorine_in_range), Moves::up},

    // What is tested
    {"a test of free chlorine keeps it in range", {name_of(Measured::free_chlorine)}, usual,
     [](PolicySpec& p) { p.tests[Measured::free_chlorine].every_d = never; },
     [](PolicySpec& p) { p.tests[Measured::free_chlorine].every_d = 0.0; }, column(&PoolTally::free_chlorine_in_range),
     Moves::up},
    {"a test of combined chlorine is only noted: it costs time", {name_of(Measured::combined_chlorine)}, usual,
     [](PolicySpec& p) { p.tests[Measured::combined_chlorine].every_d = never; },
     [](PolicySpec& p) { p.tests[Measured::combined_chlorine].every_d = 0.0; }, column(&PoolTally::service_time),
     Moves::up},
    {"a test of pH keeps it in range", {name_of(Measured::ph)}, usual,
     [](PolicySpec& p) { p.tests[Measured::ph].every_d = never; },
     [](PolicySpec& p) { p.tests[Measured::ph].every_d = 0.0; }, column(&PoolTally::ph_in_range), Moves::up},
    {"a test of alkalinity keeps the water balanced",
     {name_of(Measured::alkalinity)},
     weak_water,
     [](PolicySpec& p) { p.tests[Measured::alkalinity].every_d = never; },
     [](PolicySpec& p) { p.tests[Measured::alkalinity].every_d = 14.0; }, column(&PoolTally::saturation_in_range),
     Moves::up},
    {"a test of calcium keeps the water balanced",
     {name_of(Measured::calcium)},
     soft_water,
     [](PolicySpec& p) { p.tests[Measured::calcium].every_d = never; },
     [](PolicySpec& p) { p.tests[Measured::calcium].every_d = 28.0; }, column(&PoolTally::saturation_in_range),
     Moves::up},
    {"without a method nothing is tested: the water loses its balance",
     {name_of(TestMethod::none)},
     soft_water,
     nothing, [](PolicySpec& p) { p.tests[Measured::calcium].method = TestMethod::none; },
     column(&PoolTally::saturation_in_range), Moves::down},
    {"a test of cyanuric acid saves chlorine",
     {name_of(Measured::cyanuric_acid)},
     bare_water,
     [](PolicySpec& p) { p.tests[Measured::cyanuric_acid].every_d = never; },
     [](PolicySpec& p) { p.tests[Measured::cyanuric_acid].every_d = 28.0; }, column(&PoolTally::chlorine_produced),
     Moves::down},
    {"a test of salt keeps it in range",
     {name_of(Measured::salt)},
     usual,
     [](PolicySpec& p) { p.tests[Measured::salt] = {TestMethod::none, never}; },
     [](PolicySpec& p) { p.tests[Measured::salt] = {TestMethod::meter, 14.0}; }, column(&PoolTally::salt_in_range),
     Moves::up},
    {"the unit's display calls for a test of the salt before the lamp does",
     {name_of(Measured::unit_salt), name_of(TestMethod::unit)},
     usual,
     [](PolicySpec& p) {
       p.dosing.salt_kg_per_m3 = {3.2, 3.5, 4.6};
       p.tests[Measured::salt].every_d = never;
       p.tests[Measured::unit_salt] = {TestMethod::none, never};
     },
     [](PolicySpec& p) { p.tests[Measured::unit_salt] = {TestMethod::unit, 0.0}; }, column(&PoolTally::salt_in_range),
     Moves::up, 10},
    {"a thermometer keeps the rule for warm water from taking hot air for it: fewer visits",
     {name_of(Measured::water_temperature)}, usual,
     [](PolicySpec& p) {
       VisitRule rule;
       rule.interval_d = 3.5;
       rule.water_above_K = 300.15;
       p.visits.rules = {rule};
       p.tests[Measured::water_temperature] = {TestMethod::none, never};
     },
     [](PolicySpec& p) { p.tests[Measured::water_temperature] = {TestMethod::meter, 0.0}; },
     column(&PoolTally::visits), Moves::down},
    {"strips are read quickly: less work than with kits", {name_of(TestMethod::strip)}, usual, nothing,
     [](PolicySpec& p) {
       for (Measured const quantity : {Measured::free_chlorine, Measured::ph, Measured::alkalinity, Measured::calcium,
                                       Measured::cyanuric_acid}) {
         p.tests[quantity].method = TestMethod::strip;
       }
     },
     column(&PoolTally::service_time), Moves::down},
    {"a kit finds free chlorine better than a strip", {name_of(TestMethod::kit)}, usual,
     [](PolicySpec& p) { p.tests[Measured::free_chlorine].method = TestMethod::strip; },
     [](PolicySpec& p) { p.tests[Measured::free_chlorine].method = TestMethod::kit; },
     column(&PoolTally::free_chlorine_in_range), Moves::up, 10},
    {"a meter finds free chlorine better than a strip", {name_of(TestMethod::meter)}, usual,
     [](PolicySpec& p) { p.tests[Measured::free_chlorine].method = TestMethod::strip; },
     [](PolicySpec& p) { p.tests[Measured::free_chlorine].method = TestMethod::meter; },
     column(&PoolTally::free_chlorine_in_range), Moves::up, 6},
    {"tests of steady water become rarer: fewer of them", {name_of(FiredRule::test_made_rarer)}, usual,
     [](PolicySpec& p) { p.tests[Measured::alkalinity].every_d = p.tests[Measured::calcium].every_d = 7.0; },
     [](PolicySpec& p) { p.tests.adaptive.used = true; }, logged(readings), Moves::down},
    {"a reading out of its band makes the test frequent again: free chlorine in range",
     {name_of(FiredRule::test_made_denser)}, usual,
     [](PolicySpec& p) { p.tests[Measured::free_chlorine].every_d = 28.0; },
     [](PolicySpec& p) {
       p.tests[Measured::free_chlorine].every_d = 0.0;
       p.tests.adaptive.used = true;
       p.tests.adaptive.rarest_free_chlorine_d = 28.0;
     },
     column(&PoolTally::free_chlorine_in_range), Moves::up, 8},

    // Doses
    {"salt that is topped up stays in range", {name_of(FiredRule::salt_topped_up)}, usual,
     [](PolicySpec& p) { p.dosing.salt_kg_per_m3.low = 0.0; },
     [](PolicySpec& p) { p.dosing.salt_kg_per_m3.low = 2.8; }, column(&PoolTally::salt_in_range), Moves::up},
    {"salt by the unit's own display is overdosed",
     {name_of(FiredRule::salt_by_unit_display), name_of(SaltCheck::unit_display)}, odd_sensors,
     [](PolicySpec& p) { p.dosing.salt_check = SaltCheck::independent; },
     [](PolicySpec& p) { p.dosing.salt_check = SaltCheck::unit_display; }, column(&PoolTally::salt_added), Moves::up, 12},
    {"salt that a test finds good is not added to",
     {name_of(FiredRule::salt_found_good), name_of(SaltCheck::independent)}, odd_sensors,
     [](PolicySpec& p) { p.dosing.salt_check = SaltCheck::unit_display; },
     [](PolicySpec& p) { p.dosing.salt_check = SaltCheck::independent; }, column(&PoolTally::salt_added), Moves::down, 12},
    {"a dose that is cut leaves the salt low for longer",
     {name_of(FiredRule::dose_limited)},
     fleet({{"traits", "start_salt = \"1600 mg/L\""}}),
     [](PolicySpec& p) { p.dosing.largest_salt_raise_kg_per_m3 = 3.0; },
     [](PolicySpec& p) { p.dosing.largest_salt_raise_kg_per_m3 = 0.2; }, column(&PoolTally::salt_in_range),
     Moves::down},
    {"water drained for too much cyanuric acid leaves the chlorine active",
     {name_of(FiredRule::water_drained)},
     fleet({{"traits", "start_cyanuric_acid = \"150 mg/L\""}}),
     [](PolicySpec& p) { p.dosing.largest_drain_share = 0.0; },
     [](PolicySpec& p) { p.dosing.largest_drain_share = 0.3; }, column(&PoolTally::active_chlorine_low), Moves::down},
    {"acid for a high pH keeps it in range", {name_of(FiredRule::acid_for_ph)}, usual,
     [](PolicySpec& p) { p.dosing.ph.high = 14.0; }, [](PolicySpec& p) { p.dosing.ph.high = 7.8; },
     column(&PoolTally::ph_in_range), Moves::up},
    {"acid for a high alkalinity keeps the water balanced",
     {name_of(FiredRule::acid_for_alkalinity)},
     fleet({{"traits", "start_alkalinity = \"220 mg/L\"\nstart_calcium = \"500 mg/L\""}, {"fill_alkalinity", "250 mg/L"}}),
     [](PolicySpec& p) {
       p.tests[Measured::alkalinity].every_d = 7.0;
       p.dosing.alkalinity_mol_per_m3.high = never;
     },
     [](PolicySpec& p) { p.dosing.alkalinity_mol_per_m3.high = 2.8; }, column(&PoolTally::saturation_in_range), Moves::up},
    {"bicarbonate for a low alkalinity keeps the water balanced",
     {name_of(FiredRule::alkalinity_raised)},
     weak_water,
     [](PolicySpec& p) {
       p.tests[Measured::alkalinity].every_d = 7.0;
       p.dosing.alkalinity_mol_per_m3.low = 0.0;
       p.dosing.ph.low = 0.0;
     },
     [](PolicySpec& p) { p.dosing.alkalinity_mol_per_m3.low = 1.2; }, column(&PoolTally::saturation_in_range),
     Moves::up},
    {"calcium chloride for soft water keeps it balanced",
     {name_of(FiredRule::calcium_raised)},
     soft_water,
     [](PolicySpec& p) { p.dosing.calcium_mol_per_m3.low = 0.0; },
     [](PolicySpec& p) { p.dosing.calcium_mol_per_m3.low = 1.5; }, column(&PoolTally::saturation_in_range), Moves::up},
    {"stabiliser saves chlorine",
     {name_of(FiredRule::cyanuric_acid_raised)},
     bare_water,
     [](PolicySpec& p) { p.dosing.cyanuric_acid_mol_per_m3.low = 0.0; },
     [](PolicySpec& p) { p.dosing.cyanuric_acid_mol_per_m3.low = 0.23; }, column(&PoolTally::chlorine_produced),
     Moves::down},
    {"liquid chlorine lifts free chlorine that is low", {name_of(FiredRule::chlorine_boosted)}, weak_units,
     [](PolicySpec& p) {
       kept_output(p);
       p.dosing.largest_shock_kg_per_m3 = 0.0;
       p.dosing.free_chlorine_kg_per_m3.low = 0.0;
     },
     [](PolicySpec& p) { p.dosing.free_chlorine_kg_per_m3.low = 0.001; }, column(&PoolTally::free_chlorine_low),
     Moves::down},
    {"a shock clears cloudy water", {}, weak_units,
     [](PolicySpec& p) {
       kept_output(p);
       rare_visits(p);
       p.dosing.largest_shock_kg_per_m3 = 0.003;
     },
     [](PolicySpec& p) { p.dosing.largest_shock_kg_per_m3 = 0.02; }, column(&PoolTally::cloudy_hours), Moves::down},

    // Output and pump hours
    {"an output learned from the readings keeps free chlorine in range", {name_of(OutputRule::learned)}, usual,
     kept_output, [](PolicySpec& p) { p.production.rule = OutputRule::learned; },
     column(&PoolTally::free_chlorine_in_range), Moves::up},
    {"an output that nobody touches loses free chlorine", {name_of(OutputRule::kept)}, usual, nothing, kept_output,
     column(&PoolTally::free_chlorine_in_range), Moves::down},
    {"an output raised in steps lifts free chlorine that is low",
     {name_of(OutputRule::stepped), name_of(FiredRule::output_raised)}, weak_units, kept_output,
     [](PolicySpec& p) { p.production.rule = OutputRule::stepped; }, column(&PoolTally::free_chlorine_low),
     Moves::down},
    {"an output lowered keeps free chlorine from being high", {name_of(FiredRule::output_lowered)}, strong_units,
     kept_output, [](PolicySpec& p) { p.production.rule = OutputRule::learned; },
     column(&PoolTally::free_chlorine_high), Moves::down},
    {"an output by the calendar lifts free chlorine that is low",
     {name_of(OutputRule::calendar), name_of(FiredRule::output_by_calendar)}, weak_units, kept_output,
     [](PolicySpec& p) {
       p.production.rule = OutputRule::calendar;
       p.production.calendar = {{.dates = {}, .output_setting = 0.6, .pump_hours_per_day = 10.0}};
     },
     column(&PoolTally::free_chlorine_low), Moves::down},
    {"a lamp in cold water is put down to the cold: fewer cells are given up", {name_of(FiredRule::cold_water)},
     cold_year, [](PolicySpec& p) { p.production.cold_water_K = 0.0; },
     [](PolicySpec& p) { p.production.cold_water_K = 291.15; }, column(&PoolTally::cells_replaced), Moves::down},
    {"longer pump hours lift free chlorine that is low",
     {name_of(FiredRule::pump_lengthened)},
     fleet({{"traits", "pump_hours = \"4 h\"\ndemand_factor = 1.5"}}),
     [](PolicySpec& p) { p.production.learn_pump_hours = false; },
     [](PolicySpec& p) { p.production.learn_pump_hours = true; }, column(&PoolTally::free_chlorine_low), Moves::down, 8},
    {"shorter pump hours save energy",
     {name_of(FiredRule::pump_shortened)},
     fleet({{"traits", "pump_hours = \"18 h\""}}),
     [](PolicySpec& p) { p.production.learn_pump_hours = false; },
     [](PolicySpec& p) { p.production.learn_pump_hours = true; }, column(&PoolTally::pump_energy), Moves::down},

    // Upkeep
    {"backwashes more often take water", {}, usual, nothing, [](PolicySpec& p) { p.upkeep.backwash_every_d = 7.0; },
     column(&PoolTally::fill_water), Moves::up},
    {"backwashes after rain take water", {}, usual, nothing,
     [](PolicySpec& p) { p.upkeep.backwash_after_rain_m = 0.02; }, column(&PoolTally::fill_water), Moves::up},
    {"debris that is taken out saves chlorine",
     {},
     fleet({{"traits", "debris_factor = 4"}}), [](PolicySpec& p) { p.upkeep.debris_every_d = never; },
     [](PolicySpec& p) { p.upkeep.debris_every_d = 0.0; }, column(&PoolTally::chlorine_produced), Moves::down, 6},
    {"water filled up by hand keeps the pump from drawing air",
     {},
     falling_levels,
     [](PolicySpec& p) {
       p.people.owners_help = false;
       p.upkeep.refill_below_m = 1.0;
     },
     [](PolicySpec& p) { p.upkeep.refill_below_m = 0.05; }, column(&PoolTally::days_without_production), Moves::down},

    // The cell
    {"a cell that is cleaned for the scale seen carries less of it",
     {name_of(FiredRule::cleaned_by_grade)}, hard_water, never_cleaned,
     [](PolicySpec& p) {
       p.cell.inspect_every_d = 28.0;
       p.cell.clean_at_grade = 1;
     },
     column(&PoolTally::largest_scale), Moves::down},
    {"a cell inspected after operating hours carries less scale", {}, hard_water,
     [](PolicySpec& p) {
       never_cleaned(p);
       p.cell.clean_at_grade = 1;
     },
     [](PolicySpec& p) { p.cell.inspect_every_operating_h = 200.0; }, column(&PoolTally::largest_scale), Moves::down},
    {"a cell cleaned by the calendar carries less scale", {name_of(FiredRule::cleaned_by_calendar)}, hard_water,
     never_cleaned, [](PolicySpec& p) { p.cell.clean_every_d = 56.0; }, column(&PoolTally::largest_scale), Moves::down},
    {"a cell cleaned after operating hours carries less scale", {name_of(FiredRule::cleaned_by_operating_hours)},
     hard_water, never_cleaned, [](PolicySpec& p) { p.cell.clean_every_operating_h = 500.0; },
     column(&PoolTally::largest_scale), Moves::down},
    {"a cell cleaned once its voltage has risen carries less scale", {name_of(FiredRule::cleaned_by_voltage),
     name_of(Measured::cell_voltage)},
     hard_water, never_cleaned, [](PolicySpec& p) { p.cell.clean_at_voltage_rise = 0.03; },
     column(&PoolTally::largest_scale), Moves::down},
    {"a cell cleaned after scale-forming water carries less scale", {name_of(FiredRule::cleaned_by_saturation)},
     hard_water, never_cleaned,
     [](PolicySpec& p) {
       p.cell.clean_after_saturated_visits = 2;
       p.cell.saturation_index_limit = 0.0;
     },
     column(&PoolTally::largest_scale), Moves::down},
    {"a cell cleaned whenever its lamp is lit carries less scale", {name_of(FiredRule::cleaned_on_warning)},
     hard_water, never_cleaned, [](PolicySpec& p) { p.cell.clean_on_warning = true; },
     column(&PoolTally::largest_scale), Moves::down},
    {"acid wears the coating", {}, usual,
     [](PolicySpec& p) {
       never_cleaned(p);
       p.dosing.ph = {7.2, 7.5, 7.8};
     },
     [](PolicySpec& p) { p.cell.clean_every_d = 14.0; }, column(&PoolTally::coating_left), Moves::down},
    {"acid first at a lit lamp cleans cells that carry no scale", {name_of(WarningOrder::clean_first)}, short_lived_cells,
     nothing, [](PolicySpec& p) { p.cell.warning_order = WarningOrder::clean_first; },
     column(&PoolTally::innocent_cleanings), Moves::up},
    {"salt first at a lit lamp spares cells that carry no scale", {name_of(WarningOrder::salt_first)}, short_lived_cells,
     [](PolicySpec& p) { p.cell.warning_order = WarningOrder::clean_first; },
     [](PolicySpec& p) { p.cell.warning_order = WarningOrder::salt_first; }, column(&PoolTally::innocent_cleanings),
     Moves::down},
    {"a unit that is restarted before it is given up needs fewer cells", {name_of(FiredRule::restarted)}, short_lived_cells,
     [](PolicySpec& p) { p.cell.restarts_before_replacing = 0; },
     [](PolicySpec& p) { p.cell.restarts_before_replacing = 6; }, column(&PoolTally::cells_replaced), Moves::down, 10},
    {"a failed cell that is replaced makes chlorine again", {name_of(FiredRule::failed_cell_replaced)}, short_lived_cells,
     [](PolicySpec& p) { p.cell.replace_failed = false; }, [](PolicySpec& p) { p.cell.replace_failed = true; },
     column(&PoolTally::days_without_production), Moves::down},
    {"a cell replaced in advance is a new cell", {name_of(FiredRule::cell_replaced_in_advance)}, usual, nothing,
     [](PolicySpec& p) { p.cell.replace_after_operating_h = 3000.0; }, column(&PoolTally::coating_left), Moves::up},

    // The year
    {"closing spares the cells from the frost", {name_of(VisitReason::closing), name_of(Closing::drain_lines)},
     cold_year, nothing, closed_in_winter, column(&PoolTally::freeze_breaks), Moves::down, 8},
    {"not closing breaks cells", {name_of(Closing::none)}, cold_year, closed_in_winter,
     [](PolicySpec& p) { p.year.closes = false; }, column(&PoolTally::freeze_breaks), Moves::up, 8},
    {"closing by bypass alone breaks cells", {name_of(Closing::bypass_only)}, cold_year, closed_in_winter,
     [](PolicySpec& p) { p.year.how = Closing::bypass_only; }, column(&PoolTally::freeze_breaks), Moves::up},
    {"a lowered level leaves room for the winter's rain", {name_of(Closing::lower_level)}, cold_year,
     [](PolicySpec& p) {
       closed_in_winter(p);
       p.year.how = Closing::bypass_only;
     },
     [](PolicySpec& p) { p.year.how = Closing::lower_level; }, column(&PoolTally::overflowed), Moves::down},
    {"closing by the water's temperature shortens the season", {}, cold_year, nothing,
     [](PolicySpec& p) {
       p.year.closes = true;
       p.year.close_below_water_K = 285.15;
       p.year.open_above_air_K = 286.15;
     },
     column(&PoolTally::open_hours), Moves::down},
    {"a pool that is opened makes chlorine again", {name_of(VisitReason::opening), name_of(FiredRule::unit_powered)},
     cold_year,
     [](PolicySpec& p) {
       closed_in_winter(p);
       p.year.open_on.reset();
     },
     [](PolicySpec& p) { p.year.open_on = April / 10; }, column(&PoolTally::chlorine_produced), Moves::up},
    {"a pool watched in winter is less cloudy when it opens", {name_of(VisitReason::winter_watch)}, leafy_cold_year, closed_in_winter,
     [](PolicySpec& p) { p.year.winter_watch_d = 28.0; }, column(&PoolTally::cloudy_hours), Moves::down, 12},
    {"a unit kept off until a return visit finds the water balanced runs for fewer hours",
     {name_of(VisitReason::return_visit), name_of(FiredRule::unit_kept_off)}, cold_year,
     [](PolicySpec& p) {
       closed_in_winter(p);
       never_cleaned(p);
       p.year.open_on = June / 10;  // into water in which the unit would run at once
       p.year.balance_first = false;
     },
     [](PolicySpec& p) { p.year.balance_first = true; }, column(&PoolTally::cell_hours), Moves::down, 10},
    // People and money
    {"owners who help keep the pump from drawing air",
     {},
     falling_levels,
     [](PolicySpec& p) {
       p.people.owners_help = false;
       p.visits.interval_d = 28.0;
     },
     [](PolicySpec& p) { p.people.owners_help = true; }, column(&PoolTally::days_without_production), Moves::down, 12},
    {"people who mind cloudy water complain", {}, weak_units,
     [](PolicySpec& p) {
       rare_visits(p);
       kept_output(p);
       p.people.complaints = false;
     },
     [](PolicySpec& p) { p.people.complaints = true; }, column(&PoolTally::complaints), Moves::up},
    {"customers who leave over cloudy water pay no more",
     {},
     fleet({{"traits", "fee_per_visit = 50\noutput_setting = \"10 %\""}}),
     [](PolicySpec& p) {
       rare_visits(p);
       kept_output(p);
       p.people.complaint_chance_per_day = 0.5;
       p.people.cancel_chance_per_complaint = 0.5;
     },
     [](PolicySpec& p) { p.people.cancellations = true; }, column(&PoolTally::revenue), Moves::down},
    {"a fee a month is earned", {}, usual, nothing, [](PolicySpec& p) { p.fees.per_month = 100.0; },
     column(&PoolTally::revenue), Moves::up},
    {"a fee a visit is earned", {}, usual, nothing, [](PolicySpec& p) { p.fees.per_visit = 40.0; },
     column(&PoolTally::revenue), Moves::up},
    {"a fee a call-out is earned", {}, usual, rare_visits, [](PolicySpec& p) { p.fees.per_call_out = 80.0; },
     column(&PoolTally::revenue), Moves::up},
    {"work that takes longer costs more", {}, usual, nothing, [](PolicySpec& p) { p.work.debris_s = 1200.0; },
     column(&PoolTally::cost), Moves::up},
};

TEST_CASE("every kind of rule has a row in which it alone moves an outcome", "[sim][seasons][unit]") {
  for (std::string_view const kind :
       all_names<VisitReason, FiredRule, OutputRule, SaltCheck, TestMethod, Measured, WarningOrder, Closing>()) {
    CAPTURE(kind);
    CHECK(std::any_of(rows.begin(), rows.end(), [kind](Row const& row) {
      return std::find(row.kinds.begin(), row.kinds.end(), kind) != row.kinds.end();
    }));
  }
}

// The mean of the paired differences over pools and replicates must lie 3 of its standard errors on the expected side,
// where noise alone would put it once in 740 (normal). Weather and draws are fixed by the seed, so that a failure means
// a change of the program.
TEST_CASE("each kind of rule alone moves its outcome in the expected direction", "[sim][seasons][statistics]") {
  constexpr double standard_errors = 3.0;
  for (Row const& row : rows) {
    DYNAMIC_SECTION(row.claim) {
      PolicySpec without;
      row.alike(without);
      PolicySpec with = without;
      row.rule(with);
      auto const [before, after] = paired_seasons(row.setting, without, with, row.replicates);
      for (std::string_view const kind : row.kinds) {
        if (kind.find("FiredRule") != 0 && kind.find("VisitReason") != 0) continue;
        CAPTURE(kind);
        CHECK(count_kind(after, kind) > count_kind(before, kind));
      }
      auto const change = paired_change(before, after, row.outcome);
      double const toward = row.moves == Moves::up ? change.mean : -change.mean;
      CAPTURE(change.before, change.mean, change.standard_error);
      CHECK(toward > standard_errors * change.standard_error);
    }
  }
}

TEST_CASE("what a policy switches off does not happen", "[sim][seasons][unit]") {
  PolicySpec off;
  never_cleaned(off);
  rare_visits(off);
  kept_output(off);
  off.dosing.salt_kg_per_m3.low = 0.0;
  off.dosing.ph = {0.0, 7.5, 14.0};
  off.dosing.alkalinity_mol_per_m3 = {0.0, 1.6, never};
  off.dosing.calcium_mol_per_m3.low = 0.0;
  off.dosing.cyanuric_acid_mol_per_m3.low = 0.0;
  off.people.call_chance_per_day = 0.0;
  off.people.complaints = false;
  off.people.cancellations = true;
  auto const none = seasons(weak_units, off);
  for (PoolColumn const column :
       {&PoolTally::cell_cleanings, &PoolTally::cells_replaced, &PoolTally::salt_added, &PoolTally::acid_added,
        &PoolTally::bicarbonate_added, &PoolTally::calcium_chloride_added, &PoolTally::cyanuric_acid_added,
        &PoolTally::call_outs, &PoolTally::complaints, &PoolTally::lost_customers, &PoolTally::remote_readings}) {
    CHECK(sum(none, column) == 0.0);
  }
  CHECK(sum(none, &PoolTally::cloudy_hours) > 0.0);  // there was something to call and complain about
}

}  // namespace
}  // namespace brinecast::sim
