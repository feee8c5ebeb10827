#include "sim/policy/policy_problems.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "models/constants.hpp"
#include "sim/policy/rules.hpp"
#include "sim/policy/schedule.hpp"
#include "sim/scenario/policy_lines.hpp"
#include "sim/scenario/read_pools.hpp"
#include "sim/scenario/units.hpp"

namespace brinecast::sim {

namespace {

constexpr double most_free_chlorine_kg_per_m3 = 0.010;  // 10 mg/L, the ceiling of the US Model Aquatic Health Code
// 20 mg/L: hyperchlorination of the US CDC's guides on faecal incidents; from memory.
constexpr double most_shock_kg_per_m3 = 0.020;
constexpr double most_drained_share = 0.5;   // an emptied shell can float or crack; common practice, no source
constexpr double most_backwash_share = 0.1;  // of the water at once; common practice, no source
constexpr double mild_water_K = 298.15;
constexpr double tropic_deg = 23.44;  // nearer to the equator there is no summer to be open in

/// Calls `what` for every day of a leap year until it returns false; whether it never did.
template <class Predicate>
bool all_days(Predicate const& what) {
  using std::chrono::sys_days;
  sys_days const first{std::chrono::year{2028} / 1 / 1};
  for (int day = 0; day < 366; ++day) {
    std::chrono::year_month_day const date{first + std::chrono::days{day}};
    if (!what(date.month() / date.day())) return false;
  }
  return true;
}

bool overlap(DateRange const& a, DateRange const& b) {
  return !all_days([&](auto day) { return !(a.contains(day) && b.contains(day)); });
}

/// Whether every day of `inner` is one of `outer`.
bool covers(DateRange const& outer, DateRange const& inner) {
  return all_days([&](auto day) { return !inner.contains(day) || outer.contains(day); });
}

bool covers(VisitRule const& outer, VisitRule const& inner) {
  return (outer.pool_class.empty() || outer.pool_class == inner.pool_class) && covers(outer.dates, inner.dates) &&
         outer.water_above_K <= inner.water_above_K && outer.water_below_K >= inner.water_below_K &&
         outer.air_above_K <= inner.air_above_K && outer.air_below_K >= inner.air_below_K;
}

std::string day_text(std::chrono::month_day day) {
  return fmt::format("{:02}-{:02}", static_cast<unsigned>(day.month()), static_cast<unsigned>(day.day()));
}

std::string shown(double value, Quantity kind) { return format_quantity(value, kind, UnitSystem::si); }
std::string concentration(double kg_per_m3) { return shown(kg_per_m3, Quantity::concentration); }

class PolicyCheck {
 public:
  PolicyCheck(Scenario const& scenario, PolicySpec const& policy, PolicyFindings& findings)
      : scenario_(scenario), policy_(policy), findings_(findings) {}

  void check() {
    check_visit_rules();
    check_triggers();
    check_remote();
    check_tests_behind_rules();
    check_doses();
    check_salt_window();
    check_production();
    check_cell();
    check_year();
    check_people();
    check_capacity();
  }

 private:
  /// At the line that states `key`, or where it is left at its default at the line of what makes that one wrong.
  void add(Problems& problems, std::string const& key, std::string message, std::string const& cause) {
    StatedAt at = where_stated(scenario_, policy_.name, key);
    if (!at.stated && !cause.empty()) {
      StatedAt const of_cause = where_stated(scenario_, policy_.name, cause);
      if (of_cause.stated) at = of_cause;
    }
    problems.add({.file = at.file,
                  .line = at.line,
                  .column = at.column,
                  .place = fmt::format("policies.{}.{}", policy_.name, key),
                  .message = std::move(message)});
  }
  void refuse(std::string const& key, std::string message, std::string const& cause = "") {
    add(findings_.errors, key, std::move(message), cause);
  }
  void warn(std::string const& key, std::string message, std::string const& cause = "") {
    add(findings_.warnings, key, std::move(message), cause);
  }

  [[nodiscard]] bool in_season(DateRange const& dates) const {
    if (dates.whole_year()) return true;
    int const days = std::min(scenario_.season.days, 366);
    for (int day = 0; day < days; ++day) {
      std::chrono::year_month_day const date{scenario_.season.first_day + std::chrono::days{day}};
      if (dates.contains(date.month() / date.day())) return true;
    }
    return false;
  }

  [[nodiscard]] bool has_class(std::string const& name) const {
    return std::any_of(scenario_.pools.begin(), scenario_.pools.end(),
                       [&](Pool const& pool) { return pool.pool_class == name; });
  }

  [[nodiscard]] bool tested(Measured quantity) const {
    TestRule const& rule = policy_.tests[quantity];
    return rule.method != TestMethod::none && rule.every_d < never;
  }

  void check_visit_rules() {
    auto const& rules = policy_.visits.rules;
    for (std::size_t i = 0; i < rules.size(); ++i) {
      VisitRule const& rule = rules[i];
      std::string const key = fmt::format("visits.rules[{}]", i + 1);
      if (!rule.pool_class.empty() && !has_class(rule.pool_class)) {
        std::vector<std::string> classes;
        for (Pool const& pool : scenario_.pools) classes.push_back(pool.pool_class);
        std::string const near = nearest_word(rule.pool_class, classes);
        warn(key,
             fmt::format("this rule can never fire: no pool is of the class \"{}\"; {}", rule.pool_class,
                         near.empty() ? "name a class of the pool list" : fmt::format("did you mean \"{}\"?", near)));
      }
      if (!in_season(rule.dates)) {
        warn(key, "this rule can never fire: its dates lie outside the season; change from and to, or delete it");
      }
      if (rule.water_above_K >= rule.water_below_K || rule.air_above_K >= rule.air_below_K) {
        warn(key,
             "this rule can never fire: its temperature would have to be above one limit and below a lower one; "
             "exchange the two");
      }
      for (std::size_t j = 0; j < i; ++j) {
        if (!covers(rules[j], rule)) continue;
        warn(key, fmt::format("this rule can never fire: rule {} before it holds whenever it would; put the narrower "
                              "rule first",
                              j + 1));
        break;
      }
      check_adaptive_limits(key + ".interval", rule.interval_d);
    }
    check_adaptive_limits("visits.interval", policy_.visits.interval_d);
  }

  void check_adaptive_limits(std::string const& key, double interval_d) {
    AdaptiveVisits const& adaptive = policy_.visits.adaptive;
    if (!adaptive.used || (interval_d >= adaptive.shortest_d && interval_d <= adaptive.longest_d)) return;
    refuse(key, fmt::format("{:g} d contradicts the adaptive limits of {:g} to {:g} d; move it or them", interval_d,
                            adaptive.shortest_d, adaptive.longest_d));
  }

  [[nodiscard]] double longest_interval_d() const {
    if (policy_.visits.adaptive.used) return policy_.visits.adaptive.longest_d;
    double longest = policy_.visits.interval_d;
    for (VisitRule const& rule : policy_.visits.rules) longest = std::max(longest, rule.interval_d);
    return longest;
  }

  void check_triggers() {
    VisitTriggers const& triggers = policy_.visits.triggers;
    bool const any = triggers.rain_m < never || triggers.heat_K < never || triggers.bathers < never || triggers.warning;
    if (any && triggers.shortest_gap_d >= longest_interval_d()) {
      warn("visits.triggers.shortest_gap",
           fmt::format("no trigger can ever fire: within {:g} d of a visit none may, and the next comes after {:g} d; "
                       "shorten the gap",
                       triggers.shortest_gap_d, longest_interval_d()));
    }
    bool const heard = policy_.people.call_chance_per_day > 0.0 ||
                       (policy_.visits.remote.used && policy_.visits.remote.report_warnings);
    if (triggers.warning && !heard) {
      warn("visits.triggers.warning",
           "this trigger can never fire: owners never call and no remote reading reports lamps; raise "
           "people.call_chance_per_day or use visits.remote");
    }
  }

  void check_remote() {
    RemoteReadings const& remote = policy_.visits.remote;
    if (!remote.used) return;
    DosingSpec const& dosing = policy_.dosing;
    auto const must_hold = [&](bool holds, std::string const& key, std::string_view alarm, std::string const& cause) {
      if (holds) return;
      refuse("visits.remote." + key,
             fmt::format("the alarm on {} contradicts the dosing target, which lies outside it: every visit would be "
                         "followed by another; widen it",
                         alarm),
             cause);
    };
    double const free_chlorine = dosing.free_chlorine_kg_per_m3.target;
    must_hold(remote.free_chlorine_below_kg_per_m3 < free_chlorine, "free_chlorine_below", "free chlorine",
              "dosing.free_chlorine.target");
    must_hold(remote.free_chlorine_above_kg_per_m3 > free_chlorine, "free_chlorine_above", "free chlorine",
              "dosing.free_chlorine.target");
    must_hold(remote.ph_below < dosing.ph.target, "ph_below", "pH", "dosing.ph.target");
    must_hold(remote.ph_above > dosing.ph.target, "ph_above", "pH", "dosing.ph.target");
    if (remote.salt_below_kg_per_m3 > dosing.salt_kg_per_m3.low) {
      refuse("visits.remote.salt_below",
             fmt::format("the alarm contradicts dosing: it calls at {} of salt, but salt is added below {} only; lower "
                         "the alarm",
                         concentration(remote.salt_below_kg_per_m3), concentration(dosing.salt_kg_per_m3.low)),
             "dosing.salt.low");
    }
    bool const same_hand =
        policy_.production.rule == OutputRule::kept || policy_.production.rule == OutputRule::calendar;
    if (remote.set_output && same_hand) {
      refuse("visits.remote.set_output",
             "the output set from afar contradicts production.rule, which keeps it or takes it from the calendar; use "
             "\"learned\" or \"stepped\"",
             "production.rule");
    }
  }

  void check_tests_behind_rules() {
    struct Dosed {
      Measured quantity;
      Band const& band;
      std::string_view name;
    };
    DosingSpec const& dosing = policy_.dosing;
    Dosed const dosed[] = {{Measured::free_chlorine, dosing.free_chlorine_kg_per_m3, "free_chlorine"},
                           {Measured::ph, dosing.ph, "ph"},
                           {Measured::alkalinity, dosing.alkalinity_mol_per_m3, "alkalinity"},
                           {Measured::calcium, dosing.calcium_mol_per_m3, "calcium"},
                           {Measured::cyanuric_acid, dosing.cyanuric_acid_mol_per_m3, "cyanuric_acid"}};
    for (auto const& [quantity, band, name] : dosed) {
      if (tested(quantity) || (band.low <= 0.0 && band.high >= never)) continue;
      warn(fmt::format("dosing.{}", name),
           fmt::format("this rule can never fire: {0} is never tested; give tests.{0} a method and an interval", name),
           fmt::format("tests.{}", name));
    }
    bool const by_test = dosing.salt_check == SaltCheck::independent;
    Measured const salt = by_test ? Measured::salt : Measured::unit_salt;
    // A salt test that is only made on doubt still lets the rule fire.
    if (policy_.tests[salt].method == TestMethod::none) {
      warn("dosing.salt",
           fmt::format("this rule can never fire: {0} has no method; give tests.{0} one",
                       by_test ? "salt" : "unit_salt"),
           by_test ? "tests.salt" : "tests.unit_salt");
    }
  }

  void check_doses() {
    DosingSpec const& dosing = policy_.dosing;
    if (dosing.salt_top_up_share > 1.0) {
      refuse("dosing.salt.top_up_share",
             fmt::format("{:g} of the deficit is more than the water lacks, and salt leaves by draining only; write at "
                         "most 1",
                         dosing.salt_top_up_share));
    }
    if (dosing.largest_acid_mol_per_m3 >= dosing.alkalinity_mol_per_m3.low && dosing.alkalinity_mol_per_m3.low > 0.0) {
      refuse(
          "dosing.ph.largest_acid",
          fmt::format("a dose of {} is more than the water can take: it uses up an alkalinity of {}; write less than "
                      "half of it",
                      shown(dosing.largest_acid_mol_per_m3, Quantity::alkalinity),
                      shown(dosing.alkalinity_mol_per_m3.low, Quantity::alkalinity)),
          "dosing.alkalinity.low");
    }
    if (dosing.free_chlorine_kg_per_m3.low + dosing.largest_free_chlorine_raise_kg_per_m3 >
        most_free_chlorine_kg_per_m3) {
      refuse(
          "dosing.free_chlorine.largest_raise",
          fmt::format("a dose of {} would lift free chlorine above {}, the most for water with people in it; write a "
                      "smaller one",
                      concentration(dosing.largest_free_chlorine_raise_kg_per_m3),
                      concentration(most_free_chlorine_kg_per_m3)),
          "dosing.free_chlorine.low");
    }
    if (dosing.largest_shock_kg_per_m3 > most_shock_kg_per_m3) {
      refuse("dosing.free_chlorine.largest_shock",
             fmt::format(
                 "a shock of {} is more than a pool should take: {} is what public health guides ask for after the "
                 "worst soiling; write a smaller one",
                 concentration(dosing.largest_shock_kg_per_m3), concentration(most_shock_kg_per_m3)));
    }
    struct Raise {
      std::string_view name;
      Band const& band;
      double largest;
      Quantity kind;
    };
    Raise const raises[] = {
        {"alkalinity", dosing.alkalinity_mol_per_m3, dosing.largest_alkalinity_raise_mol_per_m3, Quantity::alkalinity},
        {"calcium", dosing.calcium_mol_per_m3, dosing.largest_calcium_raise_mol_per_m3, Quantity::calcium},
        {"cyanuric_acid", dosing.cyanuric_acid_mol_per_m3, dosing.largest_cyanuric_acid_raise_mol_per_m3,
         Quantity::cyanuric_acid},
        {"salt", dosing.salt_kg_per_m3, dosing.largest_salt_raise_kg_per_m3, Quantity::concentration}};
    for (auto const& [name, band, largest, kind] : raises) {
      if (band.high >= never || largest <= band.high) continue;
      refuse(fmt::format("dosing.{}.largest_raise", name),
             fmt::format("a single dose of {} is more than the water can take: even pure water would end above the "
                         "band's {}; write a smaller one",
                         shown(largest, kind), shown(band.high, kind)),
             fmt::format("dosing.{}.high", name));
    }
    double const by_stabiliser = dosing.free_chlorine_per_cyanuric_acid * dosing.cyanuric_acid_mol_per_m3.target *
                                 models::molar_mass_cyanuric_acid_kg_per_mol;
    if (by_stabiliser > dosing.free_chlorine_kg_per_m3.high) {
      refuse(
          "dosing.free_chlorine.per_cyanuric_acid",
          fmt::format("the stabiliser's target asks for {} of free chlorine, which contradicts the band's high of {}; "
                      "lower one of them",
                      concentration(by_stabiliser), concentration(dosing.free_chlorine_kg_per_m3.high)),
          "dosing.cyanuric_acid.target");
    }
    if (dosing.largest_drain_share > most_drained_share) {
      refuse("dosing.largest_drain",
             fmt::format("draining {:.0f} % at once is more than a pool can take: an emptied shell can lift or crack; "
                         "write at most {:.0f} %",
                         100 * dosing.largest_drain_share, 100 * most_drained_share));
    }
    for (Pool const& pool : scenario_.pools) {
      double const backwash_m3 = pool.pump_flow_m3_per_s * policy_.upkeep.backwash_duration_s;
      if (policy_.upkeep.backwash_every_d >= never || backwash_m3 <= most_backwash_share * pool.water_volume_m3)
        continue;
      refuse("upkeep.backwash_duration",
             fmt::format("a backwash takes {:.1f} m3 of the {:.1f} m3 of pool \"{}\", more than a tenth; shorten it",
                         backwash_m3, pool.water_volume_m3, pool.name));
      break;
    }
  }

  /// A band whose low is 0 asks for no salt at all.
  void check_salt_window() {
    Band const& salt = policy_.dosing.salt_kg_per_m3;
    double const stop_low = scenario_.parameters.cell_salt_stop_low_kg_per_m3;
    double const stop_high = scenario_.parameters.cell_salt_stop_high_kg_per_m3;
    if (salt.target >= stop_high) {
      warn("dosing.salt.target", fmt::format("the water would be salted to {}, and the unit stops from {} on "
                                             "(model.cell_salt_stop_high_kg_per_m3); write less",
                                             concentration(salt.target), concentration(stop_high)));
    }
    if (salt.low <= 0.0 || salt.low > stop_low) return;
    bool const target_too = salt.target <= stop_low;
    warn(target_too ? "dosing.salt.target" : "dosing.salt.low",
         fmt::format("{}, and the unit stops at {} and less (model.cell_salt_stop_low_kg_per_m3); write more",
                     target_too ? fmt::format("the water would be salted to {} only", concentration(salt.target))
                                : fmt::format("salt is added below {} only", concentration(salt.low)),
                     concentration(stop_low)),
         "dosing.salt.low");
  }

  void check_production() {
    ProductionSpec const& production = policy_.production;
    bool const by_reading = production.rule == OutputRule::learned || production.rule == OutputRule::stepped;
    if (by_reading && !tested(Measured::free_chlorine)) {
      warn("production.rule",
           "this rule can never fire: free chlorine is never tested; give tests.free_chlorine a "
           "method and an interval, or use \"calendar\"",
           "tests.free_chlorine");
    }
    if (production.rule == OutputRule::calendar && production.calendar.empty()) {
      refuse("production.calendar", "the output follows a calendar without rows; write [[...production.calendar]]",
             "production.rule");
    }
    if (production.rule != OutputRule::calendar && !production.calendar.empty()) {
      warn("production.calendar",
           "these rows can never fire: production.rule is not \"calendar\"; change one of the two");
      return;
    }
    for (std::size_t i = 0; i < production.calendar.size(); ++i) {
      std::string const key = fmt::format("production.calendar[{}]", i + 1);
      DateRange const& dates = production.calendar[i].dates;
      if (!in_season(dates)) {
        warn(key, "this row can never fire: its dates lie outside the season; change from and to, or delete it");
      }
      for (std::size_t j = 0; j < i; ++j) {
        if (!covers(production.calendar[j].dates, dates)) continue;
        warn(key, fmt::format("this row can never fire: row {} before it covers its dates; put it first", j + 1));
        break;
      }
    }
  }

  void check_cell() {
    CellSpec const& cell = policy_.cell;
    if (cell.clean_at_voltage_rise < never && !tested(Measured::cell_voltage)) {
      warn("cell.clean_at_voltage_rise",
           "this rule can never fire: the cell's voltage is never measured; give "
           "tests.cell_voltage a method and an interval");
    }
    if (cell.clean_after_saturated_visits <= 0) return;
    if (!tested(Measured::ph) || !tested(Measured::alkalinity) || !tested(Measured::calcium)) {
      warn("cell.clean_after_saturated_visits",
           "this rule can never fire: the saturation index needs pH, alkalinity and calcium, and one is never tested");
      return;
    }
    PoolRecord at_target;
    auto const set = [&at_target](Measured quantity, double value) {
      at_target[quantity].value = value;
      at_target[quantity].day = 0.0;
    };
    DosingSpec const& dosing = policy_.dosing;
    set(Measured::ph, dosing.ph.target);
    set(Measured::alkalinity, dosing.alkalinity_mol_per_m3.target);
    set(Measured::calcium, dosing.calcium_mol_per_m3.target);
    set(Measured::cyanuric_acid, dosing.cyanuric_acid_mol_per_m3.target);
    set(Measured::salt, dosing.salt_kg_per_m3.target);
    set(Measured::water_temperature, mild_water_K);
    double const index = *saturation_index_of(at_target);
    if (index <= cell.saturation_index_limit) return;
    refuse("cell.saturation_index_limit",
           fmt::format(
               "the limit of {:.2f} contradicts the dosing targets, whose water has an index of {:.2f} at 25 degC: "
               "every visit would count; raise the limit or lower a target",
               cell.saturation_index_limit, index));
  }

  void check_year() {
    YearSpec const& year = policy_.year;
    if (!year.closes) {
      if (year.winter_watch_d < never) {
        warn("year.winter_watch", "this rule can never fire: the pools never close; set closes = true or delete it");
      }
      return;
    }
    if (!year.close_on && year.close_below_water_K <= 0.0) {
      refuse("year.closes",
             "the pools can never close: neither a date nor a water temperature is given; write close_on "
             "or close_below_water");
    }
    if (!year.open_on && year.open_above_air_K >= never) {
      refuse("year.closes",
             "a closed pool can never open: neither a date nor an air temperature is given; write open_on "
             "or open_above_air");
    }
    warn_of_dates_first("close_below_water", "close_on", year.close_on && year.close_below_water_K > 0.0);
    warn_of_dates_first("open_above_air", "open_on", year.open_on && year.open_above_air_K < never);
    if (year.close_on && year.open_on && *year.close_on == *year.open_on) {
      refuse("year.open_on", "opening and closing on the same day contradict; write another day");
    }
    check_summer();
    // Both by date: the dates part the year between them. Otherwise the two windows must not meet, or a pool closed in
    // the overlap would open the next morning.
    if (year.close_on && year.open_on) return;
    DateRange const closing{year.close_on.value_or(year.closing_season.first), year.closing_season.last};
    DateRange const opening{year.open_on.value_or(year.opening_season.first), year.opening_season.last};
    if (overlap(closing, opening)) {
      refuse("year.closing_season", "closing and opening contradict: their seasons overlap; part them",
             "year.opening_season");
    }
  }

  /// Whether pools that close as soon as they may are still closed when summer ends.
  void check_summer() {
    using std::chrono::December, std::chrono::February, std::chrono::June, std::chrono::August;
    YearSpec const& year = policy_.year;
    double const latitude_deg = middle_of(scenario_.pools).latitude_deg;
    if (std::fabs(latitude_deg) < tropic_deg) return;
    DateRange const summer =
        latitude_deg < 0.0 ? DateRange{December / 1, February / 28} : DateRange{June / 1, August / 31};
    DateRange const closed{year.close_on.value_or(year.closing_season.first),
                           year.open_on.value_or(year.opening_season.first)};
    if (!covers(closed, summer)) return;
    warn(year.close_on ? "year.close_on" : "year.closing_season",
         fmt::format("closed from {} to {}, pools at latitude {:.1f} miss their whole summer; close and open half a "
                     "year later",
                     day_text(closed.first), day_text(closed.last), latitude_deg),
         year.open_on ? "year.open_on" : "year.opening_season");
  }

  void warn_of_dates_first(std::string const& temperature, std::string const& date, bool both) {
    if (!both) return;
    warn("year." + temperature,
         fmt::format("this rule can never fire: {} gives a date, and dates go before temperatures; write \"never\" for "
                     "one of the two",
                     date));
  }

  void check_people() {
    PeopleSpec const& people = policy_.people;
    if (people.cancellations && !people.complaints) {
      warn("people.cancellations",
           "this rule can never fire: customers leave after complaints, and complaints are off; "
           "set complaints = true");
    }
  }

  void check_capacity() {
    auto const working_days = static_cast<double>(scenario_.rounds.working_days.size());
    if (working_days == 0.0 || scenario_.pools.empty()) return;
    if (!any_day_worked()) {
      warn("visits.interval",
           "nobody can visit: no day of the season is a working day without a holiday; change rounds.working_days or "
           "season.holidays");
      return;
    }
    check_working_days("visits.interval", policy_.visits.interval_d, working_days);
    for (std::size_t i = 0; i < policy_.visits.rules.size(); ++i) {
      check_working_days(fmt::format("visits.rules[{}].interval", i + 1), policy_.visits.rules[i].interval_d,
                         working_days);
    }
    check_busiest_week(working_days);
  }

  [[nodiscard]] bool any_day_worked() const {
    auto const& season = scenario_.season;
    for (int d = 0; d < season.days; ++d) {
      if (scenario_.is_working_day(season.first_day + std::chrono::days{d})) return true;
    }
    return false;
  }

  void check_working_days(std::string const& key, double interval_d, double working_days) {
    double const shortest_d = 7.0 / working_days;
    if (interval_d >= shortest_d) return;
    warn(key, fmt::format("no crew can serve an interval of {:g} d on {:g} working days a week; write at least {:.2g} "
                          "d, or more working days",
                          interval_d, working_days, shortest_d));
  }

  void check_busiest_week(double working_days) {
    std::vector<double> visit_s;  // [pool]
    for (Pool const& pool : scenario_.pools) {
      visit_s.push_back(typical_service_s(policy_, pool, scenario_.season) + scenario_.rounds.stop_overhead_s);
    }
    PoolRecord const blank;
    double most_s = 0.0, least_s = never;
    DayKnowledge busiest{};
    for (int day = 0; day < scenario_.season.days; day += 7) {
      DayKnowledge const then{.day = day,
                              .date = scenario_.season.first_day + std::chrono::days{day},
                              .rain_m = {},
                              .air_mean_K = {},
                              .air_highest_K = {}};
      if (closed_by_date(policy_.year, then.month_day())) continue;
      double work_s = 0.0;
      for (std::size_t i = 0; i < visit_s.size(); ++i) {
        work_s += 7.0 / visit_interval_d(policy_, scenario_.pools[i], blank, then) * visit_s[i];
      }
      least_s = std::min(least_s, work_s);
      if (work_s <= most_s) continue;
      most_s = work_s;
      busiest = then;
    }
    double capacity_s = 0.0;
    for (Technician const& technician : scenario_.technicians) {
      capacity_s += working_days * (technician.shift_length_s - technician.break_s + technician.overtime_limit_s);
    }
    if (most_s <= capacity_s) return;
    constexpr double hour_s = 3600.0;
    std::size_t const rule = matching_rule(policy_, scenario_.pools.front(), blank, busiest);
    std::chrono::year_month_day const date{busiest.date};
    std::string const when =
        most_s > least_s ? fmt::format("in the busiest week, from {},", day_text(date.month() / date.day())) : "a week";
    warn(rule < policy_.visits.rules.size() ? fmt::format("visits.rules[{}].interval", rule + 1) : "visits.interval",
         fmt::format("no technician capacity can serve these visits: {:.0f} h of work {} before any driving, against "
                     "{:.0f} h of shifts and overtime; lengthen the interval or add technicians",
                     most_s / hour_s, when, capacity_s / hour_s));
  }

  Scenario const& scenario_;
  PolicySpec const& policy_;
  PolicyFindings& findings_;
};

/// "a, b" of the policies for which `what` holds; "" for none.
template <class Predicate>
std::string policies_that(Scenario const& scenario, Predicate const& what) {
  std::vector<std::string> names;
  for (PolicySpec const& policy : scenario.policies) {
    if (what(policy)) names.push_back(policy.name);
  }
  return fmt::format("{}", fmt::join(names, ", "));
}

/// The highest that a shock may leave free chlorine at, from water with none left.
double free_chlorine_after_shock_kg_per_m3(DosingSpec const& dosing) {
  double const stabiliser = dosing.cyanuric_acid_mol_per_m3.target * models::molar_mass_cyanuric_acid_kg_per_mol;
  return std::min(dosing.largest_shock_kg_per_m3,
                  std::max(dosing.free_chlorine_kg_per_m3.high, dosing.shock_per_cyanuric_acid * stabiliser));
}

/// Vans too small for what a plan loads for a visit; planning itself would leave those pools without a place.
void check_payloads(Scenario const& scenario, Problems& warnings) {
  if (scenario.technicians.empty() || scenario.pools.empty() || scenario.policies.empty()) return;
  double least_kg = never;
  std::vector<double> most_kg(scenario.pools.size(), 0.0);  // [pool], over the policies
  for (PolicySpec const& policy : scenario.policies) {
    for (std::size_t pool = 0; pool < scenario.pools.size(); ++pool) {
      double const load_kg = typical_load_kg(policy, scenario.pools[pool], scenario.season);
      least_kg = std::min(least_kg, load_kg);
      most_kg[pool] = std::max(most_kg[pool], load_kg);
    }
  }
  auto const& crew = scenario.technicians;
  auto const warn = [&](std::size_t technician, std::string message) {
    std::string const key = fmt::format("technicians[{}].payload", technician + 1);
    StatedAt const at = where_stated(scenario, key);
    warnings.add({at.file, at.line, at.column, key, std::move(message)});
  };
  auto const kg = [](double mass_kg) { return fmt::format("{:.3g} kg", mass_kg); };
  for (std::size_t t = 0; t < crew.size(); ++t) {
    if (crew[t].payload_kg >= least_kg) continue;
    warn(t, fmt::format(
                "{} can visit no pool: a visit takes along {} or more, and the van carries {}; write a larger payload",
                crew[t].name, kg(least_kg), kg(crew[t].payload_kg)));
  }
  auto const largest = std::max_element(
      crew.begin(), crew.end(), [](Technician const& a, Technician const& b) { return a.payload_kg < b.payload_kg; });
  if (largest->payload_kg < least_kg) return;  // told of everybody
  auto const too_heavy =
      std::count_if(most_kg.begin(), most_kg.end(), [&](double load_kg) { return load_kg > largest->payload_kg; });
  if (too_heavy == 0) return;
  auto const heaviest = std::max_element(most_kg.begin(), most_kg.end());
  warn(static_cast<std::size_t>(largest - crew.begin()),
       fmt::format(
           "no van can serve {} of {} pools: a visit takes along up to {}, to \"{}\", and the largest van carries {}; "
           "write a larger payload",
           too_heavy, most_kg.size(), kg(*heaviest),
           scenario.pools[static_cast<std::size_t>(heaviest - most_kg.begin())].name, kg(largest->payload_kg)));
}

std::vector<std::string> cautions_of(Scenario const& scenario) {
  std::vector<std::string> cautions;
  double strongest_kg_per_m3 = 0.0;
  std::string const shocking = policies_that(scenario, [&](PolicySpec const& policy) {
    double const after = free_chlorine_after_shock_kg_per_m3(policy.dosing);
    if (after <= policy.dosing.free_chlorine_kg_per_m3.high) return false;
    strongest_kg_per_m3 = std::max(strongest_kg_per_m3, after);
    return true;
  });
  if (!shocking.empty()) {
    cautions.push_back(fmt::format(
        "{}: a shock may leave free chlorine near {:.0f} mg/L; nobody enters the water until a test reads it "
        "back inside the policy's band. Public pools follow their local code.",
        shocking, strongest_kg_per_m3 * 1000.0));
  }
  std::string const acid =
      policies_that(scenario, [](PolicySpec const& policy) { return policy.dosing.largest_acid_mol_per_m3 > 0.0; });
  if (!acid.empty()) {
    cautions.push_back(fmt::format(
        "{}: acid is poured slowly into moving water with goggles and gloves, never together with a chlorine "
        "product (chlorine gas); nobody enters until it has mixed and pH reads inside the policy's band. "
        "Public pools follow their local code.",
        acid));
  }
  return cautions;
}

}  // namespace

PolicyFindings check_policies(Scenario const& scenario) {
  PolicyFindings findings;
  for (PolicySpec const& policy : scenario.policies) PolicyCheck(scenario, policy, findings).check();
  check_payloads(scenario, findings.warnings);
  findings.cautions = cautions_of(scenario);
  return findings;
}

}  // namespace brinecast::sim
