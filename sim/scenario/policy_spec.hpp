#pragma once
// A care policy as data: when a pool is visited, what is tested, how doses, output, cell care and the year follow.
// Every value has a default that is sensible practice for a home pool; a scenario states only what differs.
// Unless a source stands beside it, a default is `common practice, no source`.
// Concentrations: 1 kg/m3 = 1000 mg/L. Alkalinity in equivalents: 1 mol/m3 = 50.04 mg/L as CaCO3. Calcium: 1 mol/m3 =
// 100.09 mg/L as CaCO3. Cyanuric acid: 1 mol/m3 = 129.07 mg/L.

#include <array>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace brinecast::sim {

/// A limit that nothing reaches: the rule is off.
inline constexpr double never = std::numeric_limits<double>::infinity();

/// Days of any year, both ends included; wraps over the new year when `last` comes before `first`.
struct DateRange {
  std::chrono::month_day first{std::chrono::January / 1};
  std::chrono::month_day last{std::chrono::December / 31};
  [[nodiscard]] constexpr bool contains(std::chrono::month_day day) const {
    if (first <= last) return first <= day && day <= last;
    return day >= first || day <= last;
  }
  [[nodiscard]] constexpr bool whole_year() const {
    return first == std::chrono::January / 1 && last == std::chrono::December / 31;
  }
};

// ---------------------------------------------------------------------------------------------------------------------
// When a pool is visited

/// One row of the list of intervals. The first row whose every condition holds gives the interval; when none does,
/// `VisitSpec::interval_d` does. A condition left at its default always holds.
struct VisitRule {
  double interval_d = 7.0;
  std::string pool_class;  // "" any
  DateRange dates;
  double water_above_K = 0.0;  // the last water temperature read
  double water_below_K = never;
  double air_above_K = 0.0;  // mean air temperature of the last seven days
  double air_below_K = never;
};

/// Intervals that learn: longer after steady readings, shorter when the water drifts.
struct AdaptiveVisits {
  bool used = false;
  double shortest_d = 4.0;
  double longest_d = 21.0;
  int steady_visits = 3;  // visits in a row without drift before the interval grows
  double lengthen_factor = 1.3;
  double shorten_factor = 0.6;
  double free_chlorine_drift_kg_per_m3 = 0.0015;  // a larger distance from the target is drift
  double ph_drift = 0.35;
  double salt_drift_kg_per_m3 = 0.5;
};

/// Extra visits. Each is off at `never`.
struct VisitTriggers {
  double rain_m = never;  // depth within the last `rain_days`
  int rain_days = 3;
  double heat_K = never;  // mean of the daily highest air temperature over the last `heat_days`
  int heat_days = 3;
  double bathers = never;  // bathers, as the owner tells, within the last `bather_days`
  int bather_days = 3;
  bool warning = false;         // a warning lamp that the company heard of
  double shortest_gap_d = 2.0;  // no trigger sends anybody sooner after the last visit
};

/// Sensors at the pool that report without a visit.
struct RemoteReadings {
  bool used = false;
  double every_d = 1.0;
  double free_chlorine_below_kg_per_m3 = 0.0007;  // a reading outside these asks for a visit
  double free_chlorine_above_kg_per_m3 = 0.008;
  double ph_below = 6.9;
  double ph_above = 8.1;
  double salt_below_kg_per_m3 = 2.5;
  bool report_warnings = true;
  bool set_output = false;  // the output may be changed from afar by the same rule as at a visit
};

/// Precedence, highest first: a closed pool (only winter watch and opening) - opening or closing is due - call-out -
/// remote reading out of its band - reported warning - rain - heat - use - return visit asked for by the last one -
/// the interval: first matching rule of `rules`, else `interval_d`, stretched by `adaptive`.
struct VisitSpec {
  double interval_d = 7.0;
  std::vector<VisitRule> rules;
  AdaptiveVisits adaptive;
  VisitTriggers triggers;
  RemoteReadings remote;
};

// ---------------------------------------------------------------------------------------------------------------------
// What is tested

enum class Measured : std::uint8_t {
  free_chlorine,
  combined_chlorine,
  ph,
  alkalinity,
  calcium,
  cyanuric_acid,
  salt,
  unit_salt,
  water_temperature,
  cell_voltage
};
inline constexpr std::size_t measured_count = 10;

/// `unit` is the unit's own display, `remote` a fixed sensor that reports by radio.
enum class TestMethod : std::uint8_t { none, strip, kit, meter, unit, remote };
inline constexpr std::size_t test_method_count = 6;

/// Error of one method for one quantity, in the quantity's unit: reading = round(truth (1 + bias_relative + sd_relative
/// z1) + bias + sd z2, step), z standard normal.
struct ReadingError {
  double bias_relative = 0.0;
  double bias = 0.0;
  double sd_relative = 0.0;
  double sd = 0.0;
  double step = 0.0;  // 0: not rounded
};

using ReadingErrors = std::array<std::array<ReadingError, measured_count>, test_method_count>;  // [method][quantity]

/// Typical errors, see sim/scenario/policy_spec.cpp for the table and what it rests on.
ReadingErrors const& typical_reading_errors();

struct TestRule {
  TestMethod method = TestMethod::kit;
  double every_d = 0.0;  // 0: at every visit; `never`: only when a rule asks for it
};

/// Tests become rarer while a quantity stays inside its band.
struct AdaptiveTesting {
  bool used = false;
  int steady_readings = 3;  // readings in a row inside the band before the test becomes rarer
  double rarer_factor = 2.0;
  double longest_d = 60.0;
  double rarest_free_chlorine_d = 7.0;  // free chlorine and pH protect the bathers: they are never tested more rarely
};

struct TestSpec {
  std::array<TestRule, measured_count> rules = {{
      {TestMethod::kit, 0.0},     // free chlorine
      {TestMethod::kit, 28.0},    // combined chlorine
      {TestMethod::kit, 0.0},     // pH
      {TestMethod::kit, 28.0},    // total alkalinity
      {TestMethod::kit, 60.0},    // calcium hardness
      {TestMethod::kit, 60.0},    // cyanuric acid
      {TestMethod::meter, 28.0},  // salt
      {TestMethod::unit, 0.0},    // salt that the unit shows
      {TestMethod::meter, 0.0},   // water temperature
      {TestMethod::none, never},  // cell voltage
  }};
  AdaptiveTesting adaptive;
  ReadingErrors errors = typical_reading_errors();

  [[nodiscard]] TestRule const& operator[](Measured quantity) const {
    return rules[static_cast<std::size_t>(quantity)];
  }
  [[nodiscard]] TestRule& operator[](Measured quantity) { return rules[static_cast<std::size_t>(quantity)]; }
};

// ---------------------------------------------------------------------------------------------------------------------
// Doses

/// Dose below `low` (or above `high` where that is what is dosed) back to `target`; inside the band nothing is done.
struct Band {
  double low = 0.0;
  double target = 0.0;
  double high = never;
};

/// What must agree that salt is short before any is added.
enum class SaltCheck : std::uint8_t { independent, unit_display };

struct DosingSpec {
  Band free_chlorine_kg_per_m3 = {0.001, 0.003, 0.006};
  /// The target is at least this mass share of the cyanuric acid last read: 1/20 (Falk et al. 2019, Water 11, 1314).
  double free_chlorine_per_cyanuric_acid = 0.05;
  double largest_free_chlorine_raise_kg_per_m3 = 0.006;
  /// Cloudy or green water is shocked: up to this mass share of the cyanuric acid, as only the unbound part kills.
  double shock_per_cyanuric_acid = 0.3;
  double largest_shock_kg_per_m3 = 0.02;

  Band ph = {7.2, 7.5, 7.8};
  double largest_acid_mol_per_m3 = 0.25;
  Band alkalinity_mol_per_m3 = {1.2, 1.6, 2.8};
  double largest_alkalinity_raise_mol_per_m3 = 0.8;
  Band calcium_mol_per_m3 = {1.5, 2.5, 6.0};
  double largest_calcium_raise_mol_per_m3 = 1.0;
  Band cyanuric_acid_mol_per_m3 = {0.23, 0.39, 0.78};
  double largest_cyanuric_acid_raise_mol_per_m3 = 0.16;
  double cyanuric_acid_wait_d = 10.0;  // it dissolves over days: no second dose and no trusted reading sooner

  Band salt_kg_per_m3 = {2.8, 3.2, 4.6};
  SaltCheck salt_check = SaltCheck::independent;
  double salt_top_up_share = 0.9;  // of the deficit; below 1 so that reading errors do not overshoot
  double largest_salt_raise_kg_per_m3 = 1.5;
  double salt_wait_d = 2.0;  // it dissolves and mixes: no second dose sooner

  /// Too much salt, calcium or cyanuric acid is diluted by draining at most this share; 0 never drains.
  double largest_drain_share = 0.0;
};

// ---------------------------------------------------------------------------------------------------------------------
// Output and pump hours

/// `kept`: as the season starts. `calendar`: as the calendar says. `stepped`: a step up when low, down when high.
/// `learned`: from the chlorine balance since the last visit.
enum class OutputRule : std::uint8_t { kept, calendar, stepped, learned };

struct CalendarOutput {
  DateRange dates;
  double output_setting = 0.5;  // share of full output
  double pump_hours_per_day = 10.0;
};

struct ProductionSpec {
  OutputRule rule = OutputRule::learned;
  std::vector<CalendarOutput> calendar;  // of `calendar`: the first row whose dates hold
  double lowest_setting = 0.05;
  double highest_setting = 1.0;
  double step = 0.1;             // of `stepped`
  double gain = 0.7;             // of `learned`: share of the wanted change that is made at once
  double demand_per_K = 0.05;    // `learned`: expected rise of the demand with the water's warming trend
  double cold_water_K = 291.15;  // below, the unit may stop: raising the output would not help
  bool learn_pump_hours = true;
  double shortest_pump_h = 6.0;
  double longest_pump_h = 18.0;
  double lengthen_above_setting = 0.85;  // more pump hours once the output is above, fewer once below
  double shorten_below_setting = 0.3;
  double pump_step_h = 2.0;
};

// ---------------------------------------------------------------------------------------------------------------------
// Upkeep

struct UpkeepSpec {
  double backwash_every_d = 28.0;
  double backwash_after_rain_m = never;  // depth since the last backwash
  double backwash_duration_s = 180.0;    // at the pool's pump flow
  double debris_every_d = 0.0;           // 0: at every visit
  double debris_removed_share = 0.9;
  double refill_below_m = 0.05;  // by hand, where no automatic refill does it
};

// ---------------------------------------------------------------------------------------------------------------------
// The cell

/// What is done first when the check-cell lamp is lit. `salt_first`: salt by an independent test, then restart, then
/// look and clean only what carries scale. `clean_first`: acid at once.
enum class WarningOrder : std::uint8_t { salt_first, clean_first };

struct CellSpec {
  double inspect_every_d = 90.0;
  double inspect_every_operating_h = never;  // as the unit counts
  int clean_at_grade = 2;                    // seen at an inspection: 1 dusting, 2 flakes, 3 bridged; 4 never
  double clean_every_d = never;
  double clean_every_operating_h = never;
  bool clean_on_warning = false;                      // every time the check-cell lamp is lit, whatever its cause
  double clean_at_voltage_rise = never;               // relative to the reading after the last cleaning
  double saturation_index_limit = 0.3;                // computed from readings
  int clean_after_saturated_visits = 0;               // visits in a row above that limit; 0 off
  std::array<int, 4> cycles_by_grade = {1, 1, 2, 3};  // acid baths for a clean, dusted, flaked, bridged cell
  WarningOrder warning_order = WarningOrder::salt_first;
  int restarts_before_replacing = 2;  // visits with the lamp lit again though salt, temperature and plates are good
  bool replace_failed = true;
  double replace_after_operating_h = never;  // in advance
};

// ---------------------------------------------------------------------------------------------------------------------
// The year

/// How a pool is closed, from careless to thorough.
enum class Closing : std::uint8_t { none, bypass_only, lower_level, drain_lines };

/// The seasons are the north's; a scenario whose fleet lies south of the equator starts from them exchanged.
struct YearSpec {
  bool closes = false;  // regions that never close
  Closing how = Closing::drain_lines;
  double lowered_share = 0.15;  // of the water, drained for `lower_level` and `drain_lines`
  std::optional<std::chrono::month_day> close_on;
  double close_below_water_K = 0.0;  // last water temperature read, or mean air of seven days if that is older
  DateRange closing_season = {std::chrono::September / 1, std::chrono::December / 31};  // for closing by temperature
  std::optional<std::chrono::month_day> open_on;
  double open_above_air_K = never;  // mean air temperature of the last seven days
  DateRange opening_season = {std::chrono::March / 1, std::chrono::June / 30};  // for opening by temperature
  double winter_watch_d = never;                                                // interval of visits to a closed pool
  bool balance_first = true;  // the unit stays off until a later visit finds the water balanced
  double return_d = 2.0;      // ... which comes after so many days
  int largest_returns = 3;    // then it is powered whatever the readings
};

// ---------------------------------------------------------------------------------------------------------------------
// People and money

/// Owners' own care, their calls and their patience. A stated model without a published source; each part can be off.
struct PeopleSpec {
  bool owners_help = true;            // level, baskets, with their own diligence
  double call_chance_per_day = 0.35;  // at full diligence, while a lamp is lit or the water is cloudy
  double call_answer_d = 1.0;         // before a call-out joins a round
  bool complaints = true;
  double complaint_chance_per_day = 0.05;  // while the water is cloudy or green
  bool cancellations = false;
  double cancel_chance_per_complaint = 0.05;
};

/// Fees that replace those of the pool list.
struct FeeSpec {
  std::optional<double> per_month;
  std::optional<double> per_visit;
  double per_call_out = 0.0;
};

// ---------------------------------------------------------------------------------------------------------------------
// Work

/// What a visit can consist of: bits in the visit log.
enum class VisitTask : std::uint32_t {
  test = 0,
  salt = 1,
  acid = 2,
  bicarbonate = 3,
  calcium = 4,
  cyanuric_acid = 5,
  liquid_chlorine = 6,
  output = 7,
  pump_hours = 8,
  inspect_cell = 9,
  clean_cell = 10,
  replace_cell = 11,
  restart_unit = 12,
  backwash = 13,
  debris = 14,
  drain = 15,
  refill = 16,
  close = 17,
  open = 18,
  call_out = 19
};
inline constexpr std::size_t visit_task_count = 20;

/// Working time on site, seconds. Tests and acid baths count per test and per bath, salt per kilogram carried.
struct WorkSpec {
  double test_strip_s = 60.0;  // one strip shows everything
  double test_kit_s = 100.0;   // one titration or comparator
  double test_meter_s = 45.0;
  double salt_s = 120.0;
  double salt_s_per_kg = 9.0;  // carry, pour, brush
  double acid_s = 150.0;       // with goggles and gloves, poured slowly at the return
  double powder_s = 180.0;     // bicarbonate, calcium chloride or cyanuric acid, weighed and strewn
  double liquid_chlorine_s = 120.0;
  double output_s = 30.0;
  double pump_hours_s = 60.0;
  double inspect_cell_s = 420.0;  // isolate the power, take the cell out, look, put it back
  double clean_cell_s = 600.0;    // one bath, besides the inspection
  double replace_cell_s = 1500.0;
  double restart_unit_s = 180.0;
  double backwash_s = 300.0;  // besides the time the water runs
  double debris_s = 600.0;    // skim, brush, empty baskets
  double drain_s = 900.0;
  double refill_s = 180.0;
  double close_s = 7200.0;
  double close_simple_s = 1800.0;  // bypass only
  double open_s = 5400.0;
  double call_out_s = 300.0;  // find the owner, hear the story
};

struct PolicySpec {
  std::string name;
  std::string comment;  // who would want it
  VisitSpec visits;
  TestSpec tests;
  DosingSpec dosing;
  ProductionSpec production;
  UpkeepSpec upkeep;
  CellSpec cell;
  YearSpec year;
  PeopleSpec people;
  FeeSpec fees;
  WorkSpec work;
};

}  // namespace brinecast::sim
