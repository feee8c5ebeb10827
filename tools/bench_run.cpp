// bench_run: what a whole run costs beside its hourly kernel, how that grows with the run, and the memory it takes.
// The parts of a scenario's cost are measured within this process by processor time; growth, scaling and memory by
// starting the program brinecast on scenarios written into a temporary folder.

#include <fmt/format.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <boost/program_options.hpp>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <limits>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "results/store.hpp"
#include "sim/ensemble/ensemble.hpp"
#include "sim/fleet/advance.hpp"
#include "sim/scenario/read_scenario.hpp"
#include "tools/small_fleet/small_fleet.hpp"

namespace {

using namespace brinecast;

double seconds_of(clockid_t clock) {
  timespec now{};
  clock_gettime(clock, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}
double wall_s() { return seconds_of(CLOCK_MONOTONIC); }
double thread_s() { return seconds_of(CLOCK_THREAD_CPUTIME_ID); }
double process_s() { return seconds_of(CLOCK_PROCESS_CPUTIME_ID); }

bool all_held = true;

void print_bar(std::string const& what, double value, std::string const& unit, double bar, bool at_most) {
  bool const held = at_most ? value <= bar : value >= bar;
  all_held = all_held && held;
  fmt::print("  {:<52} {:9.3f} {:<6} {} {:g}: {}\n", what, value, unit, at_most ? "at most" : "at least", bar,
             held ? "held" : "MISSED");
}

/// Measures the time that a store takes of the thread that simulates.
class TimedSink final : public sim::TaskSink {
 public:
  explicit TimedSink(sim::TaskSink& sink) : sink_(sink) {}
  void accept(sim::TaskResult const& result) override {
    double const processor_before_s = thread_s(), before_s = wall_s();
    sink_.accept(result);
    processor_s += thread_s() - processor_before_s;
    elapsed_s += wall_s() - before_s;
  }
  double processor_s = 0.0, elapsed_s = 0.0;

 private:
  sim::TaskSink& sink_;
};

void measure_parts(std::filesystem::path const& path, std::filesystem::path const& folder) {
  sim::Problems problems;
  auto scenario = sim::read_scenario(path, problems);
  if (!scenario) throw std::runtime_error(problems.text());
  scenario->replicates = 8;
  double const before_planning_s = wall_s();
  auto const prepared = sim::prepare(std::move(*scenario), problems);
  if (!prepared) throw std::runtime_error(problems.text());
  double const planning_s = wall_s() - before_planning_s;
  results::ResultStore store(folder / "parts.h5",
                             results::describe(prepared->scenario, prepared->plans, prepared->scenario.input_files,
                                               std::string(sim::best_vector_target().name)),
                             {.command = "bench_run"});
  TimedSink sink(store);
  sim::EnsembleOptions options;
  // This thread simulates and compresses, so all other processor time is the writer's.
  options.threads = 1;
  double const start_s = wall_s(), start_process_s = process_s(), start_thread_s = thread_s();
  auto const outcome = sim::run_ensemble(*prepared, store.remaining(), sink, options);
  double const simulated_s = wall_s();
  double const writer_s = (process_s() - start_process_s) - (thread_s() - start_thread_s);
  double const before_assembly_s = process_s();
  store.finish(1);
  double const assembly_s = process_s() - before_assembly_s, end_s = wall_s();
  double const run_s = process_s() - start_process_s, writing_s = sink.processor_s + writer_s + assembly_s;
  double const hours = outcome.nanoseconds_per_pool_hour;
  fmt::print("parts of {} ({} pools, {} policies, {} replicates, one thread)\n", path.filename().string(),
             prepared->scenario.pools.size(), prepared->scenario.policies.size(), prepared->scenario.replicates);
  fmt::print("  planning, apart: {:.1f} s of wall time\n", planning_s);
  fmt::print("  whole season {:.1f} ns per pool-hour, kernel and visits {:.1f}; dispatch {:.1f} % of it\n", hours,
             outcome.kernel_nanoseconds_per_pool_hour, 100.0 * outcome.dispatch_share);
  fmt::print("  writing, processor time: encoding {:.3f} s, journal {:.3f} s, assembly and compression {:.3f} s\n",
             sink.processor_s, writer_s, assembly_s);
  // Processor time of weather, seasons and writing per season time and kernel time.
  double const run_to_kernel = run_s / (run_s - writing_s) * hours / outcome.kernel_nanoseconds_per_pool_hour;
  print_bar("whole run over kernel and visits, processor time", run_to_kernel, "", 1.5, true);
  print_bar("writing, of processor time", 100.0 * writing_s / run_s, "%", 10.0, true);
  print_bar("waiting for writing and assembly, of wall time",
            100.0 * (sink.elapsed_s + end_s - simulated_s) / (end_s - start_s), "%", 10.0, true);
}

struct RunSize {
  int pools = 256, days = 120, replicates = 4, policies = 2;
};

std::string scenario_text(RunSize const& size) {
  std::string policies;
  for (int i = 0; i < size.policies; ++i) {
    policies += fmt::format("[policies.weekly_{}]\nvisits.interval = \"7 d\"\n", i + 1);  // all cost the same
  }
  return tools::small_fleet_text({{"replicates", std::to_string(size.replicates)},
                                  {"first_day", "2027-04-01"},
                                  {"days", std::to_string(size.days)},
                                  {"pools", std::to_string(size.pools)},
                                  {"technicians", tools::technicians(std::max(1, size.pools / 64))},
                                  {"planning_time", "0.01 s"},
                                  {"policies", policies}});
}

struct Cost {
  double wall_s = 0.0, processor_s = 0.0, memory_MiB = 0.0;
};

/// Runs a program quietly, without a shell; throws when it fails.
Cost cost_of(std::vector<std::string> const& words) {
  std::vector<char*> arguments;
  for (auto const& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
  arguments.push_back(nullptr);
  double const started_s = wall_s();
  pid_t const child = fork();
  if (child == 0) {
    for (std::FILE* stream : {stdout, stderr}) {
      if (std::freopen("/dev/null", "w", stream) == nullptr) _exit(126);
    }
    execvp(arguments.front(), arguments.data());
    _exit(127);
  }
  int status = 0;
  rusage used{};
  if (child < 0 || wait4(child, &status, 0, &used) != child || !WIFEXITED(status) || WEXITSTATUS(status) != 0) {
    throw std::runtime_error(fmt::format("failed: {}", fmt::join(words, " ")));
  }
  auto const seconds = [](timeval const& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  return {.wall_s = wall_s() - started_s,
          .processor_s = seconds(used.ru_utime) + seconds(used.ru_stime),
          .memory_MiB = static_cast<double>(used.ru_maxrss) / 1024.0};
}

class Runs {
 public:
  Runs(std::string program, std::filesystem::path folder) : program_(std::move(program)), folder_(std::move(folder)) {}

  Cost run(RunSize const& size, int threads, std::vector<std::string> before = {}) const {
    auto const scenario = folder_ / "bench.toml", out = folder_ / "bench.h5";
    std::ofstream(scenario) << scenario_text(size);
    before.insert(before.end(), {program_, "run", scenario.string(), "--out", out.string(), "--replace", "--threads",
                                 std::to_string(threads)});
    return cost_of(before);
  }

 private:
  std::string program_;
  std::filesystem::path folder_;
};

/// Processor time of the seasons of eight more replicates on one thread: reading, planning and start-up, which a run
/// pays once, drop out.
double seasons_processor_s(Runs const& runs, RunSize size) {
  size.replicates = 2;
  double const few_s = runs.run(size, 1).processor_s;
  size.replicates = 10;
  return runs.run(size, 1).processor_s - few_s;
}

/// Coefficient of determination of the straight line through the points.
double r_squared(std::vector<double> const& x, std::vector<double> const& y) {
  auto const n = static_cast<double>(x.size());
  double mean_x = 0.0, mean_y = 0.0, xx = 0.0, xy = 0.0, yy = 0.0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    mean_x += x[i] / n;
    mean_y += y[i] / n;
  }
  for (std::size_t i = 0; i < x.size(); ++i) {
    xx += (x[i] - mean_x) * (x[i] - mean_x);
    xy += (x[i] - mean_x) * (y[i] - mean_y);
    yy += (y[i] - mean_y) * (y[i] - mean_y);
  }
  return xy * xy / (xx * yy);
}

void measure_growth(Runs const& runs) {
  fmt::print("growth of processor time, one thread, planning apart (straight line through five sizes)\n");
  auto const grow = [&](std::string const& name, int RunSize::*member, int step, double per_step) {
    std::vector<double> x, y;
    std::string seen;
    for (int i = 1; i <= 5; ++i) {
      RunSize size;
      size.*member = i * step;
      x.push_back(i * per_step);
      // The least of two is the one that others disturbed less.
      auto const cost_s = [&] {
        return member == &RunSize::replicates ? runs.run(size, 1).processor_s : seasons_processor_s(runs, size);
      };
      y.push_back(std::min(cost_s(), cost_s()));
      seen += fmt::format(" {:g}: {:.2f} s", x.back(), y.back());
    }
    fmt::print("  {:<10}{}\n", name, seen);
    print_bar(fmt::format("R2 in {}", name), r_squared(x, y), "", 0.98, false);
  };
  grow("pools", &RunSize::pools, 160, 160);
  grow("hours", &RunSize::days, 60, 60 * 24);
  grow("replicates", &RunSize::replicates, 2, 2);
  grow("policies", &RunSize::policies, 1, 1);
  RunSize const some{.pools = 800, .days = 60, .policies = 1}, many{.pools = 8'000, .days = 60, .policies = 1};
  print_bar("8,000 pools over 800, per pool-hour",
            seasons_processor_s(runs, many) / seasons_processor_s(runs, some) / 10.0, "times", 1.3, true);
}

/// A way to run the program, and the least wall time it took for few and for many replicates.
struct Way {
  int threads = 1;
  std::vector<std::string> before = {};
  double few_s = std::numeric_limits<double>::infinity(), many_s = std::numeric_limits<double>::infinity();
  [[nodiscard]] double seasons_s() const { return many_s - few_s; }
};

/// The ways take turns, so that all of them meet the same neighbours on the machine, and the quickest of each counts:
/// what others do only adds. Their difference leaves out reading, planning, start-up and the end of MPI.
void take_turns(Runs const& runs, RunSize size, std::vector<Way>& ways) {
  constexpr int rounds = 5;
  for (int i = 0; i < rounds; ++i) {
    for (Way& way : ways) {
      size.replicates = 2;
      way.few_s = std::min(way.few_s, runs.run(size, way.threads, way.before).wall_s);
      size.replicates = 18;
      way.many_s = std::min(way.many_s, runs.run(size, way.threads, way.before).wall_s);
    }
  }
}

bool can_start_ranks() {
#ifdef BRINECAST_WITH_MPI
  // Containers often have no other user than root.
  setenv("OMPI_ALLOW_RUN_AS_ROOT", "1", 1);
  setenv("OMPI_ALLOW_RUN_AS_ROOT_CONFIRM", "1", 1);
  try {
    cost_of({"mpirun", "--version"});
    return true;
  } catch (std::runtime_error const&) {
    return false;
  }
#else
  return false;
#endif
}

void measure_scaling(Runs const& runs) {
  fmt::print("scaling of seasons and writing by wall time, planning and start-up apart (needs two idle cores)\n");
  std::vector<Way> ways = {{.threads = 1}, {.threads = 2}};
  bool const ranks = can_start_ranks();
  if (ranks) ways.push_back({.threads = 1, .before = {"mpirun", "--oversubscribe", "-n", "2"}});
  take_turns(runs, {.pools = 512, .days = 240}, ways);
  print_bar("two threads over one", ways[0].seasons_s() / ways[1].seasons_s(), "times", 1.85, false);
  if (ranks) {
    print_bar("two ranks over one", ways[0].seasons_s() / ways[2].seasons_s(), "times", 1.8, false);
  } else {
    fmt::print("  SKIPPED: two ranks over one (needs mpirun and a build with MPI)\n");
  }
}

void measure_memory(Runs const& runs) {
  fmt::print("peak memory, two threads\n");
  std::vector<double> peaks;
  for (int const replicates : {4, 32, 128}) {
    peaks.push_back(runs.run({.days = 30, .replicates = replicates}, 2).memory_MiB);
    fmt::print("  {:3} replicates of 256 pools: {:.1f} MiB\n", replicates, peaks.back());
  }
  // At 4 the buffers of fixed size are not full yet.
  print_bar("128 replicates over 32", peaks[2] / peaks[1], "times", 1.1, true);
  RunSize size{.pools = 10'000, .days = 60, .policies = 3};
  for (int const replicates : {3, 6}) {
    size.replicates = replicates;
    fmt::print("  {} replicates of 10,000 pools, 3 policies, {} days: {:.0f} MiB\n", replicates, size.days,
               runs.run(size, 2).memory_MiB);
  }
}

/// The bar itself: minutes, and some GB of disk for the journal.
void measure_large(Runs const& runs) {
  RunSize const size{.pools = 10'000, .days = 60, .replicates = 100, .policies = 3};
  Cost const cost = runs.run(size, 2);
  fmt::print("10,000 pools, 3 policies, 100 replicates, {} days: {:.0f} s of wall time, {:.0f} s of processor time\n",
             size.days, cost.wall_s, cost.processor_s);
  print_bar("peak memory", cost.memory_MiB, "MiB", 1024.0, true);
}

}  // namespace

int main(int argc, char** argv) {
  namespace options = boost::program_options;
  std::filesystem::path const top = BRINECAST_SOURCE_DIR;
  std::string program, scenario = (top / "scenarios/valley.toml").string(), wanted;
  options::options_description known("bench_run BRINECAST [options]: exits with 1 when a bar is missed");
  known.add_options()("help", "this text")("program", options::value(&program)->value_name("BRINECAST"),
                                           "the program to start")(
      "scenario", options::value(&scenario)->default_value(scenario), "whose cost is taken apart")(
      "only", options::value(&wanted)->default_value("parts,growth,scaling,memory"),
      "what to measure, of parts, growth, scaling, memory, large: the last takes minutes and 5 GB in the temporary "
      "folder");
  std::vector<std::string> parts;
  try {
    options::variables_map values;
    options::positional_options_description first;
    first.add("program", 1);
    options::store(options::command_line_parser(argc, argv).options(known).positional(first).run(), values);
    options::notify(values);
    if (values.count("help") > 0) {
      std::cout << known;
      return 0;
    }
    if (program.empty()) throw options::error("name the program brinecast");
    std::istringstream list(wanted);
    for (std::string part; std::getline(list, part, ',');) {
      if (part != "parts" && part != "growth" && part != "scaling" && part != "memory" && part != "large") {
        throw options::error(fmt::format("--only does not know \"{}\"", part));
      }
      parts.push_back(part);
    }
  } catch (options::error const& error) {
    fmt::print(stderr, "bench_run: {} (bench_run --help lists all options)\n", error.what());
    return 2;
  }
  auto pattern = (std::filesystem::temp_directory_path() / "bench_run.XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) {
    fmt::print(stderr, "bench_run: no temporary folder can be made\n");
    return 1;
  }
  std::filesystem::path const folder = pattern;
  int code = 0;
  try {
    std::setvbuf(stdout, nullptr, _IOLBF, 0);
    Runs const runs(program, folder);
    for (auto const& part : parts) {
      if (part == "parts") measure_parts(scenario, folder);
      if (part == "growth") measure_growth(runs);
      if (part == "scaling") measure_scaling(runs);
      if (part == "memory") measure_memory(runs);
      if (part == "large") measure_large(runs);
    }
    code = all_held ? 0 : 1;
  } catch (std::exception const& error) {
    fmt::print(stderr, "bench_run: {}\n", error.what());
    code = 1;
  }
  std::filesystem::remove_all(folder);
  return code;
}
