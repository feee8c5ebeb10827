#include "sim/policy/visit_pool.hpp"

#include <algorithm>
#include <cmath>

#include "sim/policy/rules.hpp"

namespace brinecast::sim {

Visit visit_pool(PolicySpec const& policy, Pool const& pool, FillWater const& fill, PoolRecord& record,
                 TrueWater const& truth, DayKnowledge const& today, std::uint32_t reasons, DrawKey key,
                 SuppliesAtHand const& at_hand) {
  key.purpose = Purpose::test_error;
  Visit visit;
  visit.readings = look(truth);
  // The display costs a glance; what it shows can call for a salt test. That of a closed pool is dark.
  TestPlan display;
  if (record.stage != PoolStage::closed) display[Measured::unit_salt] = policy.tests[Measured::unit_salt].method;
  measure(policy.tests, display, truth, key, visit.readings);
  visit.tests = plan_tests(policy, record, visit.readings, today, reasons);
  measure(policy.tests, visit.tests, truth, key, visit.readings);
  VisitContext const context{.today = today,
                             .fill = fill,
                             .reasons = reasons,
                             .testing_s = testing_s(policy.work, visit.tests),
                             .at_hand = at_hand};
  if (wants_inspection(policy, record, visit.readings, context)) inspect_cell(truth, visit.readings);
  visit.decision = decide(policy, pool, record, visit.readings, context);
  return visit;
}

std::optional<double> read_remotely(PolicySpec const& policy, PoolRecord& record, TrueWater const& truth,
                                    DayKnowledge const& today, DrawKey key) {
  RemoteReadings const& remote = policy.visits.remote;
  key.purpose = Purpose::remote_reading;
  WaterReadings readings = look(truth);
  measure(policy.tests, remote_tests(policy), truth, key, readings);
  record.remote_day = today.day;
  record[Measured::water_temperature].value = *readings.water_temperature_K;
  record[Measured::water_temperature].day = today.day;
  double const free_chlorine = *readings.free_chlorine_kg_per_m3;
  record.remote_alarm = record.remote_alarm || free_chlorine < remote.free_chlorine_below_kg_per_m3 ||
                        free_chlorine > remote.free_chlorine_above_kg_per_m3 || *readings.ph < remote.ph_below ||
                        *readings.ph > remote.ph_above || *readings.unit_salt_kg_per_m3 < remote.salt_below_kg_per_m3;
  if (remote.report_warnings && (readings.warning_low_salt || readings.warning_check_cell)) report_warning(record);
  if (!remote.set_output || !record.cell_powered) return std::nullopt;

  // The card's chlorine values belong to visits, so the correction is proportional: at a steady reading it is exact.
  ProductionSpec const& production = policy.production;
  double const target = free_chlorine_target_kg_per_m3(policy.dosing, record);
  double const ratio = std::clamp(target / std::max(free_chlorine, 1e-4), 0.7, 1.3);
  bool const cold = *readings.water_temperature_K < production.cold_water_K;
  if ((ratio > 1.0 && cold) || std::abs(ratio - 1.0) < 0.1) return std::nullopt;
  double const wanted = record.output_setting * (1.0 + production.gain * (ratio - 1.0) * remote.every_d / 7.0);
  record.output_setting = std::clamp(wanted, production.lowest_setting, production.highest_setting);
  return record.output_setting;
}

}  // namespace brinecast::sim
