#pragma once
// Parts of a fleet that are planned on their own.

#include <cstddef>
#include <set>
#include <string>
#include <vector>

#include "sim/rounds/period.hpp"
#include "sim/rounds/plan.hpp"

namespace brinecast::sim {

/// Technicians and the pools they are to serve.
struct District {
  std::vector<std::size_t> technicians;
  std::vector<std::size_t> pools;  // index into the planned pools, rising
};

/// Limits of a district. One that is smaller in visits is searched thoroughly; one with fewer technicians leaves them
/// too little to exchange.
struct DistrictLimits {
  std::size_t visits = 1000;    // in the period; split beyond
  std::size_t technicians = 3;  // not split below
  std::size_t pools = 3000;     // beyond: the farthest are left to insertion, so that memory stays bounded
};

/// Splits the fleet in two, again and again: technicians by where they start, pools along the same axis so that each
/// side gets work in proportion to its shifts. Pools follow their preferred technician, and skills that one side lacks.
std::vector<District> districts_of(Scenario const& scenario, std::vector<PlannedPool> const& pools,
                                   Period const& period, DistrictLimits const& limits);

/// Rounds of one district as the search found them.
struct DistrictRounds {
  struct Day {
    std::size_t technician = 0;
    int day = 0;
    std::vector<std::size_t> pools;  // index into the planned pools, in order
  };
  std::vector<Day> days;
  std::vector<std::size_t> left_out;  // index into the planned pools
};

/// Names that some pool prefers.
std::set<std::string> preferred_technicians(Scenario const& scenario);

/// Visits of a district in the period.
std::size_t visits_in(District const& district, Period const& period);

/// `progress` tells the share of the search that is done and the best cost so far.
DistrictRounds search_district(Scenario const& scenario, TravelTable const& travel,
                               std::vector<PlannedPool> const& pools, Period const& period,
                               std::set<std::string> const& preferred, District const& district, std::uint64_t seed,
                               PlanProgress const& progress);

}  // namespace brinecast::sim
