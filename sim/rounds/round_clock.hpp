#pragma once
// Walks a technician's day through a list of stops. The one place that knows gate hours, breaks, restocking, overtime
// and what a day costs; planning, dispatch and the exports all ask it.

#include <cstdint>
#include <span>
#include <vector>

#include "sim/rounds/plan.hpp"
#include "sim/rounds/travel.hpp"
#include "sim/scenario/limits.hpp"

namespace brinecast::sim {

/// Work at one pool on one day, whole seconds with the overhead of the stop.
struct StopWork {
  PoolId pool{};
  std::int32_t service_s = 0;
  float supplies_kg = 0.0F;
};

/// What a day comes to.
struct DayFigures {
  std::int32_t leave_start_s = 0;  // seconds after midnight
  std::int32_t reach_end_s = 0;
  std::int32_t driving_s = 0;
  std::int32_t driving_m = 0;
  std::int32_t waiting_s = 0;   // for gates
  std::int32_t break_s = 0;     // taken
  std::int32_t overtime_s = 0;  // from leaving to reaching the end, beyond the shift's length
  std::int32_t late_stops = 0;  // reached after the gate has closed
  float load_kg = 0.0F;
  std::int32_t restocked = 0;  // times the van went back to its start for supplies
  bool within_shift = true;    // ends within the overtime limit
  bool loads_fit = true;       // no stop needs more than the van can carry
  [[nodiscard]] bool allowed() const { return within_shift && loads_fit && late_stops == 0; }
};

/// Rules of a day:
/// - It begins with the shift, or later when the first gate would still be closed.
/// - A stop starts when the van is there and the gate is open; arriving after the gate has closed is not allowed.
/// - The break falls before the first stop that would start in the second half of the shift (waiting there counts into
///   it), or before the drive to the end; a day that ends in the first half has none.
/// - A van that lacks supplies for the next stop first goes back to its start and loads again.
/// - Wages are paid from leaving to reaching the end, without the break, with a surcharge beyond the shift's length.
class RoundClock {
 public:
  RoundClock(Scenario const& scenario, TravelTable const& travel);

  [[nodiscard]] DayFigures figures(TechnicianId technician, std::span<StopWork const> stops) const {
    return walk(technician, stops, nullptr);
  }
  [[nodiscard]] Round timed_round(TechnicianId technician, int day, std::span<StopWork const> stops) const;
  /// Money for the day.
  [[nodiscard]] double cost(DayFigures const& day) const {
    return wage_per_s_ * (static_cast<double>(day.reach_end_s - day.leave_start_s - day.break_s) +
                          overtime_surcharge_ * day.overtime_s) +
           driving_per_m_ * day.driving_m;
  }
  /// Money for the same work without looking at gates, breaks or limits: what an insertion adds at least.
  [[nodiscard]] double drive_cost(Drive drive) const {
    return wage_per_s_ * drive.seconds + driving_per_m_ * drive.metres;
  }
  [[nodiscard]] double wage_per_s() const { return wage_per_s_; }
  [[nodiscard]] double driving_per_m() const { return driving_per_m_; }
  [[nodiscard]] bool has_skill(TechnicianId technician, PoolId pool) const {
    std::uint32_t const skill = pools_[index_of(pool)].skill;
    return skill == 0 || (technicians_[index_of(technician)].skills >> (skill - 1) & 1U) != 0;
  }
  [[nodiscard]] std::int32_t latest_end_s(TechnicianId technician) const {
    return technicians_[index_of(technician)].latest_end_s;
  }
  [[nodiscard]] std::size_t start_place(TechnicianId technician) const { return pools_.size() + index_of(technician); }
  [[nodiscard]] std::size_t end_place(TechnicianId technician) const {
    return pools_.size() + technicians_.size() + index_of(technician);
  }

 private:
  struct PoolRules {
    std::int32_t opens_s, closes_s;
    std::uint32_t skill;  // 0 none, else 1 + bit
  };
  struct TechnicianRules {
    std::int32_t shift_start_s, half_shift_s, shift_length_s, latest_end_s, break_s;
    float payload_kg;
    std::uint64_t skills;
  };
  DayFigures walk(TechnicianId technician, std::span<StopWork const> stops, std::vector<PlannedStop>* times) const;

  TravelTable const* travel_;
  std::vector<PoolRules> pools_;
  std::vector<TechnicianRules> technicians_;
  double wage_per_s_, overtime_surcharge_, driving_per_m_;
  std::int32_t restocking_s_;
};

}  // namespace brinecast::sim
