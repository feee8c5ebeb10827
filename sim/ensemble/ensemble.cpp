#include "sim/ensemble/ensemble.hpp"

#include <tbb/global_control.h>
#include <tbb/parallel_for.h>
#include <tbb/task_arena.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <map>
#include <mutex>
#include <thread>

#include "sim/ensemble/season_task.hpp"

namespace brinecast::sim {

namespace {

/// Weather of the replicates in work: made by the first task that needs it, dropped after the last.
class WeatherCache {
 public:
  WeatherCache(Prepared const& prepared, std::vector<TaskId> const& wanted) : prepared_(prepared) {
    for (TaskId const& task : wanted) ++slots_[task.replicate].users;
  }

  SeasonWeather const& get(std::uint32_t replicate) {
    Slot& slot = slots_.at(replicate);
    std::call_once(slot.once,
                   [&] { slot.weather = season_weather(*prepared_.weather, prepared_.scenario, replicate); });
    return slot.weather;
  }

  void release(std::uint32_t replicate) {
    Slot& slot = slots_.at(replicate);
    if (--slot.users == 0) slot.weather = {};
  }

 private:
  struct Slot {
    std::once_flag once;
    SeasonWeather weather;
    std::atomic<int> users = 0;
  };
  Prepared const& prepared_;
  std::map<std::uint32_t, Slot> slots_;  // filled by the constructor alone
};

}  // namespace

TaskResult simulate(Prepared const& prepared, TaskId task, std::function<bool()> const& cancelled) {
  SeasonWeather const weather = season_weather(*prepared.weather, prepared.scenario, task.replicate);
  SeasonTask season(prepared, task, weather);
  if (!season.run(cancelled, false)) return {};
  return season.take_result();
}

EnsembleOutcome run_ensemble(Prepared const& prepared, std::vector<TaskId> const& wanted, TaskSink& sink,
                             EnsembleOptions const& options) {
  using Clock = std::chrono::steady_clock;
  auto const started = Clock::now();
  int const threads = options.threads > 0 ? options.threads : tbb::this_task_arena::max_concurrency();
  WeatherCache weather(prepared, wanted);
  EnsembleOutcome outcome;
  Progress progress{.tasks_done = 0, .tasks_total = wanted.size(), .elapsed_s = 0.0, .pool_hours = 0.0};
  double kernel_s = 0.0, dispatch_s = 0.0, total_s = 0.0;
  std::mutex sink_mutex;
  std::atomic<std::size_t> next = 0;
  std::atomic<bool> stop = false;
  auto const should_stop = [&] { return stop || (options.cancelled && options.cancelled()); };
  // Where there are fewer tasks than threads, the blocks of a task share what is left over.
  bool const parallel_blocks = wanted.size() < static_cast<std::size_t>(threads);

  auto const work = [&] {
    while (!should_stop()) {
      std::size_t const number = next++;
      if (number >= wanted.size()) return;
      TaskId const task = wanted[number];
      SeasonTask season(prepared, task, weather.get(task.replicate));
      bool const finished = season.run(should_stop, parallel_blocks);
      weather.release(task.replicate);
      if (!finished) return;
      TaskResult const result = season.take_result();
      std::lock_guard const lock(sink_mutex);
      sink.accept(result);
      kernel_s += result.kernel_s;
      dispatch_s += result.dispatch_s;
      total_s += result.total_s;
      outcome.largest_book_error = std::max(outcome.largest_book_error, result.book_errors.largest());
      ++progress.tasks_done;
      progress.pool_hours += result.simulated_pool_hours;
      progress.elapsed_s = std::chrono::duration<double>(Clock::now() - started).count();
      if (options.progress) options.progress(progress);
    }
  };
  tbb::global_control const limit(tbb::global_control::max_allowed_parallelism, static_cast<std::size_t>(threads));
  tbb::task_arena arena(threads);
  std::size_t const workers = std::min(static_cast<std::size_t>(threads), wanted.size());
  arena.execute([&] {
    try {
      tbb::parallel_for(std::size_t{0}, workers, [&](std::size_t) { work(); });
    } catch (...) {
      stop = true;
      throw;
    }
  });
  outcome.complete = progress.tasks_done == wanted.size();
  if (progress.pool_hours > 0.0) {
    outcome.nanoseconds_per_pool_hour = 1e9 * total_s / progress.pool_hours;
    outcome.kernel_nanoseconds_per_pool_hour = 1e9 * kernel_s / progress.pool_hours;
    outcome.dispatch_share = total_s > 0.0 ? dispatch_s / total_s : 0.0;
  }
  return outcome;
}

}  // namespace brinecast::sim
