#pragma once
// A visit's two meetings with the water: what is really there, and what the technician's work does to it.

#include "sim/fleet/fleet.hpp"
#include "sim/policy/policy.hpp"

namespace brinecast::sim {

/// Algae at which the water looks cloudy, and at which anybody sees them.
inline constexpr double cloudy_algae = 1.0;
inline constexpr double visible_algae = 2.0;

/// The truth about one pool, for the tests. `cell_age_h` are the operating hours of the cell in place at season start,
/// or minus those it had when it was installed.
TrueWater true_water(PoolBlock const& block, std::size_t lane, double cell_age_h, models::Parameters const& parameters);

PoolSight sight_of(PoolBlock const& block, std::size_t lane);

/// Does the work: water out and in, doses, cell, settings; every change on its line of the books. Returns the fill
/// water used, m3. A replaced cell is installed by the caller, who draws its life.
double apply_actions(PoolBlock& block, std::size_t lane, VisitActions const& actions, KernelSettings const& settings);

/// Fills up to the normal level; returns the fill water used, m3.
double refill_to_normal(PoolBlock& block, std::size_t lane);

}  // namespace brinecast::sim
