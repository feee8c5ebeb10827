#pragma once
// Keeps finished tasks safe while a run goes on, and turns them into the result file at its end.
//
// While a run goes on, tasks are appended to the journal FILE.h5.partial. Order of what reaches the disk: the journal's
// description and its directory entry (before the first task is simulated); each task's frame, then fdatasync (tasks
// that queued up meanwhile share one); at the end the HDF5 file under FILE.h5.writing, fsync of it, rename to FILE.h5,
// fsync of the directory, and only then removal of the journal. Whatever is cut off, either FILE.h5 is whole or the
// journal still holds every finished task.

#include <condition_variable>
#include <filesystem>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "results/error.hpp"
#include "results/journal.hpp"
#include "results/run_description.hpp"
#include "sim/ensemble/ensemble.hpp"

namespace brinecast::results {

/// Of seasons on their way to the disk; a larger one goes alone.
inline constexpr std::size_t most_queued_bytes = std::size_t{8} << 20;

/// Relative error within which the books of a season must close.
inline constexpr double largest_accepted_book_error = 1e-9;

struct StoreOptions {
  bool resume = false;       // go on with the journal of an interrupted run
  int shard = 0;             // 1..shards: this process simulates only its part; 0: all tasks
  int shards = 0;            // parts in all
  std::string command = {};  // the words the user typed, for the file
};

class ResultStore final : public sim::TaskSink {
 public:
  /// Opens `path`'s journal, locked against other writers. Throws ResultError with one line when another process writes
  /// it, when an interrupted run lies there and `resume` is false, or when what lies there belongs to another run.
  ResultStore(std::filesystem::path path, RunDescription run, StoreOptions options);
  ResultStore(ResultStore const&) = delete;
  ResultStore& operator=(ResultStore const&) = delete;
  /// Waits until what was accepted is on the disk. The journal stays.
  ~ResultStore() override;

  /// Tasks of this process that are not on the disk yet, replicates first, so that an interrupted run has all policies
  /// of its first replicates.
  [[nodiscard]] std::vector<sim::TaskId> remaining() const;
  /// Tasks that an interrupted run left finished.
  [[nodiscard]] std::size_t found() const { return found_.size(); }

  /// Encodes a task on the calling thread, any of them, and queues it for the writer's; waits while too much is queued.
  /// Throws ResultError when the disk failed or the season's books do not close.
  void accept(sim::TaskResult const& result) override;

  /// True once the disk failed: nothing simulated from then on can be kept, so a run should stop.
  [[nodiscard]] bool failed() const;

  /// Waits for the disk, then assembles the result file when all tasks are there, or keeps the journal as this shard's
  /// part. Returns the file that holds the results. Throws ResultError; finished tasks stay in the journal. Compresses
  /// on so many threads, 0: on all cores.
  std::filesystem::path finish(int threads = 0);

 private:
  void write_queue(std::stop_token const& stop);
  void drain();
  std::filesystem::path path_;
  RunDescription run_;
  StoreOptions options_;
  std::filesystem::path journal_path_;
  JournalWriter journal_;
  std::vector<sim::TaskId> found_;
  mutable std::mutex mutex_;
  std::condition_variable_any queued_, written_;
  std::vector<std::string> queue_;
  std::size_t queued_bytes_ = 0;         // accepted and not on the disk yet
  std::string failure_, out_of_memory_;  // the second is made before, while there is memory
  std::jthread writer_;
};

/// Where a run or one of its shards keeps its journal.
std::filesystem::path journal_path(std::filesystem::path const& result_file, int shard, int shards);

/// Assembles the journals of shards into `path`. All must belong to one run and hold all of its tasks between them.
/// Throws ResultError naming the file at fault, or how many tasks are missing.
void merge(std::filesystem::path const& path, std::vector<std::filesystem::path> const& shards, std::string command);

}  // namespace brinecast::results
