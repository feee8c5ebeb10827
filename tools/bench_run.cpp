// bench_run: what a whole run costs beside its hourly kernel, how that grows with the run, and the memory it takes.
//   bench_run BRINECAST [SCENARIO]
// The parts of SCENARIO's cost (the valley unless named) are measured within this process by processor time; growth,
// scaling and memory by starting the program BRINECAST on scenarios written into a temporary folder.

#include <fmt/format.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <fstream>
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
  options.threads = 1;  // this thread simulates, so all other processor time is the writer's
  double const start_s = wall_s(), start_process_s = process_s(), start_thread_s = thread_s();
  auto const outcome = sim::run_ensemble(*prepared, store.remaining(), sink, options);
  double const simulated_s = wall_s();
  double const writer_s = (process_s() - start_process_s) - (thread_s() - start_thread_s);
  double const before_assembly_s = process_s();
  store.finish();
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
    policies += fmt::format("[policies.every_{0}_days]\nvisits.interval = \"{0} d\"\n", 7 + i);
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

/// Runs a program quietly; throws when it fails.
Cost cost_of(std::vector<std::string> const& words) {
  std::vector<char*> arguments;
  for (auto const& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
  arguments.push_back(nullptr);
  double const started_s = wall_s();
  pid_t const child = fork();
  if (child == 0) {
    if (std::freopen("/dev/null", "w", stderr) == nullptr) _exit(126);
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

/// What the seasons of eight more replicates cost: reading, planning and start-up, which a run pays once, drop out.
Cost cost_of_seasons(Runs const& runs, RunSize size, int threads, std::vector<std::string> const& before = {}) {
  size.replicates = 2;
  Cost const few = runs.run(size, threads, before);
  size.replicates = 10;
  Cost const many = runs.run(size, threads, before);
  return {.wall_s = many.wall_s - few.wall_s,
          .processor_s = many.processor_s - few.processor_s,
          .memory_MiB = many.memory_MiB};
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
      auto const cost = [&] {
        return member == &RunSize::replicates ? runs.run(size, 1) : cost_of_seasons(runs, size, 1);
      };
      y.push_back(std::min(cost().processor_s, cost().processor_s));
      seen += fmt::format(" {:g}: {:.2f} s", x.back(), y.back());
    }
    fmt::print("  {:<10}{}\n", name, seen);
    print_bar(fmt::format("R2 in {}", name), r_squared(x, y), "", 0.98, false);
  };
  grow("pools", &RunSize::pools, 160, 160);
  grow("hours", &RunSize::days, 60, 60 * 24);
  grow("replicates", &RunSize::replicates, 2, 2);
  grow("policies", &RunSize::policies, 1, 1);
}

double median_speedup(Runs const& runs, RunSize const& size, int threads, std::vector<std::string> const& before) {
  std::vector<double> ratios;
  for (int i = 0; i < 5; ++i) {
    double const one_s = cost_of_seasons(runs, size, 1).wall_s;
    ratios.push_back(one_s / cost_of_seasons(runs, size, threads, before).wall_s);
  }
  std::nth_element(ratios.begin(), ratios.begin() + 2, ratios.end());
  return ratios[2];
}

void measure_scaling(Runs const& runs) {
  fmt::print("scaling of seasons and writing, median of five pairs by wall time (needs two idle cores)\n");
  RunSize const size{.pools = 512, .days = 240};
  print_bar("two threads over one", median_speedup(runs, size, 2, {}), "times", 1.85, false);
  setenv("OMPI_ALLOW_RUN_AS_ROOT", "1", 1);
  setenv("OMPI_ALLOW_RUN_AS_ROOT_CONFIRM", "1", 1);
#ifdef BRINECAST_WITH_MPI
  if (std::system("mpirun --version > /dev/null 2>&1") == 0) {
    print_bar("two ranks over one", median_speedup(runs, size, 1, {"mpirun", "--oversubscribe", "-n", "2"}), "times",
              1.8, false);
    return;
  }
#endif
  fmt::print("  SKIPPED: two ranks over one (needs mpirun and a build with MPI)\n");
}

void measure_memory(Runs const& runs) {
  fmt::print("peak memory\n");
  std::vector<double> peaks;
  for (int const replicates : {4, 8, 16, 32}) {
    peaks.push_back(runs.run({.days = 30, .replicates = replicates}, 2).memory_MiB);
    fmt::print("  {:2} replicates of 256 pools: {:.0f} MiB\n", replicates, peaks.back());
  }
  print_bar("32 replicates over 8", peaks[3] / peaks[1], "times", 1.1, true);
  double const large = runs.run({.pools = 10'000, .days = 120, .replicates = 3, .policies = 3}, 2).memory_MiB;
  fmt::print("  the next bar is run with 3 replicates of 100, as memory does not depend on their number (above)\n");
  print_bar("10,000 pools, 3 policies, 120 days", large, "MiB", 1024.0, true);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2 || argc > 3) {
    fmt::print(stderr, "usage: bench_run BRINECAST [SCENARIO]\n");
    return 2;
  }
  std::filesystem::path const top = BRINECAST_SOURCE_DIR;
  auto pattern = (std::filesystem::temp_directory_path() / "bench_run.XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) {
    fmt::print(stderr, "bench_run: no temporary folder can be made\n");
    return 1;
  }
  std::filesystem::path const folder = pattern;
  int code = 0;
  try {
    std::setvbuf(stdout, nullptr, _IOLBF, 0);
    Runs const runs(argv[1], folder);
    measure_parts(argc == 3 ? std::filesystem::path(argv[2]) : top / "scenarios/valley.toml", folder);
    measure_growth(runs);
    measure_scaling(runs);
    measure_memory(runs);
    code = all_held ? 0 : 1;
  } catch (std::exception const& error) {
    fmt::print(stderr, "bench_run: {}\n", error.what());
    code = 1;
  }
  std::filesystem::remove_all(folder);
  return code;
}
