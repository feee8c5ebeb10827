#pragma once
// A simulated day's rounds: planned stops, inserted call-outs, minus what does not fit.

#include <cstdint>
#include <span>
#include <vector>

#include "sim/rounds/plan.hpp"
#include "sim/rounds/round_clock.hpp"
#include "sim/rounds/travel.hpp"

namespace brinecast::sim {

/// A visit wanted today.
struct WantedVisit {
  PoolId pool{};
  double service_s = 1800.0;  // work with the overhead of the stop
  double supplies_kg = 5.0;
  double days_late = 0.0;  // beyond its due day; more is more urgent
  bool call_out = false;
  TechnicianId planned_technician{};  // whom the plan gives this pool to
  int planned_position = 0;           // its place in that technician's planned order
};

struct DayRounds {
  std::vector<Round> rounds;       // one for each technician that leaves, by technician
  std::vector<PoolId> not_served;  // by pool
};

/// Builds the day, deterministically:
/// 1. Every technician takes the planned visits in their planned order. Where the day would not be allowed (shift with
///    its overtime limit, gates, payload), the least urgent visits leave it: the one least late, of those equally late
///    the one that saves most.
/// 2. These and the call-outs are then put, the most urgent first, where they cost least and every rule still holds,
///    with any technician who has the skill. Call-outs come before planned visits that are equally late.
/// 3. A call-out that has waited as long as the scenario allows may push planned visits off the day.
/// A pool wanted twice is visited once. Holds scratch memory, so that a season allocates little; one for each thread.
class Dispatcher {
 public:
  Dispatcher(Scenario const& scenario, TravelTable const& travel);
  DayRounds dispatch(std::span<WantedVisit const> wanted);

 private:
  /// A technician's day while it is built.
  struct Day {
    std::vector<StopWork> stops;
    std::vector<std::uint32_t> visits;  // index into the wanted visits, one for each stop
    std::vector<Drive> drives;          // to each stop, and to the end
    DayFigures figures;
    double cost = 0.0;
  };
  struct Place {
    std::size_t technician = 0;
    std::size_t position = 0;
    double added_cost = 0.0;
    bool found = false;
  };

  [[nodiscard]] StopWork work_of(WantedVisit const& visit) const;
  void refresh(std::size_t technician);
  void trim(std::size_t technician, std::span<WantedVisit const> wanted);
  void put(Place const& place, std::uint32_t visit, StopWork const& work);
  [[nodiscard]] Place cheapest_place(StopWork const& work);
  bool push_others_off(std::uint32_t visit, std::span<WantedVisit const> wanted);

  Scenario const* scenario_;
  TravelTable const* travel_;
  RoundClock clock_;
  std::vector<Day> days_;  // by technician
  std::vector<StopWork> trial_;
  std::vector<std::uint32_t> order_, waiting_, still_waiting_;
  std::vector<char> seen_;  // by pool
  std::vector<std::pair<double, std::uint32_t>> positions_;
};

}  // namespace brinecast::sim
