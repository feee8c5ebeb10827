#include "sim/policy/policy_problems.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "models/constants.hpp"
#include "sim/policy/rules.hpp"
#include "sim/policy/schedule.hpp"
#include "sim/scenario/policy_lines.hpp"

namespace brinecast::sim {

namespace {

constexpr double most_free_chlorine_kg_per_m3 = 0.010;  // 10 mg/L, the ceiling of the US Model Aquatic Health Code
// 20 mg/L: hyperchlorination of the US CDC's guides on faecal incidents; from memory.
constexpr double most_shock_kg_per_m3 = 0.020;
constexpr double most_drained_share = 0.5;   // an emptied shell can float or crack; common practice, no source
constexpr double most_backwash_share = 0.1;  // of the water at once; common practice, no source
constexpr double mild_water_K = 298.15;

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
    check_production();
    check_cell();
    check_year();
    check_people();
    check_capacity();
  }

 private:
  void add(Problems& problems, std::string const& key, std::string message) {
    StatedAt const at = where_stated(scenario_, policy_.name, key);
    problems.add({.file = at.file,
                  .line = at.line,
                  .column = at.column,
                  .place = fmt::format("policies.{}.{}", policy_.name, key),
                  .message = std::move(message)});
  }
  void refuse(std::string const& key, std::string message) { add(findings_.errors, key, std::move(message)); }
  void warn(std::string const& key, std::string message) { add(findings_.warnings, key, std::move(message)); }

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
    if (remote.free_chlorine_below_kg_per_m3 >= dosing.free_chlorine_kg_per_m3.target ||
        remote.free_chlorine_above_kg_per_m3 <= dosing.free_chlorine_kg_per_m3.target) {
      refuse("visits.remote",
             "the alarm on free chlorine contradicts the dosing target, which lies outside it; every "
             "visit would be followed by another");
    }
    if (remote.ph_below >= dosing.ph.target || remote.ph_above <= dosing.ph.target) {
      refuse("visits.remote", "the alarm on pH contradicts the dosing target, which lies outside it; widen it");
    }
    if (remote.salt_below_kg_per_m3 > dosing.salt_kg_per_m3.low) {
      refuse("visits.remote.salt_below",
             fmt::format("the alarm contradicts dosing: it calls at {:g} kg/m3 of salt, but salt is added below {:g} "
                         "kg/m3 only; lower the alarm",
                         remote.salt_below_kg_per_m3, dosing.salt_kg_per_m3.low));
    }
    bool const same_hand =
        policy_.production.rule == OutputRule::kept || policy_.production.rule == OutputRule::calendar;
    if (remote.set_output && same_hand) {
      refuse("visits.remote.set_output",
             "the output set from afar contradicts production.rule, which keeps it or takes it from the calendar; use "
             "\"learned\" or \"stepped\"");
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
           fmt::format("this rule can never fire: {0} is never tested; give tests.{0} a method and an interval", name));
    }
    bool const by_test = dosing.salt_check == SaltCheck::independent;
    Measured const salt = by_test ? Measured::salt : Measured::unit_salt;
    // A salt test that is only made on doubt still lets the rule fire.
    if (policy_.tests[salt].method == TestMethod::none) {
      warn("dosing.salt", fmt::format("this rule can never fire: {0} has no method; give tests.{0} one",
                                      by_test ? "salt" : "unit_salt"));
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
          fmt::format("a dose of {:g} mol/m3 is more than the water can take: it uses up an alkalinity of {:g} mol/m3; "
                      "write less than half of it",
                      dosing.largest_acid_mol_per_m3, dosing.alkalinity_mol_per_m3.low));
    }
    if (dosing.free_chlorine_kg_per_m3.low + dosing.largest_free_chlorine_raise_kg_per_m3 >
        most_free_chlorine_kg_per_m3) {
      refuse(
          "dosing.free_chlorine.largest_raise",
          fmt::format("a dose of {:g} kg/m3 would lift free chlorine above {:g} kg/m3, the most for water with people "
                      "in it; write a smaller one",
                      dosing.largest_free_chlorine_raise_kg_per_m3, most_free_chlorine_kg_per_m3));
    }
    if (dosing.largest_shock_kg_per_m3 > most_shock_kg_per_m3) {
      refuse(
          "dosing.free_chlorine.largest_shock",
          fmt::format("a shock of {:g} kg/m3 is more than a pool should take: {:g} kg/m3 is what public health guides "
                      "ask for after the worst soiling; write a smaller one",
                      dosing.largest_shock_kg_per_m3, most_shock_kg_per_m3));
    }
    struct Raise {
      std::string_view name;
      Band const& band;
      double largest;
    };
    Raise const raises[] = {
        {"alkalinity", dosing.alkalinity_mol_per_m3, dosing.largest_alkalinity_raise_mol_per_m3},
        {"calcium", dosing.calcium_mol_per_m3, dosing.largest_calcium_raise_mol_per_m3},
        {"cyanuric_acid", dosing.cyanuric_acid_mol_per_m3, dosing.largest_cyanuric_acid_raise_mol_per_m3},
        {"salt", dosing.salt_kg_per_m3, dosing.largest_salt_raise_kg_per_m3}};
    for (auto const& [name, band, largest] : raises) {
      if (band.high >= never || largest <= band.high) continue;
      refuse(fmt::format("dosing.{}.largest_raise", name),
             fmt::format("a single dose of {:g} is more than the water can take: even pure water would end above the "
                         "band's {:g} (SI); write a smaller one",
                         largest, band.high));
    }
    double const by_stabiliser = dosing.free_chlorine_per_cyanuric_acid * dosing.cyanuric_acid_mol_per_m3.target *
                                 models::molar_mass_cyanuric_acid_kg_per_mol;
    if (by_stabiliser > dosing.free_chlorine_kg_per_m3.high) {
      refuse(
          "dosing.free_chlorine.per_cyanuric_acid",
          fmt::format("the stabiliser's target asks for {:g} kg/m3 of free chlorine, which contradicts the band's high "
                      "of {:g}; lower one of them",
                      by_stabiliser, dosing.free_chlorine_kg_per_m3.high));
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

  void check_production() {
    ProductionSpec const& production = policy_.production;
    bool const by_reading = production.rule == OutputRule::learned || production.rule == OutputRule::stepped;
    if (by_reading && !tested(Measured::free_chlorine)) {
      warn("production.rule",
           "this rule can never fire: free chlorine is never tested; give tests.free_chlorine a "
           "method and an interval, or use \"calendar\"");
    }
    if (production.rule == OutputRule::calendar && production.calendar.empty()) {
      refuse("production.calendar", "the output follows a calendar without rows; write [[...production.calendar]]");
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
    if (year.close_on && year.open_on && *year.close_on == *year.open_on) {
      refuse("year.open_on", "opening and closing on the same day contradict; write another day");
    }
    // Both by date: the dates part the year between them. Otherwise the two windows must not meet, or a pool closed in
    // the overlap would open the next morning.
    if (year.close_on && year.open_on) return;
    DateRange const closing{year.close_on.value_or(year.closing_season.first), year.closing_season.last};
    DateRange const opening{year.open_on.value_or(year.opening_season.first), year.opening_season.last};
    if (overlap(closing, opening)) {
      refuse("year.closing_season", "closing and opening contradict: their seasons overlap; part them");
    }
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
    double const shortest_d = 7.0 / working_days;
    double work_s_per_week = 0.0;
    double shortest_interval_d = never;
    for (Pool const& pool : scenario_.pools) {
      double const interval_d = typical_interval_d(policy_, pool, scenario_.season);
      shortest_interval_d = std::min(shortest_interval_d, interval_d);
      work_s_per_week +=
          7.0 / interval_d * (typical_service_s(policy_, pool, scenario_.season) + scenario_.rounds.stop_overhead_s);
    }
    if (shortest_interval_d < shortest_d) {
      warn("visits.interval",
           fmt::format("no crew can serve an interval of {:g} d on {:g} working days a week; write at "
                       "least {:.2g} d, or more working days",
                       shortest_interval_d, working_days, shortest_d));
    }
    double capacity_s_per_week = 0.0;
    for (Technician const& technician : scenario_.technicians) {
      capacity_s_per_week +=
          working_days * (technician.shift_length_s - technician.break_s + technician.overtime_limit_s);
    }
    if (work_s_per_week > capacity_s_per_week) {
      constexpr double hour_s = 3600.0;
      warn("visits.interval",
           fmt::format("no technician capacity can serve these visits: {:.0f} h of work a week before any driving, "
                       "against {:.0f} h of shifts and overtime; lengthen the interval or add technicians",
                       work_s_per_week / hour_s, capacity_s_per_week / hour_s));
    }
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
  findings.cautions = cautions_of(scenario);
  return findings;
}

}  // namespace brinecast::sim
