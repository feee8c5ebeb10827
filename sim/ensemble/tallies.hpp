#pragma once
// What one (policy, replicate) task hands on: totals by pool, month, day and technician, the visit log, the books.

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "sim/fleet/books.hpp"
#include "sim/scenario/policy_spec.hpp"  // VisitTask

namespace brinecast::sim {

/// Season totals and shares, [pool]. Shares are of open pool-hours.
struct PoolTally {
  std::vector<double> open_hours;                // h
  std::vector<double> free_chlorine_in_range;    // 1
  std::vector<double> free_chlorine_low;         // 1
  std::vector<double> free_chlorine_high;        // 1
  std::vector<double> active_chlorine_low;       // 1, hypochlorous acid under the algae threshold
  std::vector<double> ph_in_range;               // 1
  std::vector<double> saturation_in_range;       // 1
  std::vector<double> salt_in_range;             // 1
  std::vector<double> cloudy_hours;              // h
  std::vector<double> hours_without_production;  // h, pump scheduled and cell wanted, nothing made
  std::vector<double> days_without_production;   // d, open days on which nothing was made
  std::vector<double> warning_hours;             // h, a warning lit
  std::vector<double> false_warning_hours;       // h, lit though neither salt was low nor the cell scaled or worn
  std::vector<double> chlorine_produced;         // kg, as Cl2
  std::vector<double> cell_hours;                // h
  std::vector<double> salt_added;                // kg
  std::vector<double> acid_added;                // m3, 31.45 % hydrochloric acid
  std::vector<double> bicarbonate_added;         // kg
  std::vector<double> calcium_chloride_added;    // kg, anhydrous
  std::vector<double> cyanuric_acid_added;       // kg
  std::vector<double> liquid_chlorine_added;     // m3, 12.5 % available
  std::vector<double> fill_water;                // m3
  std::vector<double> rain_water;                // m3, fallen on pool and catchment
  std::vector<double> evaporated;                // m3
  std::vector<double> overflowed;                // m3
  std::vector<double> pump_energy;               // kWh, pump and cell
  std::vector<double> visits;                    // 1, planned and call-outs
  std::vector<double> call_outs;                 // 1, served
  std::vector<double> late_visits;               // 1, planned visits that were served after their day
  std::vector<double> missed_visits;             // 1, planned visits that were not served before the next was due
  std::vector<double> remote_readings;           // 1
  std::vector<double> cell_cleanings;            // 1
  std::vector<double> innocent_cleanings;        // 1, cleanings of a cell that carried no scale
  std::vector<double> cells_replaced;            // 1
  std::vector<double> shortages;                 // 1, visits that lacked a supply
  std::vector<double> freeze_breaks;             // 1
  std::vector<double> complaints;                // 1
  std::vector<double> lost_customers;            // 1
  std::vector<double> coating_left;              // 1, at the end
  std::vector<double> largest_scale;             // kg/m2
  std::vector<double> largest_saturation_index;  // 1
  std::vector<double> service_time;              // s
  std::vector<double> driving_time;              // s, the pool's share of its rounds
  std::vector<double> cost;                      // currency: wages, mileage, supplies, cells, repairs
  std::vector<double> revenue;                   // currency
};

/// Totals by calendar month of the season, [month].
struct MonthTally {
  std::vector<double> salt_added;                // kg
  std::vector<double> acid_added;                // m3
  std::vector<double> bicarbonate_added;         // kg
  std::vector<double> calcium_chloride_added;    // kg
  std::vector<double> cyanuric_acid_added;       // kg
  std::vector<double> liquid_chlorine_added;     // m3
  std::vector<double> fill_water;                // m3
  std::vector<double> cells_replaced;            // 1
  std::vector<double> shortages;                 // 1, visits that lacked a supply
  std::vector<double> cell_cleanings;            // 1
  std::vector<double> visits;                    // 1
  std::vector<double> call_outs;                 // 1
  std::vector<double> late_visits;               // 1
  std::vector<double> missed_visits;             // 1
  std::vector<double> service_time;              // s
  std::vector<double> driving_time;              // s
  std::vector<double> driving_distance;          // m
  std::vector<double> overtime;                  // s
  std::vector<double> free_chlorine_in_range;    // 1, share of the month's open pool-hours
  std::vector<double> hours_without_production;  // h, sum over pools
  std::vector<double> labour_cost;               // currency
  std::vector<double> driving_cost;              // currency
  std::vector<double> supplies_cost;             // currency
  std::vector<double> equipment_cost;            // currency: cells, repairs
  std::vector<double> cost;                      // currency, the sum
  std::vector<double> revenue;                   // currency
};

/// Quantiles over the fleet's open pools at noon, [quantile][day]: 5, 25, 50, 75, 95 %.
inline constexpr std::array<double, 5> day_quantiles = {0.05, 0.25, 0.50, 0.75, 0.95};
struct DayTally {
  std::array<std::vector<float>, day_quantiles.size()> salt;               // kg/m3
  std::array<std::vector<float>, day_quantiles.size()> free_chlorine;      // kg/m3 as Cl2
  std::array<std::vector<float>, day_quantiles.size()> ph;                 // 1
  std::array<std::vector<float>, day_quantiles.size()> saturation_index;   // 1
  std::array<std::vector<float>, day_quantiles.size()> scale;              // kg/m2
  std::array<std::vector<float>, day_quantiles.size()> water_temperature;  // K
  std::vector<float> rain;                                                 // m, first site
  std::vector<float> air_temperature;                                      // K, mean of the day, first site
  std::vector<float> open_pools;                                           // 1
  std::vector<float> waiting_call_outs;                                    // 1, at the end of the day
};

/// Load of the technicians, [technician][day].
struct TechnicianTally {
  std::vector<std::vector<float>> service_time;      // s
  std::vector<std::vector<float>> driving_time;      // s
  std::vector<std::vector<float>> driving_distance;  // m
  std::vector<std::vector<float>> overtime;          // s
  std::vector<std::vector<float>> stops;             // 1
};

/// One visit of the log. NaN where nothing was read.
struct VisitRecord {
  double time_s = 0.0;  // seconds since the season's start
  std::uint32_t pool = 0;
  std::uint32_t technician = 0;
  std::uint32_t tasks = 0;      // bits, see VisitTask
  std::uint32_t reasons = 0;    // bits, see VisitReason in sim/policy/why.hpp: why the visit was made
  std::uint32_t rules = 0;      // bits, see FiredRule in sim/policy/why.hpp: which rules fired
  std::uint32_t shortages = 0;  // bits, see Shortage in sim/policy/why.hpp: what was wanted and not at hand
  float free_chlorine_reading = 0, ph_reading = 0, alkalinity_reading = 0,
        calcium_reading = 0;                                                                // kg/m3, 1, mol/m3, mol/m3
  float cyanuric_acid_reading = 0, salt_reading = 0, unit_salt_reading = 0;                 // mol/m3, kg/m3, kg/m3
  float salt_added = 0, acid_added = 0, bicarbonate_added = 0, calcium_chloride_added = 0;  // kg, m3, kg, kg
  float cyanuric_acid_added = 0, liquid_chlorine_added = 0;                                 // kg, m3
  float output_setting = 0, pump_hours = 0;                                                 // 1, h, after the visit
  float expected_free_chlorine = 0, expected_salt = 0;  // kg/m3, what the rules expect at the next visit
  float service_time = 0;                               // s
};

/// Hourly trace of one pool, [hour].
struct PoolTrace {
  std::uint32_t pool = 0;
  std::vector<float> water_volume, water_temperature, salt, free_chlorine, active_chlorine, combined_chlorine, ph,
      alkalinity, calcium, cyanuric_acid, saturation_index, scale, cell_output, coating;
};

struct TaskResult {
  std::size_t policy = 0;
  std::uint32_t replicate = 0;
  PoolTally pools;
  MonthTally months;
  DayTally days;
  TechnicianTally technicians;
  std::vector<VisitRecord> visits;
  std::vector<PoolTrace> traces;
  BookErrors book_errors;
  double simulated_pool_hours = 0.0;
  double kernel_s = 0.0;    // processor time in the hourly kernel
  double dispatch_s = 0.0;  // in building the days' rounds
  double total_s = 0.0;     // of the task
};

}  // namespace brinecast::sim
