#include "sim/policy/pool_record.hpp"

#include <algorithm>
#include <limits>

#include "models/constants.hpp"
#include "sim/policy/schedule.hpp"

namespace brinecast::sim {

namespace {

constexpr double fresh_temperature_d = 7.0;  // a water temperature read this long ago still holds
constexpr double mild_water_K = 293.15;

std::span<double const> tail(std::span<double const> series, int days) {
  return series.last(std::min(series.size(), static_cast<std::size_t>(std::max(days, 0))));
}

}  // namespace

double recent_sum(std::span<double const> series, int days) {
  double sum = 0.0;
  for (double const value : tail(series, days)) sum += value;
  return sum;
}

double recent_mean(std::span<double const> series, int days) {
  auto const values = tail(series, days);
  if (values.empty()) return std::numeric_limits<double>::quiet_NaN();
  return recent_sum(values, days) / static_cast<double>(values.size());
}

double recent_bathers(PoolRecord const& record, int today, int days) {
  double sum = 0.0;
  int const first = std::max(0, today - std::min(days, remembered_days));
  for (int day = first; day < today; ++day) {
    sum += static_cast<double>(record.bathers[static_cast<std::size_t>(day % remembered_days)]);
  }
  return sum;
}

PoolRecord start_record(PolicySpec const& policy, Pool const& pool, Season const& season, double first_visit_day) {
  PoolRecord record;
  record.output_setting = pool.output_setting;
  record.pump_hours_per_day = pool.pump_hours_per_day;
  record.cell_operating_h = pool.cell_age_h;
  record.cell_cleaned_h = pool.cell_age_h;
  record.cell_inspected_h = pool.cell_age_h;
  DayKnowledge const first_day{.day = 0, .date = season.first_day, .rain_m = {}, .air_mean_K = {}, .air_highest_K = {}};
  record.rhythm_day = first_visit_day - visit_interval_d(policy, pool, record, first_day);
  if (closed_by_date(policy.year, first_day.month_day())) {
    record.stage = PoolStage::closed;
    record.cell_powered = false;
  }
  return record;
}

double believed_water_temperature_K(PoolRecord const& record, DayKnowledge const& today) {
  LastReading const& reading = record[Measured::water_temperature];
  if (reading.known() && today.day - reading.day <= fresh_temperature_d) return reading.value;
  if (!today.air_mean_K.empty()) return recent_mean(today.air_mean_K, 7);
  return reading.known() ? reading.value : mild_water_K;
}

double free_chlorine_target_kg_per_m3(DosingSpec const& dosing, PoolRecord const& record) {
  double const cyanuric_acid_kg_per_m3 =
      last_or(record, Measured::cyanuric_acid, 0.0) * models::molar_mass_cyanuric_acid_kg_per_mol;
  double const wanted =
      std::max(dosing.free_chlorine_kg_per_m3.target, dosing.free_chlorine_per_cyanuric_acid * cyanuric_acid_kg_per_m3);
  // A stabiliser reading far too high must not drive the chlorine out of its band.
  return std::min(wanted, dosing.free_chlorine_kg_per_m3.high);
}

}  // namespace brinecast::sim
