#pragma once
// All replicates of all policies on the same weather, on every core.

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "sim/ensemble/tallies.hpp"
#include "sim/rounds/plan.hpp"
#include "sim/rounds/travel.hpp"
#include "sim/scenario/problems.hpp"
#include "sim/scenario/scenario.hpp"
#include "sim/weather/weather.hpp"

namespace brinecast::sim {

/// All that tasks share: read once, then only looked at.
struct Prepared {
  Scenario scenario;
  std::unique_ptr<WeatherSource> weather;
  TravelTable travel;
  std::vector<RoundsPlan> plans;  // [policy]
};

struct TaskId {
  std::size_t policy = 0;
  std::uint32_t replicate = 0;
};

/// Takes finished tasks as they come, from one thread at a time, in any order.
class TaskSink {
 public:
  virtual ~TaskSink() = default;
  virtual void accept(TaskResult const& result) = 0;
};

struct Progress {
  std::size_t tasks_done = 0;
  std::size_t tasks_total = 0;
  double elapsed_s = 0.0;
  double pool_hours = 0.0;
};

struct EnsembleOptions {
  int threads = 0;  // 0: all cores
  std::function<void(Progress const&)> progress;
  std::function<bool()> cancelled;  // asked between days
};

struct EnsembleOutcome {
  bool complete = false;
  double nanoseconds_per_pool_hour = 0.0;  // per core, whole tasks
  double kernel_nanoseconds_per_pool_hour = 0.0;
  double dispatch_share = 0.0;
  double largest_book_error = 0.0;
};

/// What the planning of rounds knows of every pool under a policy: interval, usual work and load.
std::vector<PlannedPool> planned_pools(Scenario const& scenario, PolicySpec const& policy);

/// Reads weather and roads and plans the rounds. Faults go to `problems`.
std::unique_ptr<Prepared> prepare(Scenario scenario, Problems& problems);

/// One season of one policy: a pure function of its arguments.
TaskResult simulate(Prepared const& prepared, TaskId task, std::function<bool()> const& cancelled = {});

/// Runs the tasks that `wanted` lists and hands each result to the sink. Results do not depend on threads or order.
EnsembleOutcome run_ensemble(Prepared const& prepared, std::vector<TaskId> const& wanted, TaskSink& sink,
                             EnsembleOptions const& options);

}  // namespace brinecast::sim
