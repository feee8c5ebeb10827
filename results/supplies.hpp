#pragma once
// What a season takes under one policy: materials and work by month, packs, order dates, stock levels, van loads,
// busiest weeks.

#include <chrono>
#include <string>
#include <vector>

#include "results/comparison.hpp"
#include "results/reader.hpp"

namespace brinecast::results {

/// Share of seasons in which a stock may run out.
inline constexpr double stock_out_share = 0.05;

/// Whole packs that hold an amount, 0 for none.
double packs_for(double amount, SupplyEntry const& supply);

struct Quantiles {
  double p10 = 0.0, p50 = 0.0, p90 = 0.0;  // over replicates
};

/// One material in one month, in the material's units (kg, m3 or pieces).
struct MonthNeed {
  Quantiles amount;
  double order_packs = 0.0;          // whole packs to have ordered for this month, after stock and earlier orders
  std::chrono::sys_days order_by{};  // the month's first day less the lead time
};

struct MaterialPlan {
  SupplyEntry supply;
  std::vector<MonthNeed> months;
  Quantiles season;
  double season_stock = 0.0;   // at the start; a season yet to come needs more with chance `stock_out_share` at most
  double reorder_level = 0.0;  // stock at which to order so that no lead time runs it out in all but that share of
                               // seasons; NaN without a visit log
  double season_cost = 0.0;    // median, currency
  Quantiles short_visits;      // of the season, that lacked it; NaN without a visit log
  bool ever_short = false;     // in any season
  double van_load = 0.0;       // the most that one van gives out on a day; more with chance `stock_out_share` a season
};

struct MonthWork {
  Quantiles service_h, driving_h, overtime_h;  // of the whole fleet
  Quantiles load_kg;                           // of all materials
  Quantiles shortages;                         // visits that lacked a supply
  double van_loads = 0.0;                      // P90 of the load in mean payloads
  double capacity_h = 0.0;                     // shifts of all technicians less breaks, on working days
};

struct WeekWork {
  std::chrono::sys_days monday{};
  Quantiles work_h;  // work at pools and driving
  double capacity_h = 0.0;
};

struct TechnicianWork {
  std::string name;
  std::vector<WeekWork> weeks;  // all, in order
  Quantiles season_h;           // work at pools and driving
  double season_capacity_h = 0.0;
};

/// P90 of the week's work against its capacity; infinite for work without capacity.
double load_of(WeekWork const& week);

struct SuppliesPlan {
  RunDescription run;
  std::size_t policy = 0;
  std::size_t replicates = 0;
  Units units = Units::si;
  std::vector<std::chrono::sys_days> months;
  std::vector<MaterialPlan> materials;
  std::vector<MonthWork> work;    // [month]
  std::vector<WeekWork> busiest;  // by P90 of work against capacity, busiest first
  std::vector<TechnicianWork> technicians;
  Quantiles largest_van_day_kg =
      {};  // heaviest load of one technician on one day of the season; NaN without a visit log
  double smallest_payload_kg = 0.0;  // of any van
};

struct SuppliesOptions {
  std::string policy = {};  // "" takes the first
  Units units = Units::si;
  std::size_t weeks = 5;
};

/// Throws ResultError for an unknown policy, and for a file without one complete replicate of it.
SuppliesPlan plan_supplies(ResultFile const& file, SuppliesOptions const& options);

std::string supplies_text(SuppliesPlan const& plan);
/// One row per item, period and measure.
std::string supplies_csv(SuppliesPlan const& plan);
/// Documented in results/README.md.
std::string supplies_json(SuppliesPlan const& plan);

}  // namespace brinecast::results
