#include "sim/scenario/read_policy.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <set>
#include <string>

#include "sim/scenario/csv.hpp"
#include "sim/scenario/limits.hpp"
#include "sim/scenario/shown_text.hpp"

namespace brinecast::sim {

namespace {

constexpr double seconds_per_day = 86400.0;
constexpr double seconds_per_hour = 3600.0;
constexpr Limits any_share{.lower = 0.0, .upper = 1.0};
constexpr Limits interval_limits_d{.lower = 0.5, .upper = 366.0};
constexpr Limits span_limits_d{.lower = 0.0, .upper = 3660.0};
constexpr Limits water_limits_K{.lower = 263.15, .upper = 323.15};
constexpr Limits air_limits_K{.lower = 223.15, .upper = 333.15};
constexpr Limits work_limits_s{.lower = 0.0, .upper = 86400.0};

/// A duration counted in `unit_s`, for members that count days or hours.
void read_span(TableReader& table, std::string_view key, double& target, double unit_s, Limits limits) {
  double seconds = 0.0;
  if (table.read_quantity(key, seconds, Quantity::duration, {limits.lower * unit_s, limits.upper * unit_s})) {
    target = seconds / unit_s;
  }
}

void read_days(TableReader& table, std::string_view key, double& target_d, Limits limits) {
  read_span(table, key, target_d, seconds_per_day, limits);
}

void read_whole_days(TableReader& table, std::string_view key, int& target_d, int upper) {
  double days = target_d;
  read_days(table, key, days, {1.0, static_cast<double>(upper)});
  target_d = static_cast<int>(std::lround(days));
}

/// Or "never", which switches the rule off.
void read_days_or_never(TableReader& table, std::string_view key, double& target_d, Limits limits) {
  if (table.says(key, "never")) {
    target_d = never;
  } else {
    read_days(table, key, target_d, limits);
  }
}

void read_hours_or_never(TableReader& table, std::string_view key, double& target_h) {
  if (table.says(key, "never")) {
    target_h = never;
  } else {
    read_span(table, key, target_h, seconds_per_hour, {1.0, 1e6});
  }
}

void read_or_never(TableReader& table, std::string_view key, double& target, Quantity kind, Limits limits) {
  if (table.says(key, "never")) {
    target = never;
  } else {
    table.read_quantity(key, target, kind, limits);
  }
}

void read_dates(TableReader& table, DateRange& dates) {
  table.read_month_day("from", dates.first);
  table.read_month_day("to", dates.last);
}

void read_date_range(TableReader& parent, std::string_view key, DateRange& dates) {
  if (auto table = parent.subtable(key)) {
    read_dates(*table, dates);
    table->finish();
  }
}

/// A month and day, or "never".
void read_optional_day(TableReader& table, std::string_view key, std::optional<std::chrono::month_day>& target) {
  if (table.says(key, "never")) {
    target.reset();
    return;
  }
  std::chrono::month_day day = target.value_or(std::chrono::January / 1);
  if (table.read_month_day(key, day)) target = day;
}

// ---------------------------------------------------------------------------------------------------------------------

void read_rule(TableReader& table, VisitRule& rule) {
  if (table.require("interval", "interval = \"14 d\""))
    read_days(table, "interval", rule.interval_d, interval_limits_d);
  table.read_text("pool_class", rule.pool_class);
  read_dates(table, rule.dates);
  table.read_quantity("water_above", rule.water_above_K, Quantity::temperature, water_limits_K);
  table.read_quantity("water_below", rule.water_below_K, Quantity::temperature, water_limits_K);
  table.read_quantity("air_above", rule.air_above_K, Quantity::temperature, air_limits_K);
  table.read_quantity("air_below", rule.air_below_K, Quantity::temperature, air_limits_K);
  table.finish();
}

void read_adaptive_visits(TableReader& table, AdaptiveVisits& adaptive) {
  adaptive.used = true;
  table.read_flag("used", adaptive.used);
  read_days(table, "shortest", adaptive.shortest_d, interval_limits_d);
  read_days(table, "longest", adaptive.longest_d, interval_limits_d);
  table.read_integer("steady_visits", adaptive.steady_visits, 1, 100);
  table.read_number("lengthen_factor", adaptive.lengthen_factor, {1.0, 10.0});
  table.read_number("shorten_factor", adaptive.shorten_factor, {0.05, 1.0});
  table.read_quantity("free_chlorine_drift", adaptive.free_chlorine_drift_kg_per_m3, Quantity::concentration,
                      {0.0, 0.1});
  table.read_number("ph_drift", adaptive.ph_drift, {0.0, 7.0});
  table.read_quantity("salt_drift", adaptive.salt_drift_kg_per_m3, Quantity::concentration, {0.0, 10.0});
  if (adaptive.shortest_d > adaptive.longest_d) {
    table.complain("shortest", fmt::format("the shortest interval, {:g} d, is longer than the longest, {:g} d; write a "
                                           "shorter one",
                                           adaptive.shortest_d, adaptive.longest_d));
  }
  table.finish();
}

void read_triggers(TableReader& table, VisitTriggers& triggers) {
  read_or_never(table, "rain", triggers.rain_m, Quantity::depth, {0.0, 2.0});
  read_whole_days(table, "rain_within", triggers.rain_days, 30);
  read_or_never(table, "heat", triggers.heat_K, Quantity::temperature, air_limits_K);
  read_whole_days(table, "heat_within", triggers.heat_days, 30);
  if (table.says("bathers", "never")) {
    triggers.bathers = never;
  } else {
    table.read_number("bathers", triggers.bathers, {1.0, 10000.0});
  }
  read_whole_days(table, "bathers_within", triggers.bather_days, 14);
  table.read_flag("warning", triggers.warning);
  read_days(table, "shortest_gap", triggers.shortest_gap_d, span_limits_d);
  table.finish();
}

void read_remote(TableReader& table, RemoteReadings& remote) {
  remote.used = true;
  table.read_flag("used", remote.used);
  read_days(table, "every", remote.every_d, {1.0, 60.0});
  table.read_quantity("free_chlorine_below", remote.free_chlorine_below_kg_per_m3, Quantity::concentration, {0.0, 0.1});
  table.read_quantity("free_chlorine_above", remote.free_chlorine_above_kg_per_m3, Quantity::concentration, {0.0, 0.1});
  table.read_number("ph_below", remote.ph_below, {0.0, 14.0});
  table.read_number("ph_above", remote.ph_above, {0.0, 14.0});
  table.read_quantity("salt_below", remote.salt_below_kg_per_m3, Quantity::concentration, {0.0, 10.0});
  table.read_flag("report_warnings", remote.report_warnings);
  table.read_flag("set_output", remote.set_output);
  table.finish();
}

void read_visits(TableReader& table, VisitSpec& visits) {
  read_days(table, "interval", visits.interval_d, interval_limits_d);
  if (table.has("rules")) {
    visits.rules.clear();  // a list replaces the base's list: its order is its meaning
    for (auto& row : table.subtables("rules")) read_rule(row, visits.rules.emplace_back());
  }
  if (auto adaptive = table.subtable("adaptive")) read_adaptive_visits(*adaptive, visits.adaptive);
  if (auto triggers = table.subtable("triggers")) read_triggers(*triggers, visits.triggers);
  if (auto remote = table.subtable("remote")) read_remote(*remote, visits.remote);
  table.finish();
}

// ---------------------------------------------------------------------------------------------------------------------

struct MeasuredWord {
  std::string_view word;
  Measured quantity;
  Quantity kind;  // of its errors
};

constexpr std::array<MeasuredWord, measured_count> measured_words = {{
    {"free_chlorine", Measured::free_chlorine, Quantity::concentration},
    {"combined_chlorine", Measured::combined_chlorine, Quantity::concentration},
    {"ph", Measured::ph, Quantity::share},
    {"alkalinity", Measured::alkalinity, Quantity::alkalinity},
    {"calcium", Measured::calcium, Quantity::calcium},
    {"cyanuric_acid", Measured::cyanuric_acid, Quantity::cyanuric_acid},
    {"salt", Measured::salt, Quantity::concentration},
    {"unit_salt", Measured::unit_salt, Quantity::concentration},
    {"water_temperature", Measured::water_temperature, Quantity::temperature_change},
    {"cell_voltage", Measured::cell_voltage, Quantity::voltage},
}};

std::vector<std::pair<std::string_view, TestMethod>> const& method_words() {
  static std::vector<std::pair<std::string_view, TestMethod>> const words = {
      {"none", TestMethod::none},   {"strip", TestMethod::strip}, {"kit", TestMethod::kit},
      {"meter", TestMethod::meter}, {"unit", TestMethod::unit},   {"remote", TestMethod::remote}};
  return words;
}

void read_error(TableReader& table, ReadingError& error, MeasuredWord const& measured) {
  auto const read = [&](std::string_view key, double& target, Limits limits) {
    if (measured.quantity == Measured::ph) {
      table.read_number(key, target, limits);
    } else {
      table.read_quantity(key, target, measured.kind, limits);
    }
  };
  table.read_quantity("bias_share", error.bias_relative, Quantity::share, {-0.9, 2.0});
  read("bias", error.bias, {-100.0, 100.0});
  table.read_quantity("sd_share", error.sd_relative, Quantity::share, {0.0, 2.0});
  read("sd", error.sd, {0.0, 100.0});
  read("step", error.step, {0.0, 100.0});
  table.finish();
}

void read_tests(TableReader& table, TestSpec& tests) {
  for (MeasuredWord const& measured : measured_words) {
    auto rule = table.subtable(measured.word);
    if (!rule) continue;
    TestRule& target = tests[measured.quantity];
    bool const stated = rule->read_choice("method", target.method, method_words());
    if (rule->says("every", "visit")) {
      target.every_d = 0.0;
    } else {
      read_days_or_never(*rule, "every", target.every_d, span_limits_d);
    }
    // Whether the method can measure this at all shows in the table of errors: a possible method has one.
    ReadingError const& error =
        typical_reading_errors()[static_cast<std::size_t>(target.method)][static_cast<std::size_t>(measured.quantity)];
    bool const possible =
        target.method == TestMethod::none || error.sd_relative > 0.0 || error.sd > 0.0 || error.step > 0.0;
    if (stated && !possible) {
      rule->complain("method", "this method does not measure that; write another, or \"none\"");
    }
    rule->finish();
  }
  if (auto adaptive = table.subtable("adaptive")) {
    tests.adaptive.used = true;
    adaptive->read_flag("used", tests.adaptive.used);
    adaptive->read_integer("steady_readings", tests.adaptive.steady_readings, 1, 100);
    adaptive->read_number("rarer_factor", tests.adaptive.rarer_factor, {1.0, 10.0});
    read_days(*adaptive, "longest", tests.adaptive.longest_d, interval_limits_d);
    read_days(*adaptive, "rarest_free_chlorine", tests.adaptive.rarest_free_chlorine_d, interval_limits_d);
    adaptive->finish();
  }
  if (auto errors = table.subtable("errors")) {
    for (auto const& [word, method] : method_words()) {
      if (method == TestMethod::none) continue;
      auto of_method = errors->subtable(word);
      if (!of_method) continue;
      for (MeasuredWord const& measured : measured_words) {
        if (auto error = of_method->subtable(measured.word)) {
          read_error(*error,
                     tests.errors[static_cast<std::size_t>(method)][static_cast<std::size_t>(measured.quantity)],
                     measured);
        }
      }
      of_method->finish();
    }
    errors->finish();
  }
  table.finish();
}

// ---------------------------------------------------------------------------------------------------------------------

/// A band's three limits in one unit; the caller finishes the table.
template <class Read>
void read_band(TableReader& table, Band& band, Read const& read) {
  read("low", band.low);
  read("target", band.target);
  if (table.says("high", "never")) {
    band.high = never;
  } else {
    read("high", band.high);
  }
  if (!(band.low <= band.target && band.target <= band.high)) {
    table.complain("", fmt::format("low {:g}, target {:g} and high {:g} (SI) are not in this order; write them rising",
                                   band.low, band.target, band.high));
  }
}

void read_quantity_band(TableReader& table, Band& band, Quantity kind, Limits limits) {
  read_band(table, band, [&](std::string_view key, double& target) { table.read_quantity(key, target, kind, limits); });
}

void read_dosing(TableReader& table, DosingSpec& dosing) {
  constexpr Limits chlorine{0.0, 0.05};
  constexpr Limits alkalinity{0.0, 10.0};
  constexpr Limits calcium{0.0, 30.0};
  constexpr Limits cyanuric{0.0, 3.0};
  constexpr Limits salt{0.0, 40.0};
  if (auto t = table.subtable("free_chlorine")) {
    read_quantity_band(*t, dosing.free_chlorine_kg_per_m3, Quantity::concentration, chlorine);
    t->read_quantity("per_cyanuric_acid", dosing.free_chlorine_per_cyanuric_acid, Quantity::share, {0.0, 0.5});
    t->read_quantity("largest_raise", dosing.largest_free_chlorine_raise_kg_per_m3, Quantity::concentration, chlorine);
    t->read_quantity("shock_per_cyanuric_acid", dosing.shock_per_cyanuric_acid, Quantity::share, {0.0, 1.0});
    t->read_quantity("largest_shock", dosing.largest_shock_kg_per_m3, Quantity::concentration, chlorine);
    t->finish();
  }
  if (auto t = table.subtable("ph")) {
    read_band(*t, dosing.ph, [&](std::string_view key, double& target) { t->read_number(key, target, {6.0, 9.0}); });
    // A dose of acid is counted by the alkalinity that it takes away.
    t->read_quantity("largest_acid", dosing.largest_acid_mol_per_m3, Quantity::alkalinity, {0.0, 5.0});
    t->finish();
  }
  if (auto t = table.subtable("alkalinity")) {
    read_quantity_band(*t, dosing.alkalinity_mol_per_m3, Quantity::alkalinity, alkalinity);
    t->read_quantity("largest_raise", dosing.largest_alkalinity_raise_mol_per_m3, Quantity::alkalinity, alkalinity);
    t->finish();
  }
  if (auto t = table.subtable("calcium")) {
    read_quantity_band(*t, dosing.calcium_mol_per_m3, Quantity::calcium, calcium);
    t->read_quantity("largest_raise", dosing.largest_calcium_raise_mol_per_m3, Quantity::calcium, calcium);
    t->finish();
  }
  if (auto t = table.subtable("cyanuric_acid")) {
    read_quantity_band(*t, dosing.cyanuric_acid_mol_per_m3, Quantity::cyanuric_acid, cyanuric);
    t->read_quantity("largest_raise", dosing.largest_cyanuric_acid_raise_mol_per_m3, Quantity::cyanuric_acid, cyanuric);
    read_days(*t, "wait", dosing.cyanuric_acid_wait_d, span_limits_d);
    t->finish();
  }
  if (auto t = table.subtable("salt")) {
    read_quantity_band(*t, dosing.salt_kg_per_m3, Quantity::concentration, salt);
    t->read_choice<SaltCheck>("check", dosing.salt_check,
                              {{"independent", SaltCheck::independent}, {"unit_display", SaltCheck::unit_display}});
    t->read_quantity("top_up_share", dosing.salt_top_up_share, Quantity::share, {0.05, 1.5});
    t->read_quantity("largest_raise", dosing.largest_salt_raise_kg_per_m3, Quantity::concentration, salt);
    read_days(*t, "wait", dosing.salt_wait_d, span_limits_d);
    t->finish();
  }
  table.read_quantity("largest_drain", dosing.largest_drain_share, Quantity::share, {0.0, 0.9});
  table.finish();
}

// ---------------------------------------------------------------------------------------------------------------------

void read_production(TableReader& table, ProductionSpec& production) {
  constexpr Limits pump_h{0.0, 24.0};
  table.read_choice<OutputRule>("rule", production.rule,
                                {{"kept", OutputRule::kept},
                                 {"calendar", OutputRule::calendar},
                                 {"stepped", OutputRule::stepped},
                                 {"learned", OutputRule::learned}});
  if (table.has("calendar")) {
    production.calendar.clear();
    for (auto& row : table.subtables("calendar")) {
      CalendarOutput& entry = production.calendar.emplace_back();
      read_dates(row, entry.dates);
      row.read_quantity("output", entry.output_setting, Quantity::share, any_share);
      read_span(row, "pump_hours", entry.pump_hours_per_day, seconds_per_hour, pump_h);
      row.finish();
    }
  }
  table.read_quantity("lowest", production.lowest_setting, Quantity::share, any_share);
  table.read_quantity("highest", production.highest_setting, Quantity::share, any_share);
  if (production.lowest_setting > production.highest_setting) {
    table.complain("lowest", "the lowest output is above the highest; write a lower one");
  }
  table.read_quantity("step", production.step, Quantity::share, {0.01, 1.0});
  table.read_number("gain", production.gain, {0.0, 1.5});
  table.read_in_unit("demand_per_kelvin", production.demand_per_K, "K-1", {0.0, 0.3});
  table.read_quantity("cold_water", production.cold_water_K, Quantity::temperature, water_limits_K);
  table.read_flag("learn_pump_hours", production.learn_pump_hours);
  read_span(table, "shortest_pump_hours", production.shortest_pump_h, seconds_per_hour, pump_h);
  read_span(table, "longest_pump_hours", production.longest_pump_h, seconds_per_hour, pump_h);
  if (production.shortest_pump_h > production.longest_pump_h) {
    table.complain("shortest_pump_hours", "the shortest pump time is longer than the longest; write a shorter one");
  }
  table.read_quantity("lengthen_above", production.lengthen_above_setting, Quantity::share, any_share);
  table.read_quantity("shorten_below", production.shorten_below_setting, Quantity::share, any_share);
  read_span(table, "pump_step", production.pump_step_h, seconds_per_hour, pump_h);
  table.finish();
}

void read_upkeep(TableReader& table, UpkeepSpec& upkeep) {
  read_days_or_never(table, "backwash_every", upkeep.backwash_every_d, span_limits_d);
  read_or_never(table, "backwash_after_rain", upkeep.backwash_after_rain_m, Quantity::depth, {0.0, 10.0});
  table.read_quantity("backwash_duration", upkeep.backwash_duration_s, Quantity::duration, {0.0, 3600.0});
  if (table.says("debris_every", "visit")) {
    upkeep.debris_every_d = 0.0;
  } else {
    read_days_or_never(table, "debris_every", upkeep.debris_every_d, span_limits_d);
  }
  table.read_quantity("debris_removed", upkeep.debris_removed_share, Quantity::share, any_share);
  table.read_quantity("refill_below", upkeep.refill_below_m, Quantity::length, {0.0, 1.0});
  table.finish();
}

void read_cell(TableReader& table, CellSpec& cell) {
  read_days_or_never(table, "inspect_every", cell.inspect_every_d, span_limits_d);
  read_hours_or_never(table, "inspect_every_operating", cell.inspect_every_operating_h);
  table.read_choice<int>("clean_at", cell.clean_at_grade,
                         {{"dusting", 1}, {"flakes", 2}, {"bridges", 3}, {"never", 4}});
  read_days_or_never(table, "clean_every", cell.clean_every_d, {1.0, 3660.0});
  read_hours_or_never(table, "clean_every_operating", cell.clean_every_operating_h);
  table.read_flag("clean_on_warning", cell.clean_on_warning);
  read_or_never(table, "clean_at_voltage_rise", cell.clean_at_voltage_rise, Quantity::share, {0.01, 5.0});
  table.read_number("saturation_index_limit", cell.saturation_index_limit, {-2.0, 3.0});
  table.read_integer("clean_after_saturated_visits", cell.clean_after_saturated_visits, 0, 1000);
  static constexpr std::array<std::string_view, 4> cycle_keys = {"cycles_clean", "cycles_dusting", "cycles_flakes",
                                                                 "cycles_bridges"};
  for (std::size_t grade = 0; grade < cycle_keys.size(); ++grade) {
    table.read_integer(cycle_keys[grade], cell.cycles_by_grade[grade], 0, 10);
  }
  table.read_choice<WarningOrder>(
      "warning_order", cell.warning_order,
      {{"salt_first", WarningOrder::salt_first}, {"clean_first", WarningOrder::clean_first}});
  table.read_integer("restarts_before_replacing", cell.restarts_before_replacing, 0, 100);
  table.read_flag("replace_failed", cell.replace_failed);
  read_hours_or_never(table, "replace_after_operating", cell.replace_after_operating_h);
  table.finish();
}

void read_year(TableReader& table, YearSpec& year) {
  table.read_flag("closes", year.closes);
  table.read_choice<Closing>("how", year.how,
                             {{"bypass_only", Closing::bypass_only},
                              {"lower_level", Closing::lower_level},
                              {"drain_lines", Closing::drain_lines}});
  table.read_quantity("lowered", year.lowered_share, Quantity::share, {0.0, 0.8});
  read_optional_day(table, "close_on", year.close_on);
  if (table.says("close_below_water", "never")) {
    year.close_below_water_K = 0.0;
  } else {
    table.read_quantity("close_below_water", year.close_below_water_K, Quantity::temperature, water_limits_K);
  }
  read_date_range(table, "closing_season", year.closing_season);
  read_optional_day(table, "open_on", year.open_on);
  read_or_never(table, "open_above_air", year.open_above_air_K, Quantity::temperature, air_limits_K);
  read_date_range(table, "opening_season", year.opening_season);
  read_days_or_never(table, "winter_watch", year.winter_watch_d, interval_limits_d);
  table.read_flag("balance_first", year.balance_first);
  read_days(table, "return_after", year.return_d, {1.0, 30.0});
  table.read_integer("largest_returns", year.largest_returns, 1, 20);
  table.finish();
}

void read_people(TableReader& table, PeopleSpec& people) {
  table.read_flag("owners_help", people.owners_help);
  table.read_quantity("call_chance_per_day", people.call_chance_per_day, Quantity::share, any_share);
  read_days(table, "call_answer", people.call_answer_d, {0.0, 60.0});
  table.read_flag("complaints", people.complaints);
  table.read_quantity("complaint_chance_per_day", people.complaint_chance_per_day, Quantity::share, any_share);
  table.read_flag("cancellations", people.cancellations);
  table.read_quantity("cancel_chance_per_complaint", people.cancel_chance_per_complaint, Quantity::share, any_share);
  table.finish();
}

void read_fees(TableReader& table, FeeSpec& fees) {
  auto const read = [&table](std::string_view key, std::optional<double>& target) {
    double money = target.value_or(0.0);
    if (table.read_number(key, money, {0.0, 1e6})) target = money;
  };
  read("per_month", fees.per_month);
  read("per_visit", fees.per_visit);
  table.read_number("per_call_out", fees.per_call_out, {0.0, 1e6});
  table.finish();
}

void read_work(TableReader& table, WorkSpec& work) {
  struct Duration {
    std::string_view key;
    double WorkSpec::*member;
  };
  static constexpr std::array durations = {Duration{"test_strip", &WorkSpec::test_strip_s},
                                           Duration{"test_kit", &WorkSpec::test_kit_s},
                                           Duration{"test_meter", &WorkSpec::test_meter_s},
                                           Duration{"salt", &WorkSpec::salt_s},
                                           Duration{"acid", &WorkSpec::acid_s},
                                           Duration{"powder", &WorkSpec::powder_s},
                                           Duration{"liquid_chlorine", &WorkSpec::liquid_chlorine_s},
                                           Duration{"output", &WorkSpec::output_s},
                                           Duration{"pump_hours", &WorkSpec::pump_hours_s},
                                           Duration{"inspect_cell", &WorkSpec::inspect_cell_s},
                                           Duration{"clean_cell", &WorkSpec::clean_cell_s},
                                           Duration{"replace_cell", &WorkSpec::replace_cell_s},
                                           Duration{"restart_unit", &WorkSpec::restart_unit_s},
                                           Duration{"backwash", &WorkSpec::backwash_s},
                                           Duration{"debris", &WorkSpec::debris_s},
                                           Duration{"drain", &WorkSpec::drain_s},
                                           Duration{"refill", &WorkSpec::refill_s},
                                           Duration{"close", &WorkSpec::close_s},
                                           Duration{"close_simple", &WorkSpec::close_simple_s},
                                           Duration{"open", &WorkSpec::open_s},
                                           Duration{"call_out", &WorkSpec::call_out_s}};
  for (auto const& [key, member] : durations) table.read_quantity(key, work.*member, Quantity::duration, work_limits_s);
  table.read_in_unit("salt_per_kilogram", work.salt_s_per_kg, "s kg-1", {0.0, 600.0});
  table.finish();
}

void read_policy(TableReader& table, PolicySpec& policy) {
  table.read_text("comment", policy.comment);
  if (auto t = table.subtable("visits")) read_visits(*t, policy.visits);
  if (auto t = table.subtable("tests")) read_tests(*t, policy.tests);
  if (auto t = table.subtable("dosing")) read_dosing(*t, policy.dosing);
  if (auto t = table.subtable("production")) read_production(*t, policy.production);
  if (auto t = table.subtable("upkeep")) read_upkeep(*t, policy.upkeep);
  if (auto t = table.subtable("cell")) read_cell(*t, policy.cell);
  if (auto t = table.subtable("year")) read_year(*t, policy.year);
  if (auto t = table.subtable("people")) read_people(*t, policy.people);
  if (auto t = table.subtable("fees")) read_fees(*t, policy.fees);
  if (auto t = table.subtable("work")) read_work(*t, policy.work);
  table.finish();
}

// ---------------------------------------------------------------------------------------------------------------------

/// Policies by name, built on demand so that a base may stand after the policy that builds on it.
class PolicyShelf {
 public:
  PolicyShelf(std::vector<NamedTable> tables, PolicyShelf* library, PolicySpec const& defaults)
      : tables_(std::move(tables)), library_(library), defaults_(&defaults) {}

  /// The finished policy, or null when there is none of this name.
  PolicySpec const* find(std::string const& name) {
    if (auto const done = done_.find(name); done != done_.end()) return &done->second;
    auto const entry = std::find_if(tables_.begin(), tables_.end(), [&](auto const& t) { return t.name == name; });
    if (entry == tables_.end()) return library_ != nullptr ? library_->find(name) : nullptr;
    PolicySpec policy = base_of(*entry);
    if (policy.name != name) policy.comment.clear();  // what a base says of itself holds for nobody else
    policy.name = name;
    read_policy(entry->reader, policy);
    return &done_.emplace(name, std::move(policy)).first->second;
  }

  [[nodiscard]] std::vector<NamedTable> const& tables() const { return tables_; }

 private:
  PolicySpec base_of(NamedTable& entry) {
    std::string base;
    if (!entry.reader.read_text("base", base)) return *defaults_;
    if (base == entry.name && library_ != nullptr) {
      if (PolicySpec const* const found = library_->find(base)) return *found;
    }
    if (!started_.insert(entry.name).second || started_.count(base) != 0) {
      entry.reader.complain("base", fmt::format("{} builds on itself; name another policy", entry.name));
      return {};
    }
    PolicySpec const* const found = find(base);
    started_.erase(entry.name);
    if (found != nullptr) return *found;
    std::string const near = nearest_word(base, names());
    entry.reader.complain("base", fmt::format("there is no policy \"{}\"; {}", base,
                                              near.empty() ? "name one of this file or of the policy_library"
                                                           : fmt::format("did you mean \"{}\"?", near)));
    return {};
  }

  std::vector<std::string> names() const {
    std::vector<std::string> all = library_ != nullptr ? library_->names() : std::vector<std::string>{};
    for (auto const& table : tables_) all.push_back(table.name);
    return all;
  }

  std::vector<NamedTable> tables_;
  PolicyShelf* library_;
  PolicySpec const* defaults_;
  std::map<std::string, PolicySpec> done_;
  std::set<std::string> started_;
};

/// Libraries stay parsed as long as their readers live.
struct Library {
  std::vector<std::unique_ptr<toml::table>> files;
  std::vector<NamedTable> tables;
};

void add_library_file(Library& library, TableReader& root, std::filesystem::path const& path) {
  Problems faults;
  auto const text = read_text_file(path, path.string(), largest_policy_library_bytes, faults);
  for (auto const& fault : faults.all()) root.complain("policy_library", fault.file + ": " + fault.message);
  if (!text) return;
  toml::parse_result parsed = toml::parse(*text, path.string());
  if (!parsed) {
    auto const& begin = parsed.error().source().begin;
    root.problems().add({path.string(), static_cast<int>(begin.line), static_cast<int>(begin.column), "",
                         fmt::format("{}; correct the TOML", parsed.error().description())});
    return;
  }
  library.files.push_back(std::make_unique<toml::table>(std::move(parsed).table()));
  TableReader reader(*library.files.back(), "", path.string(), root.problems());
  if (auto policies = reader.subtable("policies")) {
    for (auto& table : policies->named_subtables()) library.tables.push_back(std::move(table));
  }
  reader.finish();
}

}  // namespace

std::vector<PolicySpec> read_policies(TableReader& root, std::filesystem::path const& directory,
                                      std::vector<std::filesystem::path>& input_files, PolicySpec const& defaults) {
  Library library;
  std::vector<std::string> files;
  root.read_texts("policy_library", files);
  for (auto const& file : files) {
    add_library_file(library, root, directory / file);
    input_files.push_back(directory / file);
  }
  PolicyShelf shelf(std::move(library.tables), nullptr, defaults);

  std::vector<PolicySpec> policies;
  if (!root.require("policies", "[policies.weekly]")) return policies;
  auto table = root.subtable("policies");
  if (!table) return policies;
  PolicyShelf own(table->named_subtables(), &shelf, defaults);
  for (auto const& entry : own.tables()) {
    std::string problem = name_problem(entry.name);
    if (problem.empty() && entry.name.find(',') != std::string::npos) {
      problem = "the name holds a comma, at which lists of policies are split; write it without";
    }
    if (!problem.empty()) table->complain(entry.name, problem);
    policies.push_back(*own.find(entry.name));
  }
  if (policies.empty()) root.complain("policies", "there is no policy; write for example [policies.weekly]");
  return policies;
}

}  // namespace brinecast::sim
