#pragma once
// A plan of rounds while it is built or changed by hand.

#include <optional>
#include <vector>

#include "sim/rounds/plan.hpp"
#include "sim/rounds/round_clock.hpp"

namespace brinecast::sim {

StopWork work_of(PlannedPool const& pool);

/// Stops by day and technician.
class Draft {
 public:
  Draft(Scenario const& scenario, TravelTable const& travel, int period_days);
  /// The stops of a finished plan; `pools` are those it was made for.
  Draft(Scenario const& scenario, TravelTable const& travel, RoundsPlan const& plan,
        std::vector<PlannedPool> const& pools);

  std::vector<StopWork>& stops(std::size_t technician, int day) {
    return days_[static_cast<std::size_t>(day) * technicians_ + technician];
  }
  [[nodiscard]] bool allowed(std::size_t technician, int day) const;
  /// Takes all visits of a pool out.
  void remove(PoolId pool);
  /// Puts all visits of a pool, every `cycle` days, where they cost least together, with one technician. Returns the
  /// money that adds, in planning terms (another than the preferred technician counts), or nothing where no day takes
  /// it.
  std::optional<double> insert(StopWork const& work, int cycle);
  /// Money of the period.
  [[nodiscard]] double cost() const;
  [[nodiscard]] std::vector<Round> rounds() const;

 private:
  struct Choice {
    std::size_t technician = 0;
    std::size_t position = 0;
    double added = 0.0;
  };
  [[nodiscard]] std::vector<StopWork> const& stops(std::size_t technician, int day) const {
    return days_[static_cast<std::size_t>(day) * technicians_ + technician];
  }
  std::optional<Choice> cheapest_position(std::size_t technician, int day, StopWork const& work);

  Scenario const* scenario_;
  RoundClock clock_;
  int period_days_;
  std::size_t technicians_;
  std::vector<std::vector<StopWork>> days_;  // [day][technician]
  std::vector<StopWork> trial_;
};

}  // namespace brinecast::sim
