#pragma once
// A simulated day's rounds: planned stops, inserted call-outs, minus what does not fit.

#include <cstdint>
#include <span>
#include <vector>

#include "sim/rounds/plan.hpp"
#include "sim/rounds/travel.hpp"

namespace brinecast::sim {

/// A visit wanted today.
struct WantedVisit {
  PoolId pool{};
  double service_s = 1800.0;
  double supplies_kg = 5.0;
  double days_late = 0.0;    // beyond its due day; more is more urgent
  bool call_out = false;
  TechnicianId planned_technician{};  // whom the plan gives this pool to
  int planned_position = 0;           // its place in that technician's planned order
};

struct DayRounds {
  std::vector<Round> rounds;          // one for each technician that leaves, by technician
  std::vector<PoolId> not_served;     // by pool
};

/// Builds the day: keeps planned orders, inserts the rest where it costs least, drops the least urgent where a shift
/// (with its overtime limit), gate hours, skills or the van's payload do not allow it. Deterministic; holds scratch
/// memory so that a season allocates little.
class Dispatcher {
 public:
  Dispatcher(Scenario const& scenario, TravelTable const& travel);
  DayRounds dispatch(std::span<WantedVisit const> wanted);

 private:
  Scenario const* scenario_;
  TravelTable const* travel_;
};

}  // namespace brinecast::sim
