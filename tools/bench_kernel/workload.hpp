#pragma once
// Pools and weather for measuring the hourly kernel and for holding other forms of its equations against it.

#include <filesystem>
#include <iosfwd>
#include <optional>
#include <vector>

#include "sim/fleet/advance.hpp"
#include "sim/fleet/fleet.hpp"
#include "sim/scenario/problems.hpp"

namespace brinecast::tools {

/// What to make of a scenario.
struct WorkloadSpec {
  std::filesystem::path scenario;
  std::size_t pools = 1024;  // the scenario's list, repeated or cut
  int first_day = 90;        // of the season: the first day that is simulated
  int days = 30;
  double warming_K = 0.0;  // on top of the scenario's weather
};

/// A fleet in its starting water, one day's bathers, debris and bubbles, and the weather of the days to come.
struct Workload {
  sim::KernelSettings settings;
  sim::Fleet fleet;
  std::vector<sim::HourForcing> hours;  // [hour]
};

/// Faults of the scenario or its files go to `problems`.
std::optional<Workload> make_workload(WorkloadSpec const& spec, sim::Problems& problems);

/// Runs all hours, a day of a block at a time as a season does.
void advance_days(std::vector<sim::PoolBlock>& blocks, std::vector<sim::HourForcing> const& hours,
                  sim::KernelSettings const& settings, sim::AdvanceBlock advance);

/// One JSON object for programs in other languages: `parameters`, `bands`, `settings`, `cyanurates` (name: value),
/// `hours` (name: [hour]), `before` and `after` (group: name: [pool]); `after` is the work of the scalar reference.
void write_case(std::ostream& out, Workload const& workload);

}  // namespace brinecast::tools
