#pragma once
// Valid runs and task results of any size, drawn from counter-based random numbers: what a simulation would hand on,
// without a simulation.

#include <memory>

#include "results/run_description.hpp"
#include "sim/ensemble/tallies.hpp"

namespace brinecast::tests {

struct RunSize {
  std::size_t policies = 3, pools = 24, technicians = 2, traces = 1;
  std::uint32_t replicates = 6;
  int days = 45;
  std::uint64_t seed = 7;
};

results::RunDescription made_up_run(RunSize const& size);

/// A pure function of the run's seed, the replicate and the policy. Policy 0 visits every 7 days, 1 every 10, 2 every
/// 14; fewer visits keep the water in range for less of the time, and cost less.
sim::TaskResult made_up_result(results::RunDescription const& run, std::size_t policy, std::uint32_t replicate);

}  // namespace brinecast::tests
