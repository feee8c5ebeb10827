#pragma once
// What the company knows of a pool: its own card, never the truth. Days count from the season's first day.

#include <array>
#include <cstdint>
#include <span>

#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

inline constexpr double long_ago = -1e6;  // a day before everything
inline constexpr int remembered_days = 14;

struct LastReading {
  double value = 0.0;  // meaningful once `day` is not `long_ago`
  double day = long_ago;
  double previous_value = 0.0;
  double previous_day = long_ago;
  int steady = 0;                // readings in a row inside the band
  double learned_every_d = 0.0;  // adaptive testing: current interval
  [[nodiscard]] bool known() const { return day > long_ago; }
};

/// `balancing`: opened, but the unit stays off until the water is balanced.
enum class PoolStage : std::uint8_t { in_service, closed, balancing };

struct PoolRecord {
  std::array<LastReading, measured_count> last;
  // Visits
  double last_visit_day = long_ago;
  double rhythm_day = 0.0;    // nominal day of the last regular visit; the next is an interval later
  double return_day = never;  // a return that the last visit asked for
  double stretch = 1.0;       // adaptive: factor on the interval
  int steady_visits = 0;
  // Settings as left at the last visit
  double output_setting = 0.5;
  double pump_hours_per_day = 10.0;
  bool cell_powered = true;
  // What the rules expect
  double free_chlorine_after_kg_per_m3 = 0.0;     // once the doses of the last visit were in
  double decay_per_day = 0.0;                     // of free chlorine, learned; 0 unknown
  double expected_free_chlorine_kg_per_m3 = 0.0;  // at the next visit
  double expected_salt_kg_per_m3 = 0.0;
  // Doses and upkeep
  double salt_dose_day = long_ago;
  double cyanuric_acid_dose_day = long_ago;
  double backwash_day = 0.0;
  double debris_day = long_ago;
  // The cell, by the unit's own counter
  double cell_installed_h = 0.0;
  double cell_operating_h = 0.0;  // at the last visit
  double cell_cleaned_day = 0.0;
  double cell_cleaned_h = 0.0;
  double cell_inspected_day = 0.0;
  double cell_inspected_h = 0.0;
  double clean_voltage_V = 0.0;  // first after a cleaning, as comparable_voltage_V has it; 0 unknown
  int saturated_visits = 0;
  int lamp_visits = 0;          // in a row with the check-cell lamp lit and no cause found
  double lamp_since_day = 0.0;  // of the first of them
  // The year
  PoolStage stage = PoolStage::in_service;
  int returns = 0;
  // Reports between visits
  bool warning_reported = false;
  bool remote_alarm = false;
  double remote_day = long_ago;                  // of the last remote reading
  std::array<float, remembered_days> bathers{};  // of the last days, ring by day

  [[nodiscard]] LastReading const& operator[](Measured quantity) const {
    return last[static_cast<std::size_t>(quantity)];
  }
  [[nodiscard]] LastReading& operator[](Measured quantity) { return last[static_cast<std::size_t>(quantity)]; }
};

/// What everybody in the company knows on a morning. The series hold one value for every past day of the season, the
/// last is yesterday's; they are empty on the first day.
struct DayKnowledge {
  int day = 0;
  std::chrono::sys_days date{};
  std::span<double const> rain_m;  // depth
  std::span<double const> air_mean_K;
  std::span<double const> air_highest_K;

  [[nodiscard]] std::chrono::month_day month_day() const {
    std::chrono::year_month_day const full{date};
    return full.month() / full.day();
  }
};

/// Sum and mean of the last `days` values; the mean of nothing is not a number, so that no comparison holds.
double recent_sum(std::span<double const> series, int days);
double recent_mean(std::span<double const> series, int days);

/// A new card. `first_visit_day` is the day of the first regular visit, so that a fleet does not start all at once.
/// A season that begins between closing and opening dates finds the pool closed: see `stage`.
PoolRecord start_record(PolicySpec const& policy, Pool const& pool, Season const& season, double first_visit_day);

/// The company hears of a lit lamp (the owner rings, or the unit reports).
inline void report_warning(PoolRecord& record) { record.warning_reported = true; }
/// The owner tells how many came on a day; to be called for every day.
inline void report_bathers(PoolRecord& record, int day, double bathers) {
  record.bathers[static_cast<std::size_t>(day % remembered_days)] = static_cast<float>(bathers);
}
/// Bathers of the `days` (at most `remembered_days`) days before `today`.
double recent_bathers(PoolRecord const& record, int today, int days);

/// The card's last value, or the given one while nothing was read.
inline double last_or(PoolRecord const& record, Measured quantity, double otherwise) {
  return record[quantity].known() ? record[quantity].value : otherwise;
}

/// Water temperature as the company knows it: the last reading if at most a week old, else the mean air of a week, else
/// that old reading, else 20 degC.
double believed_water_temperature_K(PoolRecord const& record, DayKnowledge const& today);

/// Free chlorine target after the share of cyanuric acid.
double free_chlorine_target_kg_per_m3(DosingSpec const& dosing, PoolRecord const& record);

}  // namespace brinecast::sim
