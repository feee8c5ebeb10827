// The cell: what a lit lamp means, when it is looked at, cleaned or replaced.

#include <algorithm>

#include "sim/policy/rules.hpp"

namespace brinecast::sim {

namespace {

constexpr double half_day = 0.5;
constexpr double lamp_patience_d = 14.0;  // before a cell is given up; common practice, no source

double operating_h(PoolRecord const& record, WaterReadings const& readings) {
  return readings.cell_operating_h.value_or(record.cell_operating_h);
}

constexpr int worst_scale_grade = 3;  // a policy that never cleans waits for one beyond

bool lamp_lit(WaterReadings const& readings) { return readings.warning_check_cell || readings.warning_low_salt; }

/// A visit that found the lamp lit and no cause for it.
void note_unexplained_lamp(PoolRecord& record, DayKnowledge const& today) {
  if (record.lamp_visits++ == 0) record.lamp_since_day = today.day;
}

/// Whether the scale found explains a lit lamp: any scale does, but where the cell was cleaned at the last visit and
/// the lamp is lit again, a new film does not. The water also leaves one on the plates of a dead cell.
bool explains_lamp(int scale_grade, PoolRecord const& record) {
  bool const just_cleaned = record.last_visit_day > long_ago && record.cell_cleaned_day >= record.last_visit_day;
  return scale_grade >= (just_cleaned ? 2 : 1);
}

/// Salt short by the test that the policy trusts.
bool salt_short(PolicySpec const& policy, WaterReadings const& readings) {
  double const low = policy.dosing.salt_kg_per_m3.low;
  if (policy.dosing.salt_check == SaltCheck::independent) {
    return readings.salt_kg_per_m3 && *readings.salt_kg_per_m3 < low;
  }
  return readings.warning_low_salt || (readings.unit_salt_kg_per_m3 && *readings.unit_salt_kg_per_m3 < low);
}

/// Too cold to judge the cell: the water now, or the last days' air, which tells of the nights between two visits.
bool water_cold(PolicySpec const& policy, PoolRecord const& record, WaterReadings const& readings,
                DayKnowledge const& today) {
  constexpr int days_remembered = 3;
  double const temperature_K =
      readings.water_temperature_K.value_or(last_or(record, Measured::water_temperature, never));
  double const cold_K = policy.production.cold_water_K;
  return temperature_K < cold_K || recent_mean(today.air_mean_K, days_remembered) < cold_K;
}

/// Cleaning rules that fire without a look at the plates; FiredRule bits.
std::uint32_t cleaning_due(RuleInputs const& in, PoolRecord const& record, int saturated_visits) {
  CellSpec const& cell = in.policy.cell;
  std::uint32_t rules = 0;
  if (in.visit.today.day + half_day >= record.cell_cleaned_day + cell.clean_every_d) {
    rules |= bit(FiredRule::cleaned_by_calendar);
  }
  if (operating_h(record, in.readings) >= record.cell_cleaned_h + cell.clean_every_operating_h) {
    rules |= bit(FiredRule::cleaned_by_operating_hours);
  }
  if (auto const voltage_V = comparable_voltage_V(record, in.readings);
      voltage_V && record.clean_voltage_V > 0.0 &&
      *voltage_V >= record.clean_voltage_V * (1.0 + cell.clean_at_voltage_rise)) {
    rules |= bit(FiredRule::cleaned_by_voltage);
  }
  if (cell.clean_after_saturated_visits > 0 && saturated_visits >= cell.clean_after_saturated_visits) {
    rules |= bit(FiredRule::cleaned_by_saturation);
  }
  return rules;
}

/// False, with the shortage noted, when no cell is at hand; the card is then unchanged, so that the next visit asks
/// again.
bool replace(RuleInputs const& in, PoolRecord& record, VisitDecision& decision, FiredRule rule) {
  if (!in.visit.at_hand.cell) {
    decision.lacked(Shortage::cell);
    return false;
  }
  decision.actions.replace_cell = true;
  decision.did(VisitTask::replace_cell);
  decision.fired(rule);
  record.cell_installed_h = operating_h(record, in.readings);
  record.cell_cleaned_day = record.cell_inspected_day = in.visit.today.day;
  record.cell_cleaned_h = record.cell_inspected_h = record.cell_installed_h;
  record.clean_voltage_V = 0.0;
  record.saturated_visits = record.lamp_visits = 0;
  return true;
}

/// Baths for which the van holds acid after the water's dose, at most `wanted`; tells when they are fewer.
int baths_from_van(RuleInputs const& in, int wanted, VisitDecision& decision) {
  double const water_mol = decision.actions.acid_mol, bath_mol = in.visit.at_hand.acid_mol_per_bath;
  double const wanted_mol = water_mol + wanted * bath_mol;
  double const found_mol = from_van(in, Material::acid, wanted_mol, decision);
  if (found_mol >= wanted_mol) return wanted;
  constexpr double rounding = 1e-9;  // the last of the acid may be just a bath
  return static_cast<int>((found_mol - water_mol) / bath_mol + rounding);
}

/// Without acid for a single bath the card is unchanged, so that the next visit asks again.
void clean(RuleInputs const& in, PoolRecord& record, VisitDecision& decision, std::uint32_t rules) {
  auto const grade = static_cast<std::size_t>(std::clamp(in.readings.scale_grade, -1, 3));
  int const wanted = in.policy.cell.cycles_by_grade[in.readings.scale_grade < 0 ? 1 : grade];
  decision.actions.acid_clean_cycles = baths_from_van(in, wanted, decision);
  if (decision.actions.acid_clean_cycles < std::min(wanted, 1)) return;
  decision.did(VisitTask::clean_cell);
  decision.rules |= rules;
  record.cell_cleaned_day = in.visit.today.day;
  record.cell_cleaned_h = operating_h(record, in.readings);
  record.clean_voltage_V = 0.0;
  record.saturated_visits = 0;
}

void restart(VisitDecision& decision) {
  decision.actions.power_cycle = true;
  decision.did(VisitTask::restart_unit);
}

}  // namespace

bool wants_inspection(PolicySpec const& policy, PoolRecord const& record, WaterReadings const& readings,
                      VisitContext const& visit) {
  if (record.stage != PoolStage::in_service) return false;
  CellSpec const& cell = policy.cell;
  if (visit.today.day + half_day >= record.cell_inspected_day + cell.inspect_every_d) return true;
  if (operating_h(record, readings) >= record.cell_inspected_h + cell.inspect_every_operating_h) return true;
  if (lamp_lit(readings)) {
    if (cell.warning_order == WarningOrder::clean_first) return readings.warning_check_cell;
    if (!salt_short(policy, readings) && !water_cold(policy, record, readings, visit.today)) return true;
  }
  // A cell that is about to be cleaned is looked at, to choose the number of baths. Whether this visit's water counts
  // as scale-forming is not yet worked out; a look too many does no harm.
  Pool const any_pool{};
  return cleaning_due({policy, any_pool, readings, visit}, record, record.saturated_visits + 1) != 0;
}

bool may_replace_cell(PolicySpec const& policy, PoolRecord const& record, DayKnowledge const& today) {
  CellSpec const& cell = policy.cell;
  bool const patience_over = record.lamp_visits > 0 && record.lamp_visits + 1 > cell.restarts_before_replacing &&
                             today.day - record.lamp_since_day >= lamp_patience_d;
  double const most_operating_h = record.cell_operating_h + 24.0 * (today.day + 1 - record.last_visit_day);
  return (cell.replace_failed && patience_over) ||
         most_operating_h >= record.cell_installed_h + cell.replace_after_operating_h;
}

void care_for_cell(RuleInputs const& in, PoolRecord& record, VisitDecision& decision) {
  CellSpec const& cell = in.policy.cell;
  DayKnowledge const& today = in.visit.today;
  int const grade = in.readings.scale_grade;
  if (grade >= 0) {
    decision.did(VisitTask::inspect_cell);
    record.cell_inspected_day = today.day;
    record.cell_inspected_h = operating_h(record, in.readings);
  }
  auto const saturation = saturation_index_of(record);
  if (in.readings.ph && saturation) {
    record.saturated_visits = *saturation > cell.saturation_index_limit ? record.saturated_visits + 1 : 0;
  }

  if (operating_h(record, in.readings) >= record.cell_installed_h + cell.replace_after_operating_h &&
      replace(in, record, decision, FiredRule::cell_replaced_in_advance)) {
    return;
  }

  std::uint32_t rules = cleaning_due(in, record, record.saturated_visits);
  if (grade >= cell.clean_at_grade) rules |= bit(FiredRule::cleaned_by_grade);

  if (!lamp_lit(in.readings)) {
    record.lamp_visits = 0;
  } else if (cell.warning_order == WarningOrder::clean_first) {
    // Cleaned without a look at other causes; given up only where there is none.
    if (!salt_short(in.policy, in.readings) && !water_cold(in.policy, record, in.readings, today)) {
      note_unexplained_lamp(record, today);
    }
    if (in.readings.warning_check_cell) rules |= bit(FiredRule::cleaned_on_warning);
    restart(decision);
  } else if (salt_short(in.policy, in.readings)) {
    restart(decision);  // the salt of this visit is the remedy; the lamp may stay lit until it has mixed
  } else if (water_cold(in.policy, record, in.readings, today)) {
    decision.fired(FiredRule::cold_water);
  } else {
    restart(decision);
    if (cell.clean_on_warning) rules |= bit(FiredRule::cleaned_on_warning);
    if (explains_lamp(grade, record) && cell.clean_at_grade <= worst_scale_grade) {
      rules |= bit(FiredRule::cleaned_by_grade);
    } else {
      // A clean cell, or one that may not be cleaned, with its lamp lit again and again is given up.
      note_unexplained_lamp(record, today);
    }
    if (rules == 0) decision.fired(FiredRule::restarted);
  }

  if (cell.replace_failed && record.lamp_visits > cell.restarts_before_replacing &&
      today.day - record.lamp_since_day >= lamp_patience_d &&
      replace(in, record, decision, FiredRule::failed_cell_replaced)) {
    return;
  }
  if (rules != 0) {
    clean(in, record, decision, rules);
  } else if (record.clean_voltage_V == 0.0) {
    record.clean_voltage_V = comparable_voltage_V(record, in.readings).value_or(0.0);
  }
}

}  // namespace brinecast::sim
