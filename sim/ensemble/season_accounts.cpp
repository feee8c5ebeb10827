// Money, supplies and work of a day's visits; the visit log.

#include <algorithm>
#include <limits>
#include <numeric>
#include <optional>

#include "models/constants.hpp"
#include "sim/ensemble/season_task.hpp"

namespace brinecast::sim {

namespace {

constexpr double seconds_per_hour = models::seconds_per_hour;
constexpr double service_memory = 0.3;  // weight of the last visit in the expected work

double cost_of(MaterialAmounts const& used, Prices const& prices) {
  MaterialAmounts const per_bought = {prices.salt_per_kg,          prices.acid_per_m3,
                                      prices.bicarbonate_per_kg,   prices.calcium_chloride_per_kg,
                                      prices.cyanuric_acid_per_kg, prices.liquid_chlorine_per_m3};
  return std::inner_product(used.begin(), used.end(), per_bought.begin(), 0.0);
}

float logged(double value) { return static_cast<float>(value); }
float logged(std::optional<double> const& reading) {
  return reading ? static_cast<float>(*reading) : std::numeric_limits<float>::quiet_NaN();
}

}  // namespace

void SeasonTask::settle_accounts() {
  std::vector<double> work_s(scenario_.technicians.size(), 0.0);
  for (Stop const& stop : stops_) {
    settle_visit(stop);
    work_s[index_of(stop.technician)] += service_s(stop);
    settle_cell(stop);
    if (scenario_.outputs.visit_log) log_visit(stop);
  }
  for (std::size_t t = 0; t < work_s.size(); ++t) {
    settle_overtime(TechnicianId{static_cast<std::uint32_t>(t)}, work_s[t]);
  }
}

double SeasonTask::service_s(Stop const& stop) const {
  return stop.visit.decision.actions.service_s + scenario_.rounds.stop_overhead_s;
}

void SeasonTask::settle_visit(Stop const& stop) {
  std::size_t const i = index_of(stop.pool);
  std::size_t const m = month_of_day_[static_cast<std::size_t>(day_)];
  PoolFile& file = files_[i];
  PoolTally& pools = result_.pools;
  MonthTally& months = result_.months;
  Prices const& prices = scenario_.prices;
  VisitActions const& actions = stop.visit.decision.actions;
  MaterialAmounts const used = materials_of(actions, scenario_.parameters.cleaning_acid_mol_per_bath);
  double const work_s = service_s(stop);
  bool const call_out = has(stop.reasons, VisitReason::call_out);
  bool const cleaned = actions.acid_clean_cycles > 0;

  // One line a quantity: the pool's total and the month's.
  auto const enter = [&](std::vector<double>& of_pool, std::vector<double>& of_month, double amount) {
    of_pool[i] += amount;
    of_month[m] += amount;
  };
  enter(pools.salt_added, months.salt_added, used[index_of(Material::salt)]);
  enter(pools.acid_added, months.acid_added, used[index_of(Material::acid)]);
  enter(pools.bicarbonate_added, months.bicarbonate_added, used[index_of(Material::bicarbonate)]);
  enter(pools.calcium_chloride_added, months.calcium_chloride_added, used[index_of(Material::calcium_chloride)]);
  enter(pools.cyanuric_acid_added, months.cyanuric_acid_added, used[index_of(Material::cyanuric_acid)]);
  enter(pools.liquid_chlorine_added, months.liquid_chlorine_added, used[index_of(Material::liquid_chlorine)]);
  enter(pools.fill_water, months.fill_water, stop.fill_m3);
  enter(pools.visits, months.visits, 1.0);
  enter(pools.call_outs, months.call_outs, call_out ? 1.0 : 0.0);
  enter(pools.late_visits, months.late_visits, !call_out && day_ > file.wanted_since ? 1.0 : 0.0);
  enter(pools.cell_cleanings, months.cell_cleanings, cleaned ? 1.0 : 0.0);
  enter(pools.cells_replaced, months.cells_replaced, actions.replace_cell ? 1.0 : 0.0);
  enter(pools.shortages, months.shortages, stop.visit.decision.shortages != 0 ? 1.0 : 0.0);
  enter(pools.service_time, months.service_time, work_s);
  enter(pools.revenue, months.revenue, fee_per_visit(policy_, scenario_.pools[i], call_out));
  pools.driving_time[i] += stop.driving_share_s;
  if (cleaned && stop.visit.readings.scale_grade == 0) pools.innocent_cleanings[i] += 1.0;

  double const labour_cost = work_s / seconds_per_hour * prices.wage_per_h;
  double const supplies_cost =
      cost_of(used, prices) + stop.fill_m3 * prices.fill_water_per_m3 + testing_cost(prices, stop.visit.tests);
  double const equipment_cost = actions.replace_cell && !stop.cell_under_warranty ? prices.cell_each : 0.0;
  months.labour_cost[m] += labour_cost;
  months.supplies_cost[m] += supplies_cost;
  months.equipment_cost[m] += equipment_cost;
  pools.cost[i] += labour_cost + supplies_cost + equipment_cost + stop.driving_cost;

  file.expected_service_s += service_memory * (work_s - file.expected_service_s);
  file.wanted_since = -1;
  if (call_out) file.called_on = -1;
}

/// Each cell fitted, or first wanted in vain, orders one; what was carried for nothing goes back.
void SeasonTask::settle_cell(Stop const& stop) {
  PoolFile& file = files_[index_of(stop.pool)];
  VisitDecision const& decision = stop.visit.decision;
  bool const lacked = has(decision.shortages, Shortage::cell);
  if (!decision.actions.replace_cell && stop.cell_at_hand) cell_stock_.put_back(1);
  if ((decision.actions.replace_cell || lacked) && !file.cell_ordered) cell_stock_.order(day_, 1);
  if (decision.actions.replace_cell || lacked) file.cell_ordered = lacked;
}

void SeasonTask::log_visit(Stop const& stop) {
  auto const [block, lane] = fleet_.slot_of_pool[index_of(stop.pool)];
  PoolControls const& controls = fleet_.blocks[block].controls;
  WaterReadings const& readings = stop.visit.readings;
  VisitDecision const& decision = stop.visit.decision;
  MaterialAmounts const used = materials_of(decision.actions, scenario_.parameters.cleaning_acid_mol_per_bath);
  result_.visits.push_back({.time_s = day_ * models::seconds_per_day + stop.time_s,
                            .pool = static_cast<std::uint32_t>(stop.pool),
                            .technician = static_cast<std::uint32_t>(stop.technician),
                            .tasks = decision.tasks,
                            .reasons = stop.reasons,
                            .rules = decision.rules,
                            .shortages = decision.shortages,
                            .free_chlorine_reading = logged(readings.free_chlorine_kg_per_m3),
                            .ph_reading = logged(readings.ph),
                            .alkalinity_reading = logged(readings.alkalinity_mol_per_m3),
                            .calcium_reading = logged(readings.calcium_mol_per_m3),
                            .cyanuric_acid_reading = logged(readings.cyanuric_acid_mol_per_m3),
                            .salt_reading = logged(readings.salt_kg_per_m3),
                            .unit_salt_reading = logged(readings.unit_salt_kg_per_m3),
                            .salt_added = logged(used[index_of(Material::salt)]),
                            .acid_added = logged(used[index_of(Material::acid)]),
                            .bicarbonate_added = logged(used[index_of(Material::bicarbonate)]),
                            .calcium_chloride_added = logged(used[index_of(Material::calcium_chloride)]),
                            .cyanuric_acid_added = logged(used[index_of(Material::cyanuric_acid)]),
                            .liquid_chlorine_added = logged(used[index_of(Material::liquid_chlorine)]),
                            .output_setting = logged(controls.output_setting[lane]),
                            .pump_hours = logged(controls.pump_hours[lane]),
                            .expected_free_chlorine = logged(decision.expected_free_chlorine_kg_per_m3),
                            .expected_salt = logged(decision.expected_salt_kg_per_m3),
                            .service_time = logged(service_s(stop))});
}

/// Overtime follows from the work that was really found, not from what was expected.
void SeasonTask::settle_overtime(TechnicianId id, double work_s) {
  std::size_t const t = index_of(id);
  auto const day = static_cast<std::size_t>(day_);
  std::size_t const m = month_of_day_[day];
  Technician const& technician = scenario_.technicians[t];
  TechnicianTally& load = result_.technicians;
  auto const driving_s = static_cast<double>(load.driving_time[t][day]);
  double const pause_s = work_s > 0.0 ? technician.break_s : 0.0;
  double const over_s = std::max(0.0, work_s + driving_s + pause_s - technician.shift_length_s);
  load.service_time[t][day] = static_cast<float>(work_s);
  load.overtime[t][day] = static_cast<float>(over_s);
  result_.months.overtime[m] += over_s;

  double const premium =
      over_s / seconds_per_hour * scenario_.prices.wage_per_h * (scenario_.prices.overtime_factor - 1.0);
  if (premium <= 0.0) return;
  result_.months.labour_cost[m] += premium;
  double const share = premium / static_cast<double>(load.stops[t][day]);
  for (Stop const& stop : stops_) {
    if (stop.technician == id) result_.pools.cost[index_of(stop.pool)] += share;
  }
}

}  // namespace brinecast::sim
