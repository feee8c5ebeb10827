#pragma once
// What a run will take of the machine, known before it starts, and what would fit where it is too much.

#include <cstdint>
#include <string>

#include "sim/scenario/scenario.hpp"

namespace brinecast::results {

/// What the size of a run depends on.
struct RunShape {
  double pools = 0.0;
  double technicians = 0.0;
  double sites = 0.0;
  double days = 0.0;
  double policies = 0.0;
  double replicates = 0.0;
  double trace_pools = 0.0;
  double threads = 1.0;
  double visits_of_a_season = 0.0;  // mean over the policies, as their rules usually make them
  double weather_file_bytes = 0.0;  // of a record that is held while the run goes on
  bool on_roads = false;
};

RunShape shape_of(sim::Scenario const& scenario, int threads);

struct RunSize {
  double memory_bytes = 0.0;  // of the whole process at its peak
  double disk_bytes = 0.0;    // journal and result file, which lie side by side at the run's end
  double visits = 0.0;        // in the log
};

/// The estimate. True sizes lie within a factor of `size_accuracy` of it, either way.
RunSize size_of(RunShape const& shape);
inline constexpr double size_accuracy = 2.0;

/// What the process may still take.
struct Room {
  double memory_bytes = 0.0;  // what it has already included
  std::string memory_bound;   // what bounds it, for the user
  double disk_bytes = 0.0;
};

/// Why a run does not fit the limits of the log or the room, and what would fit, in one line; "" when it fits.
std::string fault_of_size(RunShape const& shape, Room const& room);

/// "1.2 GB", "35 MB".
std::string bytes_text(double bytes);

}  // namespace brinecast::results
