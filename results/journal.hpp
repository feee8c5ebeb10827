#pragma once
// The journal of a run: finished tasks, appended and synced one after another, until the result file is assembled.
//
// Layout, little-endian: 8 bytes "BRNJRN01", then frames of {u32 kind, u32 CRC-32 of kind, length and payload,
// u64 length, payload}. The first frame holds the run's description as JSON, each further one a task. A frame counts
// only when it is whole and its checksum fits; what follows the first broken frame was being written when the run was
// killed and is simulated again.

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "results/run_description.hpp"
#include "sim/ensemble/ensemble.hpp"

namespace brinecast::results {

/// How every journal begins.
inline constexpr std::string_view journal_start = "BRNJRN01";

/// An open file descriptor, closed with the object.
class FileHandle {
 public:
  FileHandle() = default;
  explicit FileHandle(int descriptor) : descriptor_(descriptor) {}
  FileHandle(FileHandle&& other) noexcept : descriptor_(std::exchange(other.descriptor_, -1)) {}
  FileHandle& operator=(FileHandle&& other) noexcept;
  FileHandle(FileHandle const&) = delete;
  FileHandle& operator=(FileHandle const&) = delete;
  ~FileHandle();
  [[nodiscard]] int get() const { return descriptor_; }

 private:
  int descriptor_ = -1;
};

/// A task's results as the payload of a frame, and back. Throws std::logic_error when an array's length does not fit
/// the run, ResultError when the bytes are not such a payload.
std::string encode_task(sim::TaskResult const& result, RunDescription const& run);
sim::TaskResult decode_task(std::string_view payload, RunDescription const& run);

struct JournalEntry {
  sim::TaskId task;
  std::uint64_t offset = 0;  // of the payload
  std::uint64_t length = 0;
};

/// A journal that is read.
class Journal {
 public:
  /// Reads all whole frames. Throws ResultError for a file that is no journal.
  explicit Journal(std::filesystem::path path);
  /// Whether the file is the beginning of a journal whose run was killed before its description was whole: no task was
  /// simulated yet, so nothing is lost with it.
  [[nodiscard]] static bool cut_off_at_start(std::filesystem::path const& path);
  [[nodiscard]] std::filesystem::path const& path() const { return path_; }
  [[nodiscard]] RunDescription const& run() const { return run_; }
  [[nodiscard]] std::vector<JournalEntry> const& entries() const { return entries_; }
  /// Where the last whole frame ends.
  [[nodiscard]] std::uint64_t good_end() const { return good_end_; }
  [[nodiscard]] sim::TaskResult read(JournalEntry const& entry) const;

 private:
  std::filesystem::path path_;
  FileHandle file_;
  RunDescription run_;
  std::vector<JournalEntry> entries_;
  std::uint64_t good_end_ = 0;
};

/// A journal that is written, by this process alone.
class JournalWriter {
 public:
  /// Opens or creates the file and locks it. Throws ResultError when another process writes it.
  explicit JournalWriter(std::filesystem::path path);
  /// Whether the file held anything when it was opened.
  [[nodiscard]] bool was_there() const { return was_there_; }
  /// Starts the file anew with the run's description, synced with its directory entry.
  void begin(RunDescription const& run);
  /// Goes on after `good_end`, dropping what a killed run left behind it.
  void continue_after(std::uint64_t good_end);
  /// Appends a task's frame. On failure the file keeps its whole frames and ResultError is thrown.
  void append(std::string_view payload);
  /// Returns when all appended frames are on the disk.
  void sync();
  /// Deletes the journal, whose lock is held until the object goes.
  void remove();

 private:
  void append_frame(std::uint32_t kind, std::string_view payload);
  std::filesystem::path path_;
  FileHandle file_;
  bool was_there_ = false;
  std::uint64_t end_ = 0;
};

/// Makes a name's creation, change or removal in its directory durable.
void sync_directory_of(std::filesystem::path const& path);

/// The system's word for the last failure, e.g. "No space left on device".
std::string last_system_message();

}  // namespace brinecast::results
