#pragma once
// All replicates of all policies on the same weather, on every core.

#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "sim/ensemble/ranks.hpp"
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

/// Takes finished tasks as they come, in any order, each from the thread that finished it: several may call at once.
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

/// Threads that a run uses.
int threads_of(EnsembleOptions const& options);
/// How many of `wanted` threads the system lets this process start at once; what its libraries would do with fewer than
/// they count on is to end it.
int startable_threads(int wanted);

struct EnsembleOutcome {
  bool complete = false;
  double nanoseconds_per_pool_hour = 0.0;  // per core, whole tasks
  double kernel_nanoseconds_per_pool_hour = 0.0;
  double dispatch_share = 0.0;
  double largest_book_error = 0.0;
  std::vector<std::string> rank_faults;  // "rank 3: why it left"; the tasks it was at were done by others
  bool all_ranks_left = true;            // false: some died, and MPI would wait for them at its end
};

/// What the planning of rounds knows of every pool under a policy: interval, usual work and load.
std::vector<PlannedPool> planned_pools(Scenario const& scenario, PolicySpec const& policy);

/// Collective: whether no rank has problems. Those of another rank are told to the leading one.
bool agree(Problems& problems, Ranks& ranks);

/// Reads weather and roads and plans the rounds on `options.threads`; collective, the ranks share the planning. Faults,
/// of any rank, go to `problems` and leave nothing.
std::unique_ptr<Prepared> prepare(Scenario scenario, Problems& problems, EnsembleOptions const& options, Ranks& ranks);
/// The same in one process, on all cores.
std::unique_ptr<Prepared> prepare(Scenario scenario, Problems& problems);

/// One season of one policy: a pure function of its arguments.
TaskResult simulate(Prepared const& prepared, TaskId task, std::function<bool()> const& cancelled = {});

/// A task's result as bytes and back, for the way between ranks.
struct TaskCodec {
  std::function<std::string(TaskResult const&)> encode;
  std::function<TaskResult(std::string_view)> decode;
};

/// Runs the tasks that `wanted` lists and hands each result to the sink; for the leading rank, which gives the others
/// their share of the tasks. Results do not depend on threads, ranks or order. A rank that dies loses the tasks it was
/// at, which are then done here.
EnsembleOutcome run_ensemble(Prepared const& prepared, std::vector<TaskId> const& wanted, TaskSink& sink,
                             EnsembleOptions const& options, Ranks& ranks, TaskCodec const& codec);
/// The same in one process.
EnsembleOutcome run_ensemble(Prepared const& prepared, std::vector<TaskId> const& wanted, TaskSink& sink,
                             EnsembleOptions const& options);

/// The other ranks' part of `run_ensemble`: does tasks until the leading rank has no more.
void follow_ensemble(Prepared const& prepared, EnsembleOptions const& options, Ranks& ranks, TaskCodec const& codec);

}  // namespace brinecast::sim
