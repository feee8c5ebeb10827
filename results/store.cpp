#include "results/store.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <new>
#include <numeric>
#include <set>

#include "results/assembly.hpp"

namespace brinecast::results {

std::filesystem::path journal_path(std::filesystem::path const& result_file, int shard, int shards) {
  return result_file.string() + (shards > 0 ? fmt::format(".part-{}-of-{}", shard, shards) : std::string(".partial"));
}

ResultStore::ResultStore(std::filesystem::path path, RunDescription run, StoreOptions options)
    : path_(std::move(path)),
      run_(std::move(run)),
      options_(std::move(options)),
      journal_path_(journal_path(path_, options_.shard, options_.shards)),
      journal_(journal_path_) {
  bool begin = true;
  if (journal_.was_there() && !Journal::cut_off_at_start(journal_path_)) {
    if (!options_.resume) {
      throw ResultError(fmt::format("{}: an interrupted run lies here; continue it with --resume, or delete this file",
                                    journal_path_.string()));
    }
    Journal const journal(journal_path_);
    if (auto const difference = first_difference(journal.run(), run_); !difference.empty()) {
      throw ResultError(fmt::format("{}: belongs to another run ({}); delete it or choose another --out",
                                    journal_path_.string(), difference));
    }
    for (auto const& entry : journal.entries()) found_.push_back(entry.task);
    journal_.continue_after(journal.good_end());
    begin = false;
  }
  if (begin) journal_.begin(run_);
  out_of_memory_ = fmt::format("{}: cannot be written (out of memory); finished tasks are kept, go on with --resume",
                               journal_path_.string());
  writer_ = std::jthread([this](std::stop_token const& stop) { write_queue(stop); });
}

ResultStore::~ResultStore() {
  drain();
  writer_.request_stop();
}

std::vector<sim::TaskId> ResultStore::remaining() const {
  std::set<std::pair<std::size_t, std::uint32_t>> done;
  for (auto const& task : found_) done.insert({task.policy, task.replicate});
  std::vector<sim::TaskId> tasks;
  std::size_t number = 0;
  for (std::uint32_t replicate = 0; replicate < run_.replicates; ++replicate) {
    for (std::size_t policy = 0; policy < run_.policies.size(); ++policy, ++number) {
      bool const ours = options_.shards == 0 || number % static_cast<std::size_t>(options_.shards) ==
                                                    static_cast<std::size_t>(options_.shard - 1);
      if (ours && done.count({policy, replicate}) == 0) tasks.push_back({policy, replicate});
    }
  }
  return tasks;
}

void ResultStore::accept(sim::TaskResult const& result) {
  // Never kept, so that neither a resumed run nor a merge of parts can finish without it.
  if (double const error = result.book_errors.largest(); !(error <= largest_accepted_book_error)) {
    throw ResultError(fmt::format(
        "policy {}, replicate {}: the books of conservation do not close (relative error {:.1e}, at most {:.0e} "
        "accepted); this is a fault of the program, please report it with the scenario",
        run_.policies[result.policy].name, result.replicate, error, largest_accepted_book_error));
  }
  std::string payload = encode_task(result, run_);
  std::unique_lock lock(mutex_);
  // A task larger than all that may wait still gets its turn.
  written_.wait(lock, [&] {
    return queued_bytes_ == 0 || queued_bytes_ + payload.size() <= most_queued_bytes || !failure_.empty();
  });
  if (!failure_.empty()) throw ResultError(failure_);
  std::size_t const bytes = payload.size();
  queue_.push_back(std::move(payload));
  queued_bytes_ += bytes;
  queued_.notify_one();
}

bool ResultStore::failed() const {
  std::lock_guard const lock(mutex_);
  return !failure_.empty();
}

void ResultStore::write_queue(std::stop_token const& stop) {
  std::unique_lock lock(mutex_);
  while (queued_.wait(lock, stop, [&] { return !queue_.empty(); })) {
    std::vector<std::string> batch;
    batch.swap(queue_);
    lock.unlock();
    std::string failure;
    try {
      for (auto const& payload : batch) journal_.append(payload);
      journal_.sync();
    } catch (ResultError const& error) {
      failure = error.what();
    } catch (std::bad_alloc const&) {
      failure.swap(out_of_memory_);
    }
    std::size_t const done_bytes =
        std::accumulate(batch.begin(), batch.end(), std::size_t{0},
                        [](std::size_t sum, std::string const& payload) { return sum + payload.size(); });
    batch.clear();
    lock.lock();
    queued_bytes_ -= done_bytes;
    if (!failure.empty()) {
      failure_.swap(failure);
      queue_.clear();
    }
    written_.notify_all();
    if (!failure_.empty()) return;
  }
}

void ResultStore::drain() {
  std::unique_lock lock(mutex_);
  written_.wait(lock, [&] { return queued_bytes_ == 0 || !failure_.empty(); });
}

std::filesystem::path ResultStore::finish(int threads) {
  drain();
  if (failed()) throw ResultError(failure_);
  std::vector<Journal> journals;
  journals.emplace_back(journal_path_);
  if (options_.shards > 0) return journal_path_;
  if (std::size_t const done = journals.front().entries().size(); done < run_.tasks()) {
    throw ResultError(
        fmt::format("{}: holds {} of {} tasks; continue with --resume", journal_path_.string(), done, run_.tasks()));
  }
  assemble(path_, journals, {.command = options_.command, .threads = threads});
  journal_.remove();
  return path_;
}

void merge(std::filesystem::path const& path, std::vector<std::filesystem::path> const& shards, std::string command) {
  std::vector<Journal> journals;
  std::set<std::pair<std::size_t, std::uint32_t>> done;
  for (auto const& shard : shards) {
    journals.emplace_back(shard);
    if (auto const difference = first_difference(journals.back().run(), journals.front().run()); !difference.empty()) {
      throw ResultError(
          fmt::format("{}: belongs to another run than {} ({})", shard.string(), shards.front().string(), difference));
    }
    for (auto const& entry : journals.back().entries()) done.insert({entry.task.policy, entry.task.replicate});
  }
  if (journals.empty()) throw ResultError("nothing to merge; name the parts of a run");
  auto const& run = journals.front().run();
  if (done.size() < run.tasks()) {
    throw ResultError(fmt::format("{} of {} tasks are in no part; run the missing shards, or resume one that stopped",
                                  run.tasks() - done.size(), run.tasks()));
  }
  assemble(path, journals, {.command = std::move(command)});
}

}  // namespace brinecast::results
