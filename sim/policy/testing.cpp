#include "sim/policy/testing.hpp"

#include <algorithm>
#include <cmath>

#include "sim/policy/schedule.hpp"

namespace brinecast::sim {

namespace {

constexpr double early_d = 1.5;  // a visit a day ahead of its rhythm still makes the tests of the day

constexpr std::array<Measured, measured_count> all_measured = {
    Measured::free_chlorine,     Measured::combined_chlorine, Measured::ph,   Measured::alkalinity,
    Measured::calcium,           Measured::cyanuric_acid,     Measured::salt, Measured::unit_salt,
    Measured::water_temperature, Measured::cell_voltage};

double true_value(TrueWater const& truth, Measured quantity) {
  switch (quantity) {
    case Measured::free_chlorine:
      return truth.free_chlorine_kg_per_m3;
    case Measured::combined_chlorine:
      return truth.combined_chlorine_kg_per_m3;
    case Measured::ph:
      return truth.ph;
    case Measured::alkalinity:
      return truth.alkalinity_mol_per_m3;
    case Measured::calcium:
      return truth.calcium_mol_per_m3;
    case Measured::cyanuric_acid:
      return truth.cyanuric_acid_mol_per_m3;
    case Measured::salt:
      return truth.salt_kg_per_m3;
    case Measured::unit_salt:
      return truth.unit_salt_kg_per_m3;
    case Measured::water_temperature:
      return truth.water_temperature_K;
    case Measured::cell_voltage:
      return truth.cell_voltage_V;
  }
  return 0.0;
}

template <class Readings>
auto& slot(Readings& readings, Measured quantity) {
  switch (quantity) {
    case Measured::free_chlorine:
      return readings.free_chlorine_kg_per_m3;
    case Measured::combined_chlorine:
      return readings.combined_chlorine_kg_per_m3;
    case Measured::ph:
      return readings.ph;
    case Measured::alkalinity:
      return readings.alkalinity_mol_per_m3;
    case Measured::calcium:
      return readings.calcium_mol_per_m3;
    case Measured::cyanuric_acid:
      return readings.cyanuric_acid_mol_per_m3;
    case Measured::salt:
      return readings.salt_kg_per_m3;
    case Measured::unit_salt:
      return readings.unit_salt_kg_per_m3;
    case Measured::water_temperature:
      return readings.water_temperature_K;
    case Measured::cell_voltage:
      return readings.cell_voltage_V;
  }
  return readings.cell_voltage_V;
}

/// The band within which a quantity counts as steady. Temperature, voltage and the unit's display have none: they tell
/// what happens now, and rules that rest on them must not see last month's.
std::optional<Band> band_of(DosingSpec const& dosing, Measured quantity) {
  switch (quantity) {
    case Measured::free_chlorine:
      return dosing.free_chlorine_kg_per_m3;
    case Measured::ph:
      return dosing.ph;
    case Measured::alkalinity:
      return dosing.alkalinity_mol_per_m3;
    case Measured::calcium:
      return dosing.calcium_mol_per_m3;
    case Measured::cyanuric_acid:
      return dosing.cyanuric_acid_mol_per_m3;
    case Measured::salt:
      return dosing.salt_kg_per_m3;
    case Measured::combined_chlorine:
      return Band{0.0, 0.0, 0.0005};  // a US state's public pool rule: at most 0.5 mg/L
    case Measured::unit_salt:
    case Measured::water_temperature:
    case Measured::cell_voltage:
      break;
  }
  return std::nullopt;
}

double test_interval_d(TestSpec const& tests, LastReading const& last, Measured quantity) {
  return tests.adaptive.used && last.learned_every_d > 0.0 ? last.learned_every_d : tests[quantity].every_d;
}

/// Whether the last reading lies in the band, and would after `days` more of its trend.
bool stays_inside(LastReading const& last, Band const& band, double days) {
  auto const inside = [&band](double value) { return value >= band.low && value <= band.high; };
  double const since_d = last.day - last.previous_day;
  bool const trend_known = last.previous_day > long_ago && since_d >= 1.0;
  double const trend_per_day = trend_known ? (last.value - last.previous_value) / since_d : 0.0;
  return inside(last.value) && inside(last.value + trend_per_day * days);
}

}  // namespace

void inspect_cell(TrueWater const& truth, WaterReadings& readings) { readings.scale_grade = truth.scale_grade; }

int TestPlan::count(TestMethod method) const {
  auto const tests = std::count(methods.begin(), methods.end(), method);
  return method == TestMethod::strip ? static_cast<int>(tests > 0) : static_cast<int>(tests);
}

WaterReadings look(TrueWater const& truth) {
  WaterReadings seen;
  seen.warning_low_salt = truth.warning_low_salt;
  seen.warning_check_cell = truth.warning_check_cell;
  seen.cloudy = truth.cloudy;
  seen.algae_visible = truth.algae_visible;
  seen.level_below_normal_m = truth.level_below_normal_m;
  seen.cell_operating_h = truth.cell_operating_h;
  return seen;
}

TestPlan plan_tests(PolicySpec const& policy, PoolRecord const& record, WaterReadings const& seen,
                    DayKnowledge const& today, std::uint32_t reasons) {
  TestPlan plan;
  bool const opening = has(reasons, VisitReason::opening) || record.stage == PoolStage::balancing;
  bool const watch_only = has(reasons, VisitReason::winter_watch) || has(reasons, VisitReason::closing);
  // Whoever comes out of turn, comes for the water: chlorine and pH are read whatever their interval.
  bool const out_of_turn = reasons != 0 && !has(reasons, VisitReason::interval);
  for (Measured const quantity : all_measured) {
    TestRule const& rule = policy.tests[quantity];
    LastReading const& last = record[quantity];
    bool const protects = quantity == Measured::free_chlorine || quantity == Measured::ph;
    bool const due = (out_of_turn && protects && rule.every_d < never) ||
                     today.day + early_d >= last.day + test_interval_d(policy.tests, last, quantity);
    if (watch_only ? quantity == Measured::water_temperature : (opening && rule.every_d < never) || due) {
      plan[quantity] = rule.method;
    }
  }
  bool const salt_in_doubt = seen.warning_low_salt || seen.warning_check_cell ||
                             seen.unit_salt_kg_per_m3.value_or(never) < policy.dosing.salt_kg_per_m3.low;
  bool const by_test = policy.dosing.salt_check == SaltCheck::independent;
  if (!watch_only && salt_in_doubt && by_test) plan[Measured::salt] = policy.tests[Measured::salt].method;
  return plan;
}

TestPlan remote_tests(PolicySpec const& policy) {
  TestPlan plan;
  for (Measured const quantity :
       {Measured::free_chlorine, Measured::ph, Measured::unit_salt, Measured::water_temperature}) {
    if (policy.visits.remote.used) plan[quantity] = TestMethod::remote;
  }
  return plan;
}

double read_with_error(ReadingError const& error, double truth, DrawKey const& key) {
  double value = truth * (1.0 + error.bias_relative) + error.bias;
  if (error.sd_relative > 0.0 || error.sd > 0.0) {
    // Two independent normal errors add to one whose variances add.
    double const sd = std::hypot(error.sd_relative * truth, error.sd);
    value += sd * normal_draw(key);
  }
  if (error.step > 0.0) value = std::round(value / error.step) * error.step;
  return std::max(0.0, value);  // in this order, so that -0 becomes 0
}

void measure(TestSpec const& tests, TestPlan const& plan, TrueWater const& truth, DrawKey key,
             WaterReadings& readings) {
  for (Measured const quantity : all_measured) {
    TestMethod const method = plan[quantity];
    if (method == TestMethod::none) continue;
    key.index = static_cast<std::uint32_t>(quantity);
    ReadingError const& error = tests.errors[static_cast<std::size_t>(method)][static_cast<std::size_t>(quantity)];
    slot(readings, quantity) = read_with_error(error, true_value(truth, quantity), key);
  }
}

std::optional<double> reading_of(WaterReadings const& readings, Measured quantity) { return slot(readings, quantity); }

std::uint32_t note_readings(PolicySpec const& policy, Pool const& pool, PoolRecord& record,
                            WaterReadings const& readings, DayKnowledge const& today) {
  std::uint32_t fired = 0;
  AdaptiveTesting const& adaptive = policy.tests.adaptive;
  for (Measured const quantity : all_measured) {
    auto const value = reading_of(readings, quantity);
    if (!value) continue;
    LastReading& last = record[quantity];
    last.previous_value = last.value;
    last.previous_day = last.day;
    last.value = *value;
    last.day = today.day;
    TestRule const& rule = policy.tests[quantity];
    auto const band = band_of(policy.dosing, quantity);
    if (!adaptive.used || rule.every_d >= never || !band) continue;
    double const usual_d = rule.every_d;
    bool const protects = quantity == Measured::free_chlorine || quantity == Measured::ph;
    double const longest_d = protects ? adaptive.rarest_free_chlorine_d : adaptive.longest_d;
    double const from_d = std::max({last.learned_every_d, usual_d, visit_interval_d(policy, pool, record, today)});
    double const learned_d = std::max(usual_d, std::min(from_d * adaptive.rarer_factor, longest_d));
    bool const steady = stays_inside(last, *band, learned_d);
    last.steady = steady ? last.steady + 1 : 0;
    if (!steady) {
      if (last.learned_every_d > usual_d) fired |= bit(FiredRule::test_made_denser);
      last.learned_every_d = usual_d;
    } else if (last.steady >= adaptive.steady_readings) {
      if (learned_d > last.learned_every_d) fired |= bit(FiredRule::test_made_rarer);
      last.learned_every_d = learned_d;
      last.steady = 0;
    }
  }
  return fired;
}

double testing_s(WorkSpec const& work, TestPlan const& plan) {
  // The unit's display is read in passing.
  return plan.count(TestMethod::strip) * work.test_strip_s + plan.count(TestMethod::kit) * work.test_kit_s +
         plan.count(TestMethod::meter) * work.test_meter_s;
}

double testing_cost(Prices const& prices, TestPlan const& plan) {
  return plan.count(TestMethod::strip) * prices.test_strip_each + plan.count(TestMethod::kit) * prices.test_kit_each;
}

}  // namespace brinecast::sim
