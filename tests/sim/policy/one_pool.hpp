#pragma once
// One pool under one policy, for tests of single decisions.

#include <vector>

#include "sim/policy/policy.hpp"
#include "sim/policy/rules.hpp"

namespace brinecast::sim {

/// A row of the list of intervals, its conditions still open.
inline VisitRule every(double interval_d) {
  VisitRule rule;
  rule.interval_d = interval_d;
  return rule;
}

/// A pool of 50 m3 in good water, its card, and the days so far.
struct OnePool {
  PolicySpec policy;
  Pool pool;
  FillWater fill;
  PoolRecord record;
  Season season{.first_day = std::chrono::sys_days{std::chrono::year{2031} / 3 / 1},
                .days = 365,
                .utc_offset_h = 0.0,
                .holidays = {}};
  std::vector<double> rain_m;
  std::vector<double> air_mean_K;
  std::vector<double> air_highest_K;
  TrueWater truth{.free_chlorine_kg_per_m3 = 0.003,
                  .combined_chlorine_kg_per_m3 = 0.0002,
                  .ph = 7.5,
                  .alkalinity_mol_per_m3 = 1.6,
                  .calcium_mol_per_m3 = 2.5,
                  .cyanuric_acid_mol_per_m3 = 0.39,
                  .salt_kg_per_m3 = 3.2,
                  .unit_salt_kg_per_m3 = 3.2,
                  .water_temperature_K = 298.15,
                  .cell_voltage_V = 6.0};

  explicit OnePool(PolicySpec spec = exact_policy()) : policy(std::move(spec)) {
    pool.water_volume_m3 = 50.0;
    pool.output_setting = 0.5;
    pool.pump_hours_per_day = 10.0;
    start();
  }

  /// The defaults with tests that show the truth, so that a decision follows from its rule alone.
  static PolicySpec exact_policy() {
    PolicySpec spec;
    spec.tests.errors = {};
    return spec;
  }

  void start(double first_visit_day = 7.0) { record = start_record(policy, pool, season, first_visit_day); }

  /// Lets mild, dry days pass.
  void pass_days(int days, double mean_K = 293.15, double highest_K = 299.15) {
    for (int i = 0; i < days; ++i) {
      rain_m.push_back(0.0);
      air_mean_K.push_back(mean_K);
      air_highest_K.push_back(highest_K);
    }
  }

  [[nodiscard]] DayKnowledge today() const {
    int const day = static_cast<int>(rain_m.size());
    return {.day = day,
            .date = season.first_day + std::chrono::days{day},
            .rain_m = rain_m,
            .air_mean_K = air_mean_K,
            .air_highest_K = air_highest_K};
  }

  [[nodiscard]] std::uint32_t reasons() const { return reasons_to_visit(policy, pool, record, today()); }
  [[nodiscard]] double interval_d() const { return visit_interval_d(policy, pool, record, today()); }

  Visit visit(std::uint32_t why = bit(VisitReason::interval), SuppliesAtHand const& at_hand = {}) {
    DrawKey const key{.seed = 1, .time = static_cast<std::uint32_t>(today().day) * 24};
    return visit_pool(policy, pool, fill, record, truth, today(), why, key, at_hand);
  }
  /// The next visit after some days.
  Visit visit_after(int days, std::uint32_t why = bit(VisitReason::interval), SuppliesAtHand const& at_hand = {}) {
    pass_days(days);
    return visit(why, at_hand);
  }
};

}  // namespace brinecast::sim
