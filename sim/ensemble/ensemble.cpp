#include "sim/ensemble/ensemble.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstring>
#include <deque>
#include <exception>
#include <latch>
#include <mutex>
#include <optional>
#include <set>
#include <thread>

#include "sim/ensemble/season_task.hpp"
#include "sim/ensemble/task_board.hpp"
#include "sim/parallel/parallel_loop.hpp"

namespace brinecast::sim {

namespace {

using Clock = std::chrono::steady_clock;

/// How long the leading rank waits for the farewell of the others once all tasks are done.
constexpr std::chrono::seconds farewell_patience{5};
/// A leading rank that does not answer for so long has died.
constexpr std::chrono::seconds answer_patience{300};

/// What ranks tell each other. An answer's tag also says for which thread it is.
enum Tag : int { tag_request = 1, tag_farewell = 2, tag_dismissal = 3, tag_answer = 4 };

/// Looks for something that is not there yet. Every look costs a simulating thread time, so pauses grow with the time
/// waited in vain: what comes is found within a hundredth of it.
class Wait {
 public:
  void pause() const {
    std::this_thread::sleep_for(
        std::clamp<Clock::duration>((Clock::now() - since_) / 100, shortest_pause, longest_pause));
  }
  [[nodiscard]] Clock::duration waited() const { return Clock::now() - since_; }

 private:
  static constexpr auto shortest_pause = std::chrono::microseconds(100),
                        longest_pause = std::chrono::microseconds(5000);
  Clock::time_point since_ = Clock::now();
};

/// Weather of the replicates in work, made by the first task that needs it.
class WeatherCache {
 public:
  WeatherCache(Prepared const& prepared, int threads)
      : prepared_(prepared), most_kept_(static_cast<std::size_t>(threads) + 1) {}

  std::shared_ptr<SeasonWeather const> get(std::uint32_t replicate) {
    std::shared_ptr<Slot> const slot = slot_of(replicate);
    std::call_once(slot->once,
                   [&] { slot->weather = season_weather(*prepared_.weather, prepared_.scenario, replicate); });
    return {slot, &slot->weather};
  }

 private:
  struct Slot {
    std::uint32_t replicate = 0;
    std::once_flag once;
    SeasonWeather weather;
  };

  std::shared_ptr<Slot> slot_of(std::uint32_t replicate) {
    std::lock_guard const lock(mutex_);
    auto const known =
        std::find_if(slots_.begin(), slots_.end(), [&](auto const& slot) { return slot->replicate == replicate; });
    if (known != slots_.end()) return *known;
    if (slots_.size() == most_kept_) slots_.pop_front();
    slots_.push_back(std::make_shared<Slot>());
    slots_.back()->replicate = replicate;
    return slots_.back();
  }

  Prepared const& prepared_;
  std::size_t most_kept_;
  std::mutex mutex_;
  std::deque<std::shared_ptr<Slot>> slots_;  // the oldest first
};

/// What the threads of one process need to get their work, and where they leave it.
struct Workplace {
  std::function<std::optional<TaskId>(int thread)> next;
  std::function<void(int thread, TaskResult&& result)> finished;
  std::function<bool()> cancelled;
};

/// Runs tasks on `threads` threads until there are none. Threads that found no task help the others with theirs.
void work_through(Prepared const& prepared, int threads, Workplace const& place) {
  WeatherCache weather(prepared, threads);
  std::atomic<bool> stop = false;
  std::atomic<int> busy = threads;
  auto const should_stop = [&] { return stop || place.cancelled(); };
  auto const work = [&](std::size_t number) {
    int const thread = static_cast<int>(number);
    try {
      while (!should_stop()) {
        std::optional<TaskId> const task = place.next(thread);
        if (!task) break;
        std::shared_ptr<SeasonWeather const> const season_weather = weather.get(task->replicate);
        SeasonTask season(prepared, *task, *season_weather);
        if (!season.run(should_stop, [&] { return busy < threads; })) break;
        place.finished(thread, season.take_result());
      }
    } catch (...) {
      stop = true;
      throw;
    }
    --busy;
  };
  LoopThreads(threads).run(static_cast<std::size_t>(threads), work);
}

/// The leading rank's talk with the others, on a thread of its own: takes their results, gives them tasks.
class TaskServer {
 public:
  TaskServer(Ranks& ranks, TaskBoard& board, std::function<void(std::string_view)> accept,
             std::function<bool()> cancelled)
      : ranks_(ranks), board_(board), accept_(std::move(accept)), cancelled_(std::move(cancelled)) {
    for (int rank = 1; rank < ranks.count(); ++rank) present_.insert(rank);
    thread_ = std::jthread([this] { serve(); });
  }

  TaskServer(TaskServer const&) = delete;
  TaskServer& operator=(TaskServer const&) = delete;
  ~TaskServer() { closing_ = true; }

  /// Waits for the farewell of the other ranks, not for ever, and says which gave none or why they left.
  std::vector<std::string> farewell() {
    closing_ = true;
    thread_.join();
    if (failure_) std::rethrow_exception(failure_);
    for (int const rank : present_) faults_.push_back(fmt::format("rank {}: has died or did not answer in time", rank));
    return faults_;
  }
  [[nodiscard]] bool all_left() const { return present_.empty(); }

  [[nodiscard]] bool failed() const { return failed_; }

 private:
  void serve() {
    hear_ranks();
    // With a rank dead, the common end that MPI asks for would never come: then all leave at once.
    for (int const rank : departed_) ranks_.send(rank, tag_dismissal, all_left() ? "" : "at once");
  }

  void hear_ranks() {
    std::optional<Clock::time_point> closing_since;
    Wait wait;
    while (!present_.empty()) {
      if (closing_ && !closing_since) closing_since = Clock::now();
      if (closing_since && Clock::now() - *closing_since > farewell_patience) return;
      std::optional<Ranks::Message> const message = ranks_.poll(-1);
      if (!message) {
        wait.pause();
        continue;
      }
      wait = Wait();
      if (message->tag == tag_farewell) {
        present_.erase(message->from);
        departed_.push_back(message->from);
        board_.release(message->from);
        if (!message->bytes.empty()) faults_.push_back(fmt::format("rank {}: {}", message->from, message->bytes));
      } else {
        answer(*message);
      }
    }
  }

  void answer(Ranks::Message const& message) {
    int thread = 0;
    std::memcpy(&thread, message.bytes.data(), sizeof(thread));
    std::string_view const result = std::string_view(message.bytes).substr(sizeof(thread));
    try {
      if (!result.empty()) accept_(result);
    } catch (...) {
      failure_ = std::current_exception();
      failed_ = true;
    }
    std::string reply;
    std::optional<TaskId> const task = cancelled_() || closing_ || failed_ ? std::nullopt : board_.take(message.from);
    if (task) reply.assign(reinterpret_cast<char const*>(&*task), sizeof(*task));
    ranks_.send(message.from, tag_answer + thread, reply);
  }

  Ranks& ranks_;
  TaskBoard& board_;
  std::function<void(std::string_view)> accept_;
  std::function<bool()> cancelled_;
  std::set<int> present_;  // ranks that said no farewell yet
  std::vector<int> departed_;
  std::vector<std::string> faults_;
  std::exception_ptr failure_;
  std::atomic<bool> closing_ = false, failed_ = false;
  std::jthread thread_;
};

/// What the leading rank says under this tag. Ends the process when it says nothing for too long.
std::string wait_for(Ranks& ranks, int tag) {
  for (Wait const wait;; wait.pause()) {
    if (auto const message = ranks.poll(tag)) return message->bytes;
    if (wait.waited() > answer_patience) Ranks::leave_at_once(EXIT_FAILURE);
  }
}

}  // namespace

int threads_of(EnsembleOptions const& options) { return options.threads > 0 ? options.threads : threads_at_hand(); }

int startable_threads(int wanted) {
  std::latch all_tried(1);
  std::vector<std::jthread> threads;
  threads.reserve(static_cast<std::size_t>(wanted));
  try {
    while (static_cast<int>(threads.size()) < wanted) threads.emplace_back([&] { all_tried.wait(); });
  } catch (std::exception const&) {  // no more, or no memory for one
  }
  all_tried.count_down();
  return static_cast<int>(threads.size());
}

TaskResult simulate(Prepared const& prepared, TaskId task, std::function<bool()> const& cancelled) {
  SeasonWeather const weather = season_weather(*prepared.weather, prepared.scenario, task.replicate);
  SeasonTask season(prepared, task, weather);
  if (!season.run(cancelled, [] { return false; })) return {};
  return season.take_result();
}

EnsembleOutcome run_ensemble(Prepared const& prepared, std::vector<TaskId> const& wanted, TaskSink& sink,
                             EnsembleOptions const& options, Ranks& ranks, TaskCodec const& codec) {
  auto const started = Clock::now();
  EnsembleOutcome outcome;
  Progress progress{.tasks_done = 0, .tasks_total = wanted.size(), .elapsed_s = 0.0, .pool_hours = 0.0};
  double kernel_s = 0.0, dispatch_s = 0.0, total_s = 0.0;
  TaskBoard board(wanted);
  std::mutex sums_mutex;
  auto const accept = [&](TaskResult const& result) {
    if (!board.finish({result.policy, result.replicate})) return;
    sink.accept(result);
    std::lock_guard const lock(sums_mutex);
    kernel_s += result.kernel_s;
    dispatch_s += result.dispatch_s;
    total_s += result.total_s;
    outcome.largest_book_error = worse_of(outcome.largest_book_error, result.book_errors.largest());
    ++progress.tasks_done;
    progress.pool_hours += result.simulated_pool_hours;
    progress.elapsed_s = std::chrono::duration<double>(Clock::now() - started).count();
    if (options.progress) options.progress(progress);
  };
  auto const cancelled = [&] { return options.cancelled && options.cancelled(); };
  std::optional<TaskServer> server;
  if (ranks.count() > 1) {
    server.emplace(
        ranks, board, [&](std::string_view bytes) { accept(codec.decode(bytes)); }, cancelled);
  }
  work_through(prepared, threads_of(options),
               {.next = [&](int) -> std::optional<TaskId> {
                  // With tasks still out at other ranks, look after those that may have died.
                  for (Wait const wait;; wait.pause()) {
                    if (auto const task = board.take(0)) return task;
                    if (!server || board.all_done() || cancelled() || server->failed()) return {};
                    if (auto const task = board.take_overdue()) return task;
                  }
                },
                .finished = [&](int, TaskResult&& result) { accept(result); },
                .cancelled = [&] { return cancelled() || (server && server->failed()); }});
  if (server) {
    outcome.rank_faults = server->farewell();
    outcome.all_ranks_left = server->all_left();
  }
  outcome.complete = board.all_done();
  if (progress.pool_hours > 0.0) {
    outcome.nanoseconds_per_pool_hour = 1e9 * total_s / progress.pool_hours;
    outcome.kernel_nanoseconds_per_pool_hour = 1e9 * kernel_s / progress.pool_hours;
    outcome.dispatch_share = total_s > 0.0 ? dispatch_s / total_s : 0.0;
  }
  return outcome;
}

EnsembleOutcome run_ensemble(Prepared const& prepared, std::vector<TaskId> const& wanted, TaskSink& sink,
                             EnsembleOptions const& options) {
  Ranks alone;
  return run_ensemble(prepared, wanted, sink, options, alone, {});
}

void follow_ensemble(Prepared const& prepared, EnsembleOptions const& options, Ranks& ranks, TaskCodec const& codec) {
  int const threads = threads_of(options);
  std::vector<std::string> finished(static_cast<std::size_t>(threads));  // [thread] result not handed on yet
  auto const next = [&](int thread) -> std::optional<TaskId> {
    std::string request(reinterpret_cast<char const*>(&thread), sizeof(thread));
    request += std::exchange(finished[static_cast<std::size_t>(thread)], {});
    ranks.send(0, tag_request, request);
    std::string const answer = wait_for(ranks, tag_answer + thread);
    if (answer.empty()) return {};
    TaskId task;
    std::memcpy(&task, answer.data(), sizeof(task));
    return task;
  };
  try {
    work_through(
        prepared, threads,
        {.next = next,
         .finished = [&](int thread,
                         TaskResult&& result) { finished[static_cast<std::size_t>(thread)] = codec.encode(result); },
         .cancelled = [&] { return options.cancelled && options.cancelled(); }});
    // What was finished when the run was stopped is not lost.
    for (int thread = 0; thread < threads; ++thread) {
      if (!finished[static_cast<std::size_t>(thread)].empty()) (void)next(thread);
    }
    ranks.send(0, tag_farewell, {});
  } catch (std::exception const& error) {
    ranks.send(0, tag_farewell, error.what());
  }
  if (!wait_for(ranks, tag_dismissal).empty()) Ranks::leave_at_once(EXIT_SUCCESS);
}

}  // namespace brinecast::sim
