#pragma once
// The tasks of a run: not begun, in work, done.

#include <chrono>
#include <cstddef>
#include <map>
#include <mutex>
#include <optional>
#include <utility>
#include <vector>

#include "sim/ensemble/ensemble.hpp"

namespace brinecast::sim {

/// Hands out tasks to the threads of this process and to other ranks. All members may be called from any thread.
class TaskBoard {
 public:
  explicit TaskBoard(std::vector<TaskId> wanted);

  /// A task that nobody works on, for `rank` to do; nothing when none is left.
  std::optional<TaskId> take(int rank);
  /// A task that another rank has held for much longer than any task took, for rank 0 to do as well: its holder may
  /// have died. Whoever finishes first counts; the results are the same.
  std::optional<TaskId> take_overdue();
  /// Notes a task as done. False when it was done before.
  bool finish(TaskId task);
  /// A rank has left: what it held is to be done by others.
  void release(int rank);

  [[nodiscard]] bool all_done() const;

 private:
  using Clock = std::chrono::steady_clock;
  struct Work {
    int rank = 0;
    Clock::time_point since;
  };
  [[nodiscard]] TaskId hand_out(std::size_t number, int rank);

  mutable std::mutex mutex_;
  std::vector<TaskId> wanted_;
  std::map<std::pair<std::size_t, std::uint32_t>, std::size_t> number_of_;  // in `wanted_`, by policy and replicate
  std::vector<bool> done_;
  std::size_t next_ = 0;
  std::vector<std::size_t> released_;
  std::map<std::size_t, Work> in_work_;  // by number in `wanted_`
  std::size_t finished_ = 0;
  Clock::duration longest_{};
};

}  // namespace brinecast::sim
