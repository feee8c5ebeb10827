#include "results/journal.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <libdeflate.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cerrno>
#include <cstring>
#include <set>
#include <system_error>
#include <utility>

#include "results/error.hpp"
#include "results/schema.hpp"

namespace brinecast::results {

static_assert(std::endian::native == std::endian::little, "a journal is written as it lies in memory");

namespace {

constexpr std::uint32_t run_frame = 1, task_frame = 2;

struct FrameHeader {
  std::uint32_t kind = 0;
  std::uint32_t checksum = 0;
  std::uint64_t length = 0;
};

std::uint32_t checksum_of(FrameHeader const& header, std::string_view payload) {
  std::uint32_t crc = libdeflate_crc32(0, &header.kind, sizeof header.kind);
  crc = libdeflate_crc32(crc, &header.length, sizeof header.length);
  return libdeflate_crc32(crc, payload.data(), payload.size());
}

/// Counts the bytes that an encoder will need.
class Measurer {
 public:
  template <class T>
  void value(T const&) {
    bytes_ += sizeof(T);
  }
  template <class T>
  void array(std::vector<T> const& values, std::size_t length, std::string_view name) {
    if (values.size() != length) {
      throw std::logic_error(fmt::format("{}: {} values in a task's tally, expected {}", name, values.size(), length));
    }
    bytes_ += length * sizeof(T);
  }
  template <class Record, class T>
  void column(std::vector<Record> const& records, T Record::*) {
    bytes_ += records.size() * sizeof(T);
  }
  [[nodiscard]] std::size_t bytes() const { return bytes_; }

 private:
  std::size_t bytes_ = 0;
};

/// Fills exactly the bytes that a `Measurer` counted, whose checks it relies on.
class Encoder {
 public:
  explicit Encoder(std::size_t bytes) : bytes_(bytes, '\0') {}
  template <class T>
  void value(T const& x) {
    put(&x, sizeof x);
  }
  template <class T>
  void array(std::vector<T> const& values, std::size_t, std::string_view) {
    put(values.data(), values.size() * sizeof(T));
  }
  template <class Record, class T>
  void column(std::vector<Record> const& records, T Record::*member) {
    for (auto const& record : records) put(&(record.*member), sizeof(T));
  }
  std::string take() { return std::move(bytes_); }

 private:
  void put(void const* from, std::size_t size) {
    if (size > 0) std::memcpy(bytes_.data() + at_, from, size);
    at_ += size;
  }
  std::string bytes_;
  std::size_t at_ = 0;
};

class Decoder {
 public:
  explicit Decoder(std::string_view bytes) : bytes_(bytes) {}
  template <class T>
  void value(T& x) {
    std::memcpy(&x, take(sizeof x), sizeof x);
  }
  template <class T>
  void array(std::vector<T>& values, std::size_t length, std::string_view) {
    char const* const from = take(length * sizeof(T));
    values.resize(length);
    if (length > 0) std::memcpy(values.data(), from, length * sizeof(T));
  }
  template <class Record, class T>
  void column(std::vector<Record>& records, T Record::*member) {
    char const* from = take(records.size() * sizeof(T));
    for (auto& record : records) {
      std::memcpy(&(record.*member), from, sizeof(T));
      from += sizeof(T);
    }
  }
  [[nodiscard]] std::size_t left() const { return bytes_.size() - at_; }

 private:
  char const* take(std::size_t size) {
    if (size > left()) throw ResultError("a task in the journal is shorter than its run needs");
    at_ += size;
    return bytes_.data() + at_ - size;
  }
  std::string_view bytes_;
  std::size_t at_ = 0;
};

template <class... Cases>
struct Overloaded : Cases... {
  using Cases::operator()...;
};
template <class... Cases>
Overloaded(Cases...) -> Overloaded<Cases...>;  // clang 14 deduces no aggregates

/// Hands every stored part of a task to an encoder or decoder, in the order of the schema.
template <class Coder, class Result>
void code_task(Coder& coder, Result& result, RunDescription const& run) {
  auto const lengths = axis_lengths(run);
  auto const length = [&](Axis axis) { return lengths[static_cast<std::size_t>(axis)]; };
  auto const visit_column = [&](auto member) { coder.column(result.visits, member); };
  for (auto const& variable : variables()) {
    auto const name = variable.name;
    std::visit(
        Overloaded{[&](PoolMember member) { coder.array(result.pools.*member, length(Axis::pool), name); },
                   [&](MonthMember member) { coder.array(result.months.*member, length(Axis::month), name); },
                   [&](DayBandMember member) {
                     for (auto& line : result.days.*member) coder.array(line, length(Axis::day), name);
                   },
                   [&](DayMember member) { coder.array(result.days.*member, length(Axis::day), name); },
                   [&](TechnicianMember member) {
                     if (auto& lines = result.technicians.*member; lines.size() == length(Axis::technician)) {
                       for (auto& line : lines) coder.array(line, length(Axis::day), name);
                     } else {
                       throw std::logic_error(fmt::format("{}: {} technicians in a task's tally, expected {}", name,
                                                          lines.size(), length(Axis::technician)));
                     }
                   },
                   [&](VisitNumber member) { visit_column(member); }, [&](VisitBits member) { visit_column(member); },
                   [&](VisitTime member) { visit_column(member); },
                   [&](TraceMember member) {
                     for (auto& trace : result.traces) coder.array(trace.*member, length(Axis::trace_hour), name);
                   },
                   [](NumbersOfRun) {}, [](TextsOfRun) {}, [](OfWriter) {}},
        variable.source);
  }
  coder.value(result.book_errors);
  coder.value(result.simulated_pool_hours);
  coder.value(result.kernel_s);
  coder.value(result.dispatch_s);
  coder.value(result.total_s);
}

std::string read_at(int descriptor, std::uint64_t offset, std::uint64_t length, std::filesystem::path const& path) {
  std::string bytes(length, '\0');
  std::size_t done = 0;
  while (done < length) {
    ssize_t const got = pread(descriptor, bytes.data() + done, length - done, static_cast<off_t>(offset + done));
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) throw ResultError(fmt::format("{}: reading failed ({})", path.string(), last_system_message()));
    if (got == 0) throw ResultError(fmt::format("{}: became shorter while it was read", path.string()));
    done += static_cast<std::size_t>(got);
  }
  return bytes;
}

void write_all(int descriptor, std::string_view bytes) {
  while (!bytes.empty()) {
    ssize_t const done = write(descriptor, bytes.data(), bytes.size());
    if (done < 0 && errno == EINTR) continue;
    if (done < 0) throw std::system_error(errno, std::generic_category());
    bytes.remove_prefix(static_cast<std::size_t>(done));
  }
}

}  // namespace

FileHandle& FileHandle::operator=(FileHandle&& other) noexcept {
  std::swap(descriptor_, other.descriptor_);
  return *this;
}

FileHandle::~FileHandle() {
  if (descriptor_ >= 0) close(descriptor_);
}

std::string last_system_message() { return std::generic_category().message(errno); }

void sync_directory_of(std::filesystem::path const& path) {
  auto const directory = path.has_parent_path() ? path.parent_path() : std::filesystem::path(".");
  FileHandle const handle(open(directory.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  // Some file systems cannot sync a directory (EINVAL); there is nothing better to do on them.
  if (handle.get() < 0 || (fsync(handle.get()) != 0 && errno != EINVAL)) {
    throw ResultError(fmt::format("{}: cannot be made durable ({})", directory.string(), last_system_message()));
  }
}

std::string encode_task(sim::TaskResult const& result, RunDescription const& run) {
  auto const code = [&](auto& coder) {
    coder.value(static_cast<std::uint64_t>(result.policy));
    coder.value(result.replicate);
    coder.value(static_cast<std::uint32_t>(result.visits.size()));
    coder.value(static_cast<std::uint32_t>(result.traces.size()));
    for (auto const& trace : result.traces) coder.value(trace.pool);
    code_task(coder, result, run);
  };
  Measurer measurer;
  code(measurer);
  Encoder encoder(measurer.bytes());
  code(encoder);
  return encoder.take();
}

sim::TaskResult decode_task(std::string_view payload, RunDescription const& run) {
  Decoder decoder(payload);
  sim::TaskResult result;
  std::uint64_t policy = 0;
  std::uint32_t visits = 0, traces = 0;
  decoder.value(policy);
  decoder.value(result.replicate);
  decoder.value(visits);
  decoder.value(traces);
  if (policy >= run.policies.size() || result.replicate >= run.replicates || visits > decoder.left() ||
      traces > run.trace_pools.size()) {
    throw ResultError("a task in the journal does not belong to its run");
  }
  result.policy = policy;
  result.visits.resize(visits);
  result.traces.resize(traces);
  for (auto& trace : result.traces) decoder.value(trace.pool);
  result.technicians = {};
  for (auto const& variable : variables()) {
    if (auto const* member = std::get_if<TechnicianMember>(&variable.source)) {
      (result.technicians.**member).resize(run.technicians.size());
    }
  }
  code_task(decoder, result, run);
  if (decoder.left() != 0) throw ResultError("a task in the journal is longer than its run allows");
  return result;
}

bool Journal::cut_off_at_start(std::filesystem::path const& path) {
  FileHandle const file(open(path.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC));
  struct stat status {};
  if (file.get() < 0 || fstat(file.get(), &status) != 0 || !S_ISREG(status.st_mode)) return false;
  auto const size = static_cast<std::uint64_t>(status.st_size);
  std::uint64_t const shown = std::min<std::uint64_t>(size, journal_start.size());
  if (read_at(file.get(), 0, shown, path) != journal_start.substr(0, shown)) return false;
  if (size < journal_start.size() + sizeof(FrameHeader)) return true;
  FrameHeader header;
  std::memcpy(&header, read_at(file.get(), journal_start.size(), sizeof header, path).data(), sizeof header);
  return header.kind == run_frame && header.length > size - journal_start.size() - sizeof header;
}

Journal::Journal(std::filesystem::path path) : path_(std::move(path)) {
  file_ = FileHandle(open(path_.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC));  // a pipe would wait for its writer
  if (file_.get() < 0)
    throw ResultError(fmt::format("{}: cannot be opened ({})", path_.string(), last_system_message()));
  struct stat status {};
  if (fstat(file_.get(), &status) != 0) {
    throw ResultError(fmt::format("{}: cannot be read ({})", path_.string(), last_system_message()));
  }
  if (!S_ISREG(status.st_mode)) throw ResultError(fmt::format("{}: is not a regular file; name one", path_.string()));
  auto const size = static_cast<std::uint64_t>(status.st_size);
  if (size < journal_start.size() || read_at(file_.get(), 0, journal_start.size(), path_) != journal_start) {
    throw ResultError(fmt::format(
        "{}: is no journal of a run (it does not begin with \"{}\"); check the name, or move it out of the way",
        path_.string(), journal_start));
  }
  bool described = false;
  std::set<std::pair<std::size_t, std::uint32_t>> seen;
  good_end_ = journal_start.size();
  while (size - good_end_ >= sizeof(FrameHeader)) {
    FrameHeader header;
    std::memcpy(&header, read_at(file_.get(), good_end_, sizeof header, path_).data(), sizeof header);
    std::uint64_t const payload_at = good_end_ + sizeof header;
    if (header.length > size - payload_at) break;
    std::string const payload = read_at(file_.get(), payload_at, header.length, path_);
    if (checksum_of(header, payload) != header.checksum) break;
    if (!described) {
      if (header.kind != run_frame) break;
      try {
        run_ = run_from_text(payload);
      } catch (std::runtime_error const& error) {
        throw ResultError(
            fmt::format("{}: {}; another version of the program wrote it: finish the run with that one, or "
                        "delete this file to start anew",
                        path_.string(), error.what()));
      }
      described = true;
    } else {
      if (header.kind != task_frame || payload.size() < 12) break;
      std::uint64_t policy = 0;
      JournalEntry entry{{}, payload_at, header.length};
      std::memcpy(&policy, payload.data(), sizeof policy);
      std::memcpy(&entry.task.replicate, payload.data() + sizeof policy, sizeof entry.task.replicate);
      entry.task.policy = policy;
      if (seen.insert({entry.task.policy, entry.task.replicate}).second) entries_.push_back(entry);
    }
    good_end_ = payload_at + header.length;
  }
  if (!described) {
    throw ResultError(
        fmt::format("{}: its first frame, the run's description, is damaged; delete it to start anew", path_.string()));
  }
}

sim::TaskResult Journal::read(JournalEntry const& entry) const {
  return decode_task(read_at(file_.get(), entry.offset, entry.length, path_), run_);
}

JournalWriter::JournalWriter(std::filesystem::path path) : path_(std::move(path)) {
  for (;;) {
    file_ = FileHandle(open(path_.c_str(), O_RDWR | O_CREAT | O_NOFOLLOW | O_CLOEXEC, 0666));
    if (file_.get() < 0 && errno == ELOOP) {
      throw ResultError(fmt::format(
          "{}: is a link, which a run does not write through; remove it or choose another --out", path_.string()));
    }
    if (file_.get() < 0) {
      throw ResultError(fmt::format("{}: cannot be created ({})", path_.string(), last_system_message()));
    }
    if (flock(file_.get(), LOCK_EX | LOCK_NB) != 0) {
      if (errno == EWOULDBLOCK) {
        throw ResultError(
            fmt::format("{}: another process is writing it; wait for it or choose another --out", path_.string()));
      }
      throw ResultError(fmt::format("{}: cannot be locked ({})", path_.string(), last_system_message()));
    }
    // A writer that finished between our open and our lock has removed the name that we opened.
    struct stat ours {
    }, named{};
    if (fstat(file_.get(), &ours) == 0 && stat(path_.c_str(), &named) == 0 && ours.st_ino == named.st_ino) {
      was_there_ = ours.st_size > 0;
      return;
    }
  }
}

void JournalWriter::begin(RunDescription const& run) {
  if (ftruncate(file_.get(), 0) != 0) {
    throw ResultError(fmt::format("{}: cannot be emptied ({})", path_.string(), last_system_message()));
  }
  end_ = 0;
  lseek(file_.get(), 0, SEEK_SET);
  try {
    write_all(file_.get(), journal_start);
  } catch (std::system_error const& error) {
    throw ResultError(fmt::format("{}: cannot be written ({})", path_.string(), error.code().message()));
  }
  end_ = journal_start.size();
  append_frame(run_frame, to_text(run));
  sync();
  sync_directory_of(path_);
}

void JournalWriter::continue_after(std::uint64_t good_end) {
  if (ftruncate(file_.get(), static_cast<off_t>(good_end)) != 0) {
    throw ResultError(fmt::format("{}: cannot be shortened ({})", path_.string(), last_system_message()));
  }
  end_ = good_end;
  lseek(file_.get(), static_cast<off_t>(end_), SEEK_SET);
}

void JournalWriter::append(std::string_view payload) { append_frame(task_frame, payload); }

void JournalWriter::append_frame(std::uint32_t kind, std::string_view payload) {
  FrameHeader header{kind, 0, payload.size()};
  header.checksum = checksum_of(header, payload);
  try {
    write_all(file_.get(), {reinterpret_cast<char const*>(&header), sizeof header});
    write_all(file_.get(), payload);
  } catch (std::system_error const& error) {
    // Without the torn frame the file needs less room and holds nothing doubtful.
    [[maybe_unused]] int const shortened = ftruncate(file_.get(), static_cast<off_t>(end_));
    lseek(file_.get(), static_cast<off_t>(end_), SEEK_SET);
    throw ResultError(fmt::format("{}: cannot be written ({}); finished tasks are kept, make room and use --resume",
                                  path_.string(), error.code().message()));
  }
  end_ += sizeof header + payload.size();
}

void JournalWriter::sync() {
  if (fdatasync(file_.get()) != 0) {
    throw ResultError(fmt::format("{}: cannot be made durable ({})", path_.string(), last_system_message()));
  }
}

void JournalWriter::remove() {
  std::error_code ignored;  // a journal left behind costs room, never data
  std::filesystem::remove(path_, ignored);
}

}  // namespace brinecast::results
