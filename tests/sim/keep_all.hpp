#pragma once
// A sink that keeps the whole result of every task.

#include <map>
#include <memory>
#include <mutex>
#include <utility>

#include "sim/ensemble/ensemble.hpp"

namespace brinecast::sim {

class KeepAll final : public TaskSink {
 public:
  using Results = std::map<std::pair<std::uint32_t, std::size_t>, TaskResult>;  // by replicate and policy

  void accept(TaskResult const& result) override {
    std::lock_guard const lock(*mutex_);
    results_[{result.replicate, result.policy}] = result;
  }
  [[nodiscard]] TaskResult const& at(std::size_t policy, std::uint32_t replicate) const {
    return results_.at({replicate, policy});
  }
  [[nodiscard]] std::size_t size() const { return results_.size(); }
  [[nodiscard]] Results const& results() const { return results_; }

 private:
  std::unique_ptr<std::mutex> mutex_ = std::make_unique<std::mutex>();  // held by pointer, so that the sink can move
  Results results_;
};

}  // namespace brinecast::sim
