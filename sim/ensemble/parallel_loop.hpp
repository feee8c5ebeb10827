#pragma once
// Loops over the threads of this process.

#include <cstddef>
#include <functional>

namespace brinecast::sim {

using LoopBody = std::function<void(std::size_t)>;

/// Calls `body(i)` for i = 0 .. `count` - 1 on the threads of the crowd that it is called in, else on one for each
/// core, in any order. All before the loop is seen by its turns, and theirs by all after it. What a turn throws ends
/// the loop and is thrown here.
void parallel_loop(std::size_t count, LoopBody const& body);

/// The same for i = 0 .. `threads` - 1 in a crowd of so many threads. A thread whose turn has ended helps with the
/// loops that other turns begin.
void run_on_threads(int threads, LoopBody const& body);

/// How many threads a loop takes here.
int threads_at_hand();

}  // namespace brinecast::sim
