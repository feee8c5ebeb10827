#include "sim/ensemble/task_board.hpp"

#include <algorithm>

namespace brinecast::sim {

namespace {

constexpr int patience_in_longest_tasks = 3;
constexpr std::chrono::seconds least_patience{2};

}  // namespace

TaskBoard::TaskBoard(std::vector<TaskId> wanted) : wanted_(std::move(wanted)), done_(wanted_.size(), false) {
  for (std::size_t number = 0; number < wanted_.size(); ++number) {
    number_of_[{wanted_[number].policy, wanted_[number].replicate}] = number;
  }
}

TaskId TaskBoard::hand_out(std::size_t number, int rank) {
  in_work_[number] = {.rank = rank, .since = Clock::now()};
  return wanted_[number];
}

std::optional<TaskId> TaskBoard::take(int rank) {
  std::lock_guard const lock(mutex_);
  while (!released_.empty()) {
    std::size_t const number = released_.back();
    released_.pop_back();
    if (!done_[number]) return hand_out(number, rank);
  }
  if (next_ == wanted_.size()) return {};
  return hand_out(next_++, rank);
}

std::optional<TaskId> TaskBoard::take_overdue() {
  std::lock_guard const lock(mutex_);
  auto const patience = std::max<Clock::duration>(patience_in_longest_tasks * longest_, least_patience);
  for (auto const& [number, work] : in_work_) {
    if (work.rank != 0 && Clock::now() - work.since > patience) return hand_out(number, 0);
  }
  return {};
}

bool TaskBoard::finish(TaskId task) {
  std::lock_guard const lock(mutex_);
  auto const found = number_of_.find({task.policy, task.replicate});
  if (found == number_of_.end()) return false;
  std::size_t const number = found->second;
  if (done_[number]) return false;
  if (auto const work = in_work_.find(number); work != in_work_.end()) {
    longest_ = std::max(longest_, Clock::now() - work->second.since);
    in_work_.erase(work);
  }
  done_[number] = true;
  ++finished_;
  return true;
}

void TaskBoard::release(int rank) {
  std::lock_guard const lock(mutex_);
  for (auto work = in_work_.begin(); work != in_work_.end();) {
    if (work->second.rank == rank) {
      released_.push_back(work->first);
      work = in_work_.erase(work);
    } else {
      ++work;
    }
  }
}

bool TaskBoard::all_done() const {
  std::lock_guard const lock(mutex_);
  return finished_ == wanted_.size();
}

}  // namespace brinecast::sim
