#pragma once
// Loops over the threads of this process.

#include <cstddef>
#include <functional>
#include <memory>

namespace brinecast::sim {

using LoopBody = std::function<void(std::size_t)>;

/// Calls `body(i)` for i = 0 .. `count` - 1 in any order, on the threads of the turn of `LoopThreads` that it is called
/// in, else on one for each core. All before the loop is seen by its turns, and theirs by all after it. What a turn
/// throws ends the loop and is thrown here.
void parallel_loop(std::size_t count, LoopBody const& body);

/// A number of threads of which each turn of a loop takes one, be it short or as long as all the work. A thread without
/// a turn helps with the parallel loops that other turns begin.
class LoopThreads {
 public:
  explicit LoopThreads(int threads);
  LoopThreads(LoopThreads const&) = delete;
  LoopThreads& operator=(LoopThreads const&) = delete;
  ~LoopThreads();
  /// As `parallel_loop`.
  void run(std::size_t count, LoopBody const& body);

 private:
  struct Arena;
  std::unique_ptr<Arena> arena_;
};

/// How many threads a loop takes here.
int threads_at_hand();

}  // namespace brinecast::sim
