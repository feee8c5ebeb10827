// Output and pump hours as a technician learns them: from the chlorine balance between two visits.

#include <algorithm>
#include <cmath>

#include "sim/policy/rules.hpp"
#include "sim/policy/schedule.hpp"

namespace brinecast::sim {

namespace {

constexpr double slowest_decay_per_day = 0.05;
constexpr double fastest_decay_per_day = 3.0;
constexpr double first_guess_decay_per_day =
    0.5;                                  // common practice, no source: half a stabilised pool's chlorine a day
constexpr double smallest_change = 0.03;  // of the setting; less is not worth a turn of the knob
constexpr double most_foresight = 1.4;
constexpr double longest_balance_d = 60.0;  // after a longer gap the last visit says nothing

/// Decay constant k that explains the change between two visits by dC/dt = p - k C: the reading falls as k rises, so
/// halving finds it. A wrong rating cancels: at a steady reading the wanted setting is setting * target / reading
/// whatever p is.
double learned_decay_per_day(double before_kg_per_m3, double now_kg_per_m3, double production_kg_per_m3_d,
                             double days) {
  double slow = slowest_decay_per_day;
  double fast = fastest_decay_per_day;
  constexpr int halvings = 24;
  for (int halving = 0; halving < halvings; ++halving) {
    double const middle = 0.5 * (slow + fast);
    double const expected = expected_free_chlorine_kg_per_m3(before_kg_per_m3, production_kg_per_m3_d, middle, days);
    (expected > now_kg_per_m3 ? slow : fast) = middle;
  }
  return 0.5 * (slow + fast);
}

/// Factor on the demand halfway to the next visit, from the water's warming since the last reading.
double foresight(ProductionSpec const& production, PoolRecord const& record, double interval_d) {
  LastReading const& temperature = record[Measured::water_temperature];
  double const days = temperature.day - temperature.previous_day;
  if (!temperature.known() || temperature.previous_day <= long_ago || days < 1.0 || days > 30.0) return 1.0;
  double const trend_K_per_d = (temperature.value - temperature.previous_value) / days;
  double const factor = std::exp(production.demand_per_K * trend_K_per_d * interval_d / 2);
  return std::clamp(factor, 1.0 / most_foresight, most_foresight);
}

void set_output(PoolRecord& record, VisitDecision& decision, double setting) {
  decision.actions.output_setting = setting;
  decision.did(VisitTask::output);
  decision.fired(setting > record.output_setting ? FiredRule::output_raised : FiredRule::output_lowered);
  record.output_setting = setting;
}

void set_pump_hours(PoolRecord& record, VisitDecision& decision, double hours) {
  decision.actions.pump_hours_per_day = hours;
  decision.did(VisitTask::pump_hours);
  decision.fired(hours > record.pump_hours_per_day ? FiredRule::pump_lengthened : FiredRule::pump_shortened);
  record.pump_hours_per_day = hours;
}

void follow_calendar(RuleInputs const& in, PoolRecord& record, VisitDecision& decision) {
  for (CalendarOutput const& row : in.policy.production.calendar) {
    if (!row.dates.contains(in.visit.today.month_day())) continue;
    if (row.output_setting != record.output_setting) {
      decision.actions.output_setting = record.output_setting = row.output_setting;
      decision.did(VisitTask::output);
      decision.fired(FiredRule::output_by_calendar);
    }
    if (row.pump_hours_per_day != record.pump_hours_per_day) {
      decision.actions.pump_hours_per_day = record.pump_hours_per_day = row.pump_hours_per_day;
      decision.did(VisitTask::pump_hours);
      decision.fired(FiredRule::output_by_calendar);
    }
    return;
  }
}

/// Changes the setting, and the pump hours where the setting alone does not reach.
void move_output(RuleInputs const& in, PoolRecord& record, VisitDecision& decision, double wanted) {
  ProductionSpec const& production = in.policy.production;
  bool const cold = last_or(record, Measured::water_temperature, never) < production.cold_water_K;
  if (wanted > record.output_setting && cold) {
    decision.fired(FiredRule::cold_water);
    return;
  }
  if (production.learn_pump_hours) {
    double hours = record.pump_hours_per_day;
    if (wanted > production.lengthen_above_setting) hours += production.pump_step_h;
    if (wanted < production.shorten_below_setting) hours -= production.pump_step_h;
    hours = std::clamp(hours, std::min(production.shortest_pump_h, record.pump_hours_per_day),
                       std::max(production.longest_pump_h, record.pump_hours_per_day));
    if (hours != record.pump_hours_per_day) {
      wanted *= record.pump_hours_per_day / hours;  // the same chlorine in other hours
      set_pump_hours(record, decision, hours);
    }
  }
  double const setting = std::clamp(wanted, production.lowest_setting, production.highest_setting);
  if (std::abs(setting - record.output_setting) >= smallest_change) set_output(record, decision, setting);
}

}  // namespace

double rated_production_kg_per_m3_d(Pool const& pool, double pump_hours_per_day) {
  return pool.cell_rated_production_kg_per_s * 3600.0 * pump_hours_per_day / pool.water_volume_m3;
}

double expected_free_chlorine_kg_per_m3(double now_kg_per_m3, double production_kg_per_m3_d, double decay_per_day,
                                        double days) {
  double const steady = production_kg_per_m3_d / decay_per_day;
  return steady + (now_kg_per_m3 - steady) * std::exp(-decay_per_day * days);
}

void set_production(RuleInputs const& in, PoolRecord& record, VisitDecision& decision) {
  ProductionSpec const& production = in.policy.production;
  DosingSpec const& dosing = in.policy.dosing;
  DayKnowledge const& today = in.visit.today;
  double const interval_d = visit_interval_d(in.policy, in.pool, record, today);
  auto const reading = in.readings.free_chlorine_kg_per_m3;
  double const target = free_chlorine_target_kg_per_m3(dosing, record);

  // A unit that was off or in doubt says nothing about the demand.
  bool const made_chlorine = record.cell_powered && !in.readings.warning_low_salt && !in.readings.warning_check_cell;
  double const days = today.day - record.last_visit_day;
  double const made = record.output_setting * rated_production_kg_per_m3_d(in.pool, record.pump_hours_per_day);
  if (reading && made_chlorine && days >= 1.0) {
    // Without a recent visit to compare with, the reading is taken for steady.
    double const before = days <= longest_balance_d ? record.free_chlorine_after_kg_per_m3 : *reading;
    double const decay = learned_decay_per_day(before, *reading, made, days);
    // One reading is uncertain: the card keeps half of what it believed.
    record.decay_per_day = record.decay_per_day > 0.0 ? (record.decay_per_day + decay) / 2 : decay;
  }

  if (production.rule == OutputRule::calendar) follow_calendar(in, record, decision);
  // A reading above the band turns the output down in proportion, whatever the balance says and even under a lit lamp:
  // a unit that stood still for days (cold, air, a lamp) makes the learned demand too high, and the water then climbs.
  bool const learns = production.rule == OutputRule::learned;
  bool const too_much = learns && reading && record.cell_powered && *reading > dosing.free_chlorine_kg_per_m3.high;
  double const most = too_much ? record.output_setting * target / *reading : production.highest_setting;
  if (too_much && !made_chlorine) move_output(in, record, decision, most);
  if (reading && made_chlorine) {
    if (production.rule == OutputRule::stepped) {
      double const low = (dosing.free_chlorine_kg_per_m3.low + target) / 2;
      double const high = (dosing.free_chlorine_kg_per_m3.high + target) / 2;
      if (*reading < low) move_output(in, record, decision, record.output_setting + production.step);
      if (*reading > high) move_output(in, record, decision, record.output_setting - production.step);
    } else if (learns && record.decay_per_day > 0.0) {
      double const full = rated_production_kg_per_m3_d(in.pool, record.pump_hours_per_day);
      double const balanced = record.decay_per_day * target * foresight(production, record, interval_d) / full;
      double const wanted = record.output_setting + production.gain * (balanced - record.output_setting);
      move_output(in, record, decision, std::min(wanted, most));
    }
  }

  double const liquid = decision.actions.liquid_chlorine_kg / in.pool.water_volume_m3;
  double const decay = record.decay_per_day > 0.0 ? record.decay_per_day : first_guess_decay_per_day;
  double const now = last_or(record, Measured::free_chlorine, target) + liquid;
  bool const cold = last_or(record, Measured::water_temperature, never) < production.cold_water_K;
  double const output =
      record.cell_powered && !cold ? record.output_setting : 0.0;  // a unit does not follow in the cold
  record.free_chlorine_after_kg_per_m3 = now;
  record.expected_free_chlorine_kg_per_m3 = expected_free_chlorine_kg_per_m3(
      now, output * rated_production_kg_per_m3_d(in.pool, record.pump_hours_per_day), decay, interval_d);
}

}  // namespace brinecast::sim
