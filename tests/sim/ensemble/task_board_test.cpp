#include "sim/ensemble/task_board.hpp"

#include <catch2/catch.hpp>

using namespace brinecast::sim;

namespace {

bool same(std::optional<TaskId> const& task, std::size_t policy, std::uint32_t replicate) {
  return task && task->policy == policy && task->replicate == replicate;
}

}  // namespace

TEST_CASE("every task is handed out once, in order", "[ensemble][board][unit]") {
  TaskBoard board({{0, 0}, {1, 0}, {0, 1}});
  CHECK(same(board.take(0), 0, 0));
  CHECK(same(board.take(1), 1, 0));
  CHECK(same(board.take(2), 0, 1));
  CHECK_FALSE(board.take(0));
}

TEST_CASE("a task counts as done once, and a task of another run never", "[ensemble][board][unit]") {
  TaskBoard board({{0, 0}, {1, 0}});
  board.take(0);
  CHECK(board.finish({0, 0}));
  CHECK_FALSE(board.finish({0, 0}));
  CHECK_FALSE(board.finish({7, 0}));
  CHECK_FALSE(board.all_done());
  CHECK(board.finish({1, 0}));
  CHECK(board.all_done());
}

TEST_CASE("what a rank that left was at is handed out again, what it finished is not", "[ensemble][board][unit]") {
  TaskBoard board({{0, 0}, {1, 0}, {0, 1}});
  board.take(1);
  board.take(1);
  board.take(2);
  board.finish({0, 0});
  board.release(1);
  CHECK(same(board.take(0), 1, 0));
  CHECK_FALSE(board.take(0));
}

TEST_CASE("a task is not overdue while its rank may still be at it, nor ever when rank 0 is",
          "[ensemble][board][unit]") {
  TaskBoard board({{0, 0}, {1, 0}});
  board.take(0);
  board.take(1);
  CHECK_FALSE(board.take_overdue());
}
