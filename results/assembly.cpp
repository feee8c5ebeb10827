#include "results/assembly.hpp"

#include <fcntl.h>
#include <fmt/chrono.h>
#include <fmt/format.h>
#include <hdf5_hl.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <limits>
#include <map>
#include <memory>
#include <new>
#include <utility>

#include "results/chunk_encoder.hpp"
#include "results/digest.hpp"
#include "results/error.hpp"
#include "results/hdf5_memory.hpp"
#include "results/hdf5_types.hpp"
#include "sim/parallel/parallel_loop.hpp"

namespace brinecast::results {

namespace {

constexpr std::size_t values_per_chunk = 32768;

/// A finished task of one of the journals.
struct TaskSource {
  Journal const* journal = nullptr;
  JournalEntry const* entry = nullptr;
};

struct Timing {
  double pool_hours = 0.0, kernel_s = 0.0, total_s = 0.0, largest_book_error = 0.0;
};

/// The tallies of some replicates of one policy, which lie in the same chunks.
struct Batch {
  std::size_t policy = 0;
  std::size_t first_replicate = 0;
  std::vector<sim::TaskResult> results;  // without their visits
};

/// A visit of the log and the task it belongs to.
struct LoggedVisit {
  sim::VisitRecord record;
  std::size_t policy = 0;
  std::uint32_t replicate = 0;
};

class Assembly {
 public:
  Assembly(std::filesystem::path const& path, RunDescription const& run, int threads)
      : run_(run),
        lengths_(axis_lengths(run)),
        replicates_per_batch_(replicates_of_a_batch()),
        file_(create(path)),
        threads_(threads > 0 ? threads : sim::threads_at_hand()) {}

  /// Lays out all variables and writes those that describe the run.
  void begin() {
    create_datasets();
    write_run();
  }

  /// Tasks in the order of policies and replicates.
  void write_tasks(std::span<TaskSource const> tasks) {
    std::vector<std::uint8_t> complete(run_.tasks(), 0);
    while (!tasks.empty()) {
      auto const first = tasks.front().entry->task;
      std::size_t const number = first.replicate / replicates_per_batch_;
      auto const end = std::find_if(tasks.begin(), tasks.end(), [&](TaskSource const& source) {
        auto const task = source.entry->task;
        return task.policy != first.policy || task.replicate / replicates_per_batch_ != number;
      });
      auto const size = static_cast<std::size_t>(end - tasks.begin());
      Batch batch{first.policy, number * replicates_per_batch_, {}};
      for (auto left = tasks.first(size); !left.empty();) left = read_group(left, batch);
      for (auto const& result : batch.results) complete[first.policy * run_.replicates + result.replicate] = 1;
      write_tallies(batch);
      tasks = tasks.subspan(size);
    }
    write_visits(waiting_visits_.size());
    write_whole("task_complete", complete.data(), H5::PredType::NATIVE_UINT8);
  }

  void write_root_attributes(AssemblyOptions const& options, bool complete) {
    auto const text = [&](char const* name, std::string const& value) { text_attribute(file_, name, value); };
    text("Conventions", "CF-1.8");
    text("title", "Brinecast: care policies for a fleet of salt-water pools");
    text("file_type", std::string(file_type));
    number_attribute(file_, "format_version", format_version);
    text("program_version", run_.program_version);
    text("vector_target", run_.vector_target);
    text("scenario_name", run_.scenario_name);
    text("scenario_path", run_.scenario_path);
    text("scenario", run_.scenario_text);
    text("scenario_sha256", run_.scenario_sha256);
    text("description_sha256", sha256(to_text(run_)));
    text("created", options.created.empty() ? fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(std::time(nullptr)))
                                            : options.created);
    text("command", options.command);
    text("currency", run_.currency);
    text("road_attribution", run_.road_attribution);
    text("route_lines", run_.route_lines);
    for (auto const& band : band_table()) {
      real_attribute(file_, fmt::format("band_{}", band.name).c_str(), run_.bands.*band.member);
    }
    std::uint64_t const seed = run_.seed;
    file_.createAttribute("seed", H5::PredType::STD_U64LE, H5::DataSpace(H5S_SCALAR))
        .write(H5::PredType::NATIVE_UINT64, &seed);
    real_attribute(file_, "utc_offset_h", run_.utc_offset_h);
    number_attribute(file_, "complete", complete ? 1 : 0);
    double const hours = std::max(timing_.pool_hours, 1.0);
    real_attribute(file_, "nanoseconds_per_pool_hour", timing_.total_s / hours * 1e9);
    real_attribute(file_, "kernel_nanoseconds_per_pool_hour", timing_.kernel_s / hours * 1e9);
    real_attribute(file_, "largest_book_error", timing_.largest_book_error);
  }

  void flush() { file_.flush(H5F_SCOPE_GLOBAL); }

 private:
  [[nodiscard]] std::size_t replicates_of_a_batch() const {
    std::size_t tally_bytes = 0;
    for (auto const& variable : variables()) {
      if (is_tally(variable)) tally_bytes += row_length(variable) * sizeof(double);
    }
    return std::clamp<std::size_t>(std::min(values_per_chunk / std::max<std::size_t>(run_.pools.size(), 1),
                                            tally_bytes_per_batch / std::max<std::size_t>(tally_bytes, 1)),
                                   1, run_.replicates);
  }

  [[nodiscard]] H5::H5File create(std::filesystem::path const& path) const {
    ask_for_memory();
    H5::FileAccPropList access;
    access.setFcloseDegree(H5F_CLOSE_STRONG);
    // From this version on HDF5 puts checksums on its own structures, too, so that no flipped byte passes for data.
    access.setLibverBounds(H5F_LIBVER_V110, H5F_LIBVER_V110);
    H5::FileCreatPropList creation;
    // Readers of netCDF-4 list variables in the order of the schema.
    H5Pset_link_creation_order(creation.getId(), H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED);
    H5Pset_attr_creation_order(creation.getId(), H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED);
    // Equal data give equal bytes.
    H5Pset_obj_track_times(creation.getId(), false);
    // What an earlier run left under this name goes; a link there is removed, not followed.
    std::error_code none_there;
    std::filesystem::remove(path, none_there);
    return {path.string(), H5F_ACC_EXCL, creation, access};
  }

  [[nodiscard]] std::size_t length(Axis axis) const { return lengths_[static_cast<std::size_t>(axis)]; }

  /// A variable over an axis of no entries (say, no hourly traces) is left out.
  [[nodiscard]] bool is_stored(Variable const& variable) const {
    return std::all_of(variable.axes.begin(), variable.axes.end(),
                       [&](Axis axis) { return axis == Axis::visit || length(axis) > 0; });
  }

  static void text_attribute(H5::H5Object const& object, char const* name, std::string const& value) {
    object.createAttribute(name, text_type(), H5::DataSpace(H5S_SCALAR)).write(text_type(), value);
  }
  static void number_attribute(H5::H5Object const& object, char const* name, int value) {
    object.createAttribute(name, H5::PredType::STD_I32LE, H5::DataSpace(H5S_SCALAR))
        .write(H5::PredType::NATIVE_INT, &value);
  }
  static void real_attribute(H5::H5Object const& object, char const* name, double value) {
    object.createAttribute(name, H5::PredType::IEEE_F64LE, H5::DataSpace(H5S_SCALAR))
        .write(H5::PredType::NATIVE_DOUBLE, &value);
  }

  std::vector<hsize_t> chunk_of(Variable const& variable) const {
    std::vector<hsize_t> chunk;
    for (auto const axis : variable.axes) {
      switch (axis) {
        case Axis::policy:
          chunk.push_back(variable.axes.size() > 1 ? 1 : length(axis));
          break;
        case Axis::replicate:
          chunk.push_back(std::find(variable.axes.begin(), variable.axes.end(), Axis::trace_pool) == variable.axes.end()
                              ? replicates_per_batch_
                              : 1);
          break;
        case Axis::trace_pool:
          chunk.push_back(variable.axes.size() > 1 ? 1 : length(axis));
          break;
        case Axis::visit:
          chunk.push_back(visits_per_chunk);
          break;
        default:
          chunk.push_back(std::min<std::size_t>(length(axis), values_per_chunk));
          break;
      }
    }
    return chunk;
  }

  /// For what HDF5 will need. Chunks of tasks pass its caches by.
  void ask_for_memory() const {
    constexpr std::size_t a_variable = std::size_t{1} << 16;
    constexpr hsize_t largest_chunk_cache = hsize_t{1} << 20;  // HDF5's default
    std::size_t wanted = 0;
    for (auto const& variable : variables()) {
      wanted += a_variable;
      if (!std::holds_alternative<NumbersOfRun>(variable.source)) continue;
      hsize_t bytes = sizeof(double);
      for (hsize_t const size : chunk_of(variable)) bytes *= size;
      wanted += std::min(bytes, largest_chunk_cache);
    }
    ask_for_memory_of_hdf5(wanted);
  }

  void create_datasets() {
    std::map<Axis, hid_t> scales;
    for (auto const& variable : variables()) {
      if (!is_stored(variable)) continue;
      std::vector<hsize_t> size, limit;
      for (auto const axis : variable.axes) {
        size.push_back(length(axis));
        limit.push_back(axis == Axis::visit ? H5S_UNLIMITED : length(axis));
      }
      H5::DataSpace const space(static_cast<int>(size.size()), size.data(), limit.data());
      H5::DSetCreatPropList properties;
      auto const chunk = chunk_of(variable);
      // Strings lie in the file's heap, where filters do not reach; `description_sha256` guards them.
      if (variable.storage != Storage::text) {
        properties.setChunk(static_cast<int>(chunk.size()), chunk.data());
        properties.setShuffle();
        properties.setDeflate(deflate_level);
        properties.setFletcher32();
      }
      H5Pset_obj_track_times(properties.getId(), false);
      std::string const name(variable.name);
      bool const real = variable.storage == Storage::float64 || variable.storage == Storage::float32 ||
                        variable.storage == Storage::reading;
      double const missing = std::numeric_limits<double>::quiet_NaN();
      if (real) properties.setFillValue(H5::PredType::NATIVE_DOUBLE, &missing);
      H5::DataSet dataset = variable.storage == Storage::text
                                ? file_.createDataSet(name, text_type(), space, properties)
                                : file_.createDataSet(name, file_type_of(variable.storage), space, properties);
      text_attribute(dataset, "long_name", std::string(variable.long_name));
      if (variable.storage != Storage::text) text_attribute(dataset, "units", units_of(variable, run_));
      if (variable.units.find(" since ") != std::string_view::npos) text_attribute(dataset, "calendar", "standard");
      if (real) {
        auto const& type = file_type_of(variable.storage);
        dataset.createAttribute("_FillValue", type, H5::DataSpace(H5S_SCALAR))
            .write(H5::PredType::NATIVE_DOUBLE, &missing);
      }
      if (variable.storage == Storage::reading) {
        number_attribute(dataset, "_QuantizeBitRoundNumberOfSignificantBits", kept_mantissa_bits);
      }
      if (variable.bit_names != nullptr) flag_attributes(dataset, variable.bit_names());
      if (variable.name == "round_route_points") {
        // CF's contiguous ragged array: this many entries of the other axis belong to each entry.
        text_attribute(dataset, "sample_dimension", std::string(name_of(Axis::route_point)));
      }
      bool const is_scale = variable.axes.size() == 1 && variable.name == name_of(variable.axes.front());
      if (is_scale) {
        H5DSset_scale(dataset.getId(), name.c_str());
        scales[variable.axes.front()] = dataset.getId();
      } else {
        for (unsigned i = 0; i < variable.axes.size(); ++i) {
          if (H5DSattach_scale(dataset.getId(), scales.at(variable.axes[i]), i) < 0) {
            throw ResultError(fmt::format("{}: axis {} cannot be attached", name, name_of(variable.axes[i])));
          }
        }
      }
      datasets_.emplace(variable.name, dataset);
    }
  }

  static void flag_attributes(H5::DataSet const& dataset, std::vector<std::string> const& bits) {
    std::string const meanings = fmt::format("{}", fmt::join(bits, " "));
    std::vector<std::uint32_t> masks;
    for (std::size_t i = 0; i < bits.size(); ++i) masks.push_back(std::uint32_t{1} << i);
    hsize_t const count = masks.size();
    dataset.createAttribute("flag_masks", H5::PredType::STD_U32LE, H5::DataSpace(1, &count))
        .write(H5::PredType::NATIVE_UINT32, masks.data());
    text_attribute(dataset, "flag_meanings", meanings);
  }

  void write_whole(std::string_view name, void const* values, H5::DataType const& type) {
    datasets_.at(name).write(values, type);
  }

  void write_run() {
    for (auto const& variable : variables()) {
      if (datasets_.find(variable.name) == datasets_.end()) continue;
      if (auto const* numbers = std::get_if<NumbersOfRun>(&variable.source)) {
        auto const values = (*numbers)(run_);
        write_whole(variable.name, values.data(), H5::PredType::NATIVE_DOUBLE);
      } else if (auto const* texts = std::get_if<TextsOfRun>(&variable.source)) {
        auto const values = (*texts)(run_);
        std::vector<char const*> pointers;
        for (auto const& value : values) pointers.push_back(value.c_str());
        write_whole(variable.name, pointers.data(), text_type());
      }
    }
  }

  /// Makes the chunks of each variable on all threads, then writes them from this one: the order of the variables is
  /// the order of the bytes in the file, whatever the number of threads.
  template <class Encode>
  void write_chunks(std::vector<Variable const*> const& list, Encode const& encode) {
    std::vector<std::vector<EncodedChunk>> chunks(list.size());
    threads_.run(list.size(), [&](std::size_t i) { chunks[i] = encode(*list[i]); });
    for (std::size_t i = 0; i < list.size(); ++i) {
      hid_t const dataset = datasets_.at(list[i]->name).getId();
      for (auto const& chunk : chunks[i]) {
        if (H5Dwrite_chunk(dataset, H5P_DEFAULT, 0, chunk.start.data(), chunk.bytes.size(), chunk.bytes.data()) < 0) {
          throw H5::DataSetIException("H5Dwrite_chunk", std::string(list[i]->name));
        }
      }
    }
  }

  /// Decodes the first of the tasks, as many as memory is meant for, into the batch and the log. Returns the others.
  std::span<TaskSource const> read_group(std::span<TaskSource const> tasks, Batch& batch) {
    std::size_t size = 0;
    for (std::uint64_t bytes = 0; size < tasks.size(); ++size) {
      bytes += tasks[size].entry->length;
      if (size > 0 && bytes > journal_bytes_per_group) break;
    }
    std::vector<sim::TaskResult> results(size);
    threads_.run(size, [&](std::size_t i) { results[i] = tasks[i].journal->read(*tasks[i].entry); });
    for (auto& result : results) {
      add_up(result);
      for (auto const& visit : std::exchange(result.visits, {})) {
        waiting_visits_.push_back({visit, result.policy, result.replicate});
      }
      batch.results.push_back(std::move(result));
    }
    write_visits(waiting_visits_.size() / visits_per_chunk * visits_per_chunk);
    return tasks.subspan(size);
  }

  /// One of the arrays [policy][replicate][all of the other axes] that every task fills.
  static bool is_tally(Variable const& variable) {
    return std::holds_alternative<PoolMember>(variable.source) ||
           std::holds_alternative<MonthMember>(variable.source) ||
           std::holds_alternative<DayBandMember>(variable.source) ||
           std::holds_alternative<DayMember>(variable.source) ||
           std::holds_alternative<TechnicianMember>(variable.source) || variable.name == "book_error";
  }

  /// Values of one task.
  [[nodiscard]] std::size_t row_length(Variable const& variable) const {
    std::size_t values = 1;
    for (auto const axis : variable.axes) {
      if (axis != Axis::policy && axis != Axis::replicate) values *= length(axis);
    }
    return values;
  }

  static void fill_row(Variable const& variable, sim::TaskResult const& result, std::span<double> to) {
    auto const copy = [&](auto const& from) {
      std::copy(from.begin(), from.end(), to.begin());
      to = to.subspan(from.size());
    };
    auto const copy_lines = [&](auto const& lines) { std::for_each(lines.begin(), lines.end(), copy); };
    if (auto const* pool = std::get_if<PoolMember>(&variable.source)) {
      copy(result.pools.**pool);
    } else if (auto const* month = std::get_if<MonthMember>(&variable.source)) {
      copy(result.months.**month);
    } else if (auto const* band = std::get_if<DayBandMember>(&variable.source)) {
      copy_lines(result.days.**band);
    } else if (auto const* day = std::get_if<DayMember>(&variable.source)) {
      copy(result.days.**day);
    } else if (auto const* technician = std::get_if<TechnicianMember>(&variable.source)) {
      copy_lines(result.technicians.**technician);
    } else {
      copy(book_values(result.book_errors));
    }
  }

  /// Rows of absent tasks hold NaN.
  [[nodiscard]] std::vector<EncodedChunk> encode_tally(Variable const& variable, Batch const& batch) const {
    std::size_t const row = row_length(variable);
    std::size_t const rows = std::min<std::size_t>(replicates_per_batch_, run_.replicates - batch.first_replicate);
    std::vector<double> numbers(rows * row, std::numeric_limits<double>::quiet_NaN());
    for (auto const& result : batch.results) {
      fill_row(variable, result, std::span(numbers).subspan((result.replicate - batch.first_replicate) * row, row));
    }
    ArrayPart part{std::vector<hsize_t>(variable.axes.size(), 0), {}};
    for (auto const axis : variable.axes) part.count.push_back(length(axis));
    part.start[0] = batch.policy;
    part.count[0] = 1;
    part.start[1] = batch.first_replicate;
    part.count[1] = rows;
    return encode_chunks(variable, chunk_of(variable), part, numbers);
  }

  /// A task may trace fewer pools than the run names, or none; what is not written takes no room.
  [[nodiscard]] std::vector<EncodedChunk> encode_traces(Variable const& variable, Batch const& batch) const {
    auto const member = std::get<TraceMember>(variable.source);
    std::vector<EncodedChunk> chunks;
    for (auto const& result : batch.results) {
      for (auto const& trace : result.traces) {
        auto const named = std::find(run_.trace_pools.begin(), run_.trace_pools.end(), trace.pool);
        if (named == run_.trace_pools.end()) continue;
        std::vector<double> const numbers((trace.*member).begin(), (trace.*member).end());
        ArrayPart const part{
            {batch.policy, result.replicate, static_cast<hsize_t>(named - run_.trace_pools.begin()), 0},
            {1, 1, 1, numbers.size()}};
        for (auto& chunk : encode_chunks(variable, chunk_of(variable), part, numbers)) {
          chunks.push_back(std::move(chunk));
        }
      }
    }
    return chunks;
  }

  void write_tallies(Batch const& batch) {
    std::vector<Variable const*> list;
    for (auto const& variable : variables()) {
      bool const of_batch = is_tally(variable) || std::holds_alternative<TraceMember>(variable.source);
      if (of_batch && is_stored(variable)) list.push_back(&variable);
    }
    write_chunks(list, [&](Variable const& variable) {
      return is_tally(variable) ? encode_tally(variable, batch) : encode_traces(variable, batch);
    });
  }

  [[nodiscard]] double value_of(Variable const& variable, std::size_t waiting) const {
    auto const& visit = waiting_visits_[waiting];
    if (auto const* number = std::get_if<VisitNumber>(&variable.source)) return visit.record.**number;
    if (auto const* bits = std::get_if<VisitBits>(&variable.source)) return visit.record.**bits;
    if (auto const* time = std::get_if<VisitTime>(&variable.source)) return visit.record.**time;
    switch (std::get<OfWriter>(variable.source)) {
      case OfWriter::visit_policy:
        return static_cast<double>(visit.policy);
      case OfWriter::visit_replicate:
        return visit.replicate;
      default:
        return static_cast<double>(visits_ + waiting);
    }
  }

  /// Writes the first `count` of the waiting visits; whole chunks, but for the last time.
  void write_visits(std::size_t count) {
    if (count == 0) return;
    std::vector<Variable const*> list;
    hsize_t const whole = visits_ + count;
    for (auto const& variable : variables()) {
      if (variable.axes.front() != Axis::visit) continue;
      list.push_back(&variable);
      datasets_.at(variable.name).extend(&whole);
    }
    write_chunks(list, [&](Variable const& variable) {
      std::vector<double> numbers(count);
      for (std::size_t i = 0; i < count; ++i) numbers[i] = value_of(variable, i);
      return encode_chunks(variable, chunk_of(variable), {{visits_}, {count}}, numbers);
    });
    waiting_visits_.erase(waiting_visits_.begin(), waiting_visits_.begin() + static_cast<std::ptrdiff_t>(count));
    visits_ = whole;
  }

  void add_up(sim::TaskResult const& result) {
    timing_.pool_hours += result.simulated_pool_hours;
    timing_.kernel_s += result.kernel_s;
    timing_.total_s += result.total_s;
    timing_.largest_book_error = sim::worse_of(timing_.largest_book_error, result.book_errors.largest());
  }

  RunDescription const& run_;
  std::array<std::size_t, axis_count> lengths_;
  std::size_t replicates_per_batch_;
  H5::H5File file_;
  sim::LoopThreads threads_;
  std::map<std::string_view, H5::DataSet> datasets_;
  std::vector<LoggedVisit> waiting_visits_;  // for a chunk of the log to be full
  hsize_t visits_ = 0;                       // written
  Timing timing_;
};

void sync_file(std::filesystem::path const& path) {
  FileHandle const file(open(path.c_str(), O_RDWR | O_CLOEXEC));
  if (file.get() < 0 || fsync(file.get()) != 0) {
    throw ResultError(fmt::format("{}: cannot be made durable ({})", path.string(), last_system_message()));
  }
}

/// HDF5 does not survive closing a file that it could not write, neither at once nor when the library is shut down at
/// the program's end. So everything is flushed before anything is closed; where that fails, the objects stay open, and
/// the program ends before the library's own end.
void abandon(std::unique_ptr<Assembly> assembly) {
  [[maybe_unused]] auto const* const left_open = assembly.release();
  std::atexit([] {
    std::fflush(nullptr);
    std::_Exit(EXIT_FAILURE);
  });
}

std::vector<TaskSource> tasks_of(std::span<Journal const> journals) {
  std::map<std::pair<std::size_t, std::uint32_t>, TaskSource> sorted;
  for (auto const& journal : journals) {
    for (auto const& entry : journal.entries()) {
      sorted.try_emplace({entry.task.policy, entry.task.replicate}, TaskSource{&journal, &entry});
    }
  }
  std::vector<TaskSource> tasks;
  for (auto const& [task, source] : sorted) tasks.push_back(source);
  return tasks;
}

}  // namespace

void assemble(std::filesystem::path const& path, std::span<Journal const> journals, AssemblyOptions const& options) {
  auto const writing = std::filesystem::path(path.string() + ".writing");
  auto const& run = journals.front().run();
  auto const give_up = [&](std::string const& why) {
    std::error_code ignored;
    std::filesystem::remove(writing, ignored);
    throw ResultError(fmt::format("{}: cannot be written ({}); finished tasks are kept, make room and use --resume",
                                  path.string(), why));
  };
  H5::Exception::dontPrint();
  std::unique_ptr<Assembly> assembly;
  errno = 0;
  try {
    auto const tasks = tasks_of(journals);
    assembly = std::make_unique<Assembly>(writing, run, options.threads);
    assembly->begin();
    assembly->write_tasks(tasks);
    assembly->write_root_attributes(options, tasks.size() == run.tasks());
    assembly->flush();
  } catch (H5::Exception const& error) {
    int const reason = errno;
    abandon(std::move(assembly));
    bool const no_room = reason == ENOSPC || reason == EFBIG || reason == EDQUOT || reason == ENOMEM;
    give_up(no_room ? std::generic_category().message(reason) : words_of(error));
  } catch (std::bad_alloc const&) {
    abandon(std::move(assembly));
    give_up("out of memory");
  } catch (std::exception const& error) {
    abandon(std::move(assembly));
    give_up(error.what());
  }
  assembly.reset();
  try {
    sync_file(writing);
  } catch (ResultError const& error) {
    give_up(error.what());
  }
  std::error_code error;
  std::filesystem::rename(writing, path, error);
  if (error) give_up(error.message());
  sync_directory_of(path);
}

}  // namespace brinecast::results
