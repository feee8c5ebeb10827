#pragma once
// The plan of rounds, looked up by day and pool.

#include <vector>

#include "sim/rounds/plan.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

/// Where the plan of rounds puts the pools, looked up by working day of its period.
class PlanIndex {
 public:
  struct Place {
    TechnicianId technician{};
    int position = -1;  // in the round; -1 not planned that day
  };
  PlanIndex(Scenario const& scenario, RoundsPlan const& plan);
  /// The pool's place on a working day of the season.
  [[nodiscard]] Place place(std::size_t working_day, PoolId pool) const;
  /// Whom the plan gives the pool to, on whatever day.
  [[nodiscard]] Place usual_place(PoolId pool) const { return usual_[index_of(pool)]; }
  /// First season day on which the plan visits the pool; the first working day for a pool that it leaves out.
  [[nodiscard]] int first_day(PoolId pool) const { return first_day_[index_of(pool)]; }

 private:
  int period_days_ = 1;
  std::size_t pools_ = 0;
  std::vector<Place> places_;  // [day of the period][pool]
  std::vector<Place> usual_;   // [pool]
  std::vector<int> first_day_;
};

/// For each season day its number among the working days, or -1 on a day of rest (weekends, holidays).
std::vector<int> number_working_days(Scenario const& scenario);

}  // namespace brinecast::sim
