// The only file that includes oneTBB. Debian's libtbb is not built for the thread sanitizer, nor therefore may be the
// half of oneTBB that its headers bring along: this file is always compiled without.

#include "sim/parallel/parallel_loop.hpp"

#include <tbb/global_control.h>
#include <tbb/parallel_for.h>
#include <tbb/task_arena.h>

#ifdef BRINECAST_THREAD_SANITIZER
#include <sanitizer/tsan_interface.h>
#endif

namespace brinecast::sim {

namespace {

#ifdef BRINECAST_THREAD_SANITIZER

/// Tells the thread sanitizer, which cannot see into oneTBB, the order that a loop promises and no more: turns stay
/// unordered among themselves, so that races between them are found.
class LoopOrder {
 public:
  LoopOrder() { __tsan_release(&before_); }
  LoopOrder(LoopOrder const&) = delete;
  LoopOrder& operator=(LoopOrder const&) = delete;
  ~LoopOrder() { __tsan_acquire(&after_); }

  class Turn {
   public:
    explicit Turn(LoopOrder& order) : order_(order) { __tsan_acquire(&order_.before_); }
    Turn(Turn const&) = delete;
    Turn& operator=(Turn const&) = delete;
    ~Turn() { __tsan_release(&order_.after_); }

   private:
    LoopOrder& order_;
  };

 private:
  char before_ = 0, after_ = 0;  // only their addresses count
};

#else

struct LoopOrder {
  struct Turn {
    explicit Turn(LoopOrder const&) {}
  };
};

#endif

template <class Partitioner>
void loop(std::size_t count, LoopBody const& body, Partitioner const& partitioner) {
  LoopOrder order;
  auto const turn = [&](std::size_t i) {
    [[maybe_unused]] LoopOrder::Turn const in_order(order);
    body(i);
  };
  tbb::parallel_for(std::size_t{0}, count, turn, partitioner);
}

}  // namespace

void parallel_loop(std::size_t count, LoopBody const& body) { loop(count, body, tbb::auto_partitioner()); }

struct LoopThreads::Arena {
  explicit Arena(int threads)
      : most(tbb::global_control::max_allowed_parallelism, static_cast<std::size_t>(threads)), arena(threads) {}
  tbb::global_control most;  // an arena alone gets no more threads than the machine has cores
  tbb::task_arena arena;
};

LoopThreads::LoopThreads(int threads) : arena_(std::make_unique<Arena>(threads)) {}
LoopThreads::~LoopThreads() = default;

void LoopThreads::run(std::size_t count, LoopBody const& body) {
  arena_->arena.execute([&] { loop(count, body, tbb::simple_partitioner()); });
}

int threads_at_hand() { return tbb::this_task_arena::max_concurrency(); }

}  // namespace brinecast::sim
