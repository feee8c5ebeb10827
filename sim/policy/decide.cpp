#include "sim/policy/decide.hpp"

#include <algorithm>
#include <limits>

#include "sim/policy/rules.hpp"
#include "sim/policy/schedule.hpp"
#include "sim/policy/testing.hpp"

namespace brinecast::sim {

namespace {

constexpr double no_expectation = std::numeric_limits<double>::quiet_NaN();

/// Steady visits stretch the interval, drift shrinks it.
void adapt_interval(RuleInputs const& in, PoolRecord& record, VisitDecision& decision) {
  AdaptiveVisits const& adaptive = in.policy.visits.adaptive;
  if (!adaptive.used || record.stage != PoolStage::in_service) return;
  DosingSpec const& dosing = in.policy.dosing;
  auto const away = [](std::optional<double> reading, double target, double tolerance) {
    return reading && (*reading > target + tolerance || *reading < target - tolerance);
  };
  bool const drifted = away(in.readings.free_chlorine_kg_per_m3, free_chlorine_target_kg_per_m3(dosing, record),
                            adaptive.free_chlorine_drift_kg_per_m3) ||
                       away(in.readings.ph, dosing.ph.target, adaptive.ph_drift) ||
                       away(in.readings.salt_kg_per_m3, dosing.salt_kg_per_m3.target, adaptive.salt_drift_kg_per_m3) ||
                       in.readings.cloudy || in.readings.algae_visible || in.readings.warning_check_cell ||
                       in.readings.warning_low_salt;
  double const before_d = visit_interval_d(in.policy, in.pool, record, in.visit.today);
  double const base_d = before_d / record.stretch;
  if (drifted) {
    record.steady_visits = 0;
    record.stretch = std::max(record.stretch * adaptive.shorten_factor, adaptive.shortest_d / base_d);
  } else if (++record.steady_visits >= adaptive.steady_visits) {
    record.steady_visits = 0;
    record.stretch = std::min(record.stretch * adaptive.lengthen_factor, adaptive.longest_d / base_d);
  }
  double const after_d = visit_interval_d(in.policy, in.pool, record, in.visit.today);
  if (after_d > before_d) decision.fired(FiredRule::interval_lengthened);
  if (after_d < before_d) decision.fired(FiredRule::interval_shortened);
}

void close_pool(RuleInputs const& in, PoolRecord& record, VisitDecision& decision) {
  close_down(in.policy, in.pool, decision.actions);
  decision.did(VisitTask::close);
  record.cell_powered = false;
  record.stage = PoolStage::closed;
  record.return_day = never;
}

void open_pool(RuleInputs const& in, PoolRecord& record, VisitDecision& decision) {
  decision.actions.open = true;
  decision.did(VisitTask::open);
  decision.actions.refill_to_normal = true;
  decision.did(VisitTask::refill);
  decision.actions.pump_hours_per_day = record.pump_hours_per_day;
  record.stage = PoolStage::balancing;
  record.returns = 0;
  record.rhythm_day = in.visit.today.day;
}

/// After the doses: the unit is powered once the readings of this visit show balanced water, or at once when the policy
/// does not care.
void power_unit(RuleInputs const& in, PoolRecord& record, VisitDecision& decision) {
  YearSpec const& year = in.policy.year;
  bool const opening = decision.actions.open;
  bool const balanced = !opening && water_is_balanced(in.policy, record);
  if (!year.balance_first || balanced || record.returns >= year.largest_returns) {
    decision.actions.cell_powered = record.cell_powered = true;
    decision.fired(FiredRule::unit_powered);
    record.stage = PoolStage::in_service;
    return;
  }
  decision.actions.cell_powered = record.cell_powered = false;
  decision.fired(FiredRule::unit_kept_off);
  ++record.returns;
  record.return_day = in.visit.today.day + year.return_d;
}

double work_s(RuleInputs const& in, VisitDecision const& decision) {
  WorkSpec const& work = in.policy.work;
  VisitActions const& actions = decision.actions;
  auto const powders = static_cast<int>(actions.bicarbonate_mol > 0.0) + static_cast<int>(actions.calcium_mol > 0.0) +
                       static_cast<int>(actions.cyanuric_acid_mol > 0.0);
  double total_s = in.visit.testing_s + powders * work.powder_s + actions.acid_clean_cycles * work.clean_cell_s;
  auto const add = [&](VisitTask task, double duration_s) {
    if (has(decision.tasks, task)) total_s += duration_s;
  };
  add(VisitTask::salt, work.salt_s + actions.salt_kg * work.salt_s_per_kg);
  add(VisitTask::acid, work.acid_s);
  add(VisitTask::liquid_chlorine, work.liquid_chlorine_s);
  add(VisitTask::output, work.output_s);
  add(VisitTask::pump_hours, work.pump_hours_s);
  add(VisitTask::inspect_cell, work.inspect_cell_s);
  add(VisitTask::replace_cell, work.replace_cell_s);
  add(VisitTask::restart_unit, work.restart_unit_s);
  add(VisitTask::backwash, work.backwash_s + in.policy.upkeep.backwash_duration_s);
  add(VisitTask::debris, work.debris_s);
  add(VisitTask::drain, work.drain_s);
  add(VisitTask::refill, work.refill_s);
  add(VisitTask::close, actions.close == Closing::bypass_only ? work.close_simple_s : work.close_s);
  add(VisitTask::open, work.open_s);
  add(VisitTask::call_out, work.call_out_s);
  return total_s;
}

}  // namespace

void close_down(PolicySpec const& policy, Pool const& pool, VisitActions& actions) {
  YearSpec const& year = policy.year;
  actions.close = year.how;
  actions.cell_powered = false;
  if (year.how == Closing::lower_level || year.how == Closing::drain_lines) {
    actions.lowered_m3 = year.lowered_share * pool.water_volume_m3;
    actions.pump_hours_per_day = 0.0;  // the card keeps the summer's hours for the opening
  }
}

VisitDecision decide(PolicySpec const& policy, Pool const& pool, PoolRecord& record, WaterReadings const& readings,
                     VisitContext const& visit) {
  RuleInputs const in{.policy = policy, .pool = pool, .readings = readings, .visit = visit};
  VisitDecision decision;
  decision.rules |= note_readings(policy, pool, record, readings, visit.today);
  if (visit.testing_s > 0.0) decision.did(VisitTask::test);
  if (has(visit.reasons, VisitReason::call_out)) decision.did(VisitTask::call_out);

  if (has(visit.reasons, VisitReason::closing)) {
    close_pool(in, record, decision);
  } else if (record.stage == PoolStage::closed && !has(visit.reasons, VisitReason::opening)) {
    clear_debris(in, record, decision);
  } else {
    if (has(visit.reasons, VisitReason::opening)) open_pool(in, record, decision);
    dose_salt(in, record, decision);
    balance_water(in, record, decision);
    boost_chlorine(in, record, decision);
    care_for_cell(in, record, decision);
    set_production(in, record, decision);
    if (record.stage == PoolStage::balancing) power_unit(in, record, decision);
    keep_up(in, record, decision);
  }

  adapt_interval(in, record, decision);
  note_visit(policy, pool, record, visit.today, visit.reasons);
  record.cell_operating_h = readings.cell_operating_h.value_or(record.cell_operating_h);
  decision.expected_free_chlorine_kg_per_m3 =
      record.stage == PoolStage::closed ? no_expectation : record.expected_free_chlorine_kg_per_m3;
  decision.expected_salt_kg_per_m3 = record.expected_salt_kg_per_m3;
  decision.actions.service_s = work_s(in, decision);
  return decision;
}

namespace {

/// Share of visits at which something done every so many days is done.
double share_of_visits(double every_d, double interval_d) { return every_d <= interval_d ? 1.0 : interval_d / every_d; }

// How often an ordinary visit doses, common practice, no source. Only plans rest on these; a simulated visit takes the
// time of what is done.
constexpr double acid_share = 0.5;
constexpr double salt_share = 0.06;
constexpr double powder_share = 0.1;
constexpr double liquid_chlorine_share = 0.1;
constexpr double usual_salt_raise_kg_per_m3 = 0.5;
constexpr double usual_acid_kg_per_m3 = 0.008;  // 31.45 % acid
constexpr double usual_powder_kg_per_m3 = 0.05;

}  // namespace

double typical_service_s(PolicySpec const& policy, Pool const& pool, Season const& season) {
  WorkSpec const& work = policy.work;
  double const interval_d = typical_interval_d(policy, pool, season);
  double total_s = work.output_s / 2;
  double strip_share = 0.0;
  for (TestRule const& rule : policy.tests.rules) {
    double const share = share_of_visits(rule.every_d, interval_d);
    if (rule.method == TestMethod::strip) strip_share = std::max(strip_share, share);
    if (rule.method == TestMethod::kit) total_s += share * work.test_kit_s;
    if (rule.method == TestMethod::meter) total_s += share * work.test_meter_s;
  }
  total_s += strip_share * work.test_strip_s;
  total_s += share_of_visits(policy.upkeep.debris_every_d, interval_d) * work.debris_s;
  total_s += share_of_visits(policy.upkeep.backwash_every_d, interval_d) *
             (work.backwash_s + policy.upkeep.backwash_duration_s);
  total_s += share_of_visits(policy.cell.inspect_every_d, interval_d) * work.inspect_cell_s;
  total_s += share_of_visits(policy.cell.clean_every_d, interval_d) * (work.clean_cell_s + work.inspect_cell_s);
  total_s += salt_share * (work.salt_s + usual_salt_raise_kg_per_m3 * pool.water_volume_m3 * work.salt_s_per_kg);
  return total_s + acid_share * work.acid_s + powder_share * work.powder_s +
         liquid_chlorine_share * work.liquid_chlorine_s;
}

TypicalDoses typical_doses(PolicySpec const& policy, Pool const& pool, Season const& season) {
  double const weeks = typical_interval_d(policy, pool, season) / 7.0;
  return {.salt_kg = salt_share * usual_salt_raise_kg_per_m3 * pool.water_volume_m3,
          .acid_kg = acid_share * usual_acid_kg_per_m3 * weeks * pool.water_volume_m3,
          .powder_kg = powder_share * usual_powder_kg_per_m3 * pool.water_volume_m3};
}

double typical_load_kg(PolicySpec const& policy, Pool const& pool, Season const& season) {
  TypicalDoses const doses = typical_doses(policy, pool, season);
  return doses.salt_kg + doses.acid_kg + doses.powder_kg;
}

}  // namespace brinecast::sim
