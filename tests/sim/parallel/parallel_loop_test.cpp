#include "sim/parallel/parallel_loop.hpp"

#include <atomic>
#include <catch2/catch.hpp>
#include <mutex>
#include <new>
#include <set>
#include <thread>
#include <vector>

using namespace brinecast::sim;

TEST_CASE("a loop takes every turn once, on no more threads than it may", "[sim][parallel][unit]") {
  for (int const threads : {1, 2, 5}) {
    std::vector<std::atomic<int>> turns(1000);
    std::mutex mutex;
    std::set<std::thread::id> seen;
    LoopThreads(threads).run(1, [&](std::size_t) {
      CHECK(threads_at_hand() == threads);
      parallel_loop(turns.size(), [&](std::size_t i) {
        ++turns[i];
        std::lock_guard const lock(mutex);
        seen.insert(std::this_thread::get_id());
      });
    });
    for (auto const& turn : turns) REQUIRE(turn == 1);
    CHECK(seen.size() <= static_cast<std::size_t>(threads));
  }
  parallel_loop(0, [](std::size_t) { FAIL("a turn of no loop"); });
}

TEST_CASE("what a turn throws, on whichever thread, is thrown by the loop", "[sim][parallel][unit]") {
  auto const fails = [](std::size_t i) {
    if (i % 7 == 3) throw std::bad_alloc();
  };
  CHECK_THROWS_AS(parallel_loop(1000, fails), std::bad_alloc);
  CHECK_THROWS_AS(LoopThreads(3).run(1000, fails), std::bad_alloc);
  // Through a loop within a loop as well.
  CHECK_THROWS_AS(LoopThreads(2).run(2, [&](std::size_t) { parallel_loop(1000, fails); }), std::bad_alloc);
}
