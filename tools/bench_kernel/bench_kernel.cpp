// bench_kernel: what a pool-hour costs, in every build of the kernel, against NumPy and against the machine's own
// limit.

#include <benchmark/benchmark.h>
#include <fmt/format.h>
#include <sys/wait.h>
#include <tbb/global_control.h>
#include <tbb/parallel_for.h>
#include <unistd.h>

#include <algorithm>
#include <boost/program_options.hpp>
#include <cstdio>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <map>
#include <nlohmann/json.hpp>
#include <numeric>

#include "sim/fleet/kernel.hpp"
#include "tools/bench_kernel/counted_lanes.hpp"
#include "tools/bench_kernel/target_measures.hpp"
#include "tools/bench_kernel/workload.hpp"

namespace {

using namespace brinecast::sim;
using namespace brinecast::tools;
namespace options = boost::program_options;

constexpr int fine = 0;
constexpr int bar_missed = 1;
constexpr int wrong_usage = 2;

constexpr std::size_t usual_pools = 1000;  // where the bars are set
constexpr int repetitions = 5;             // the quickest counts: other work on the machine only adds
constexpr std::array<char const*, phenomena> phenomenon_names = {"start: cover, bathers, pump",
                                                                 "heat, evaporation, ice",
                                                                 "water and what it carries",
                                                                 "equilibrium constants",
                                                                 "forms of chlorine",
                                                                 "pH, saturation index",
                                                                 "gas exchange",
                                                                 "chlorine budget, algae",
                                                                 "scale, coating, frost",
                                                                 "unit, warnings",
                                                                 "counting"};

struct Options {
  std::string scenario = BRINECAST_SOURCE_DIR "/scenarios/valley.toml";
  std::string python = "/usr/bin/python3";
  std::size_t largest = 1'000'000;
  bool numpy = true;
  bool json = false;
};

// --- the fleet -------------------------------------------------------------------------------------------------------

/// As many pools as asked for: the workload's blocks, repeated.
std::vector<PoolBlock> blocks_of(Workload const& workload, std::size_t pools) {
  auto const& base = workload.fleet.blocks;
  std::vector<PoolBlock> blocks;
  blocks.reserve((pools + block_pools - 1) / block_pools);
  for (std::size_t done = 0; done < pools; done += block_pools) {
    blocks.push_back(base[blocks.size() % base.size()]);
    std::size_t const used = std::min(block_pools, pools - done);
    blocks.back().lanes_used = (used + widest_group - 1) / widest_group * widest_group;
  }
  return blocks;
}

void advance_day(PoolBlock& block, HourForcing const* hours, KernelSettings const& settings, AdvanceBlock advance) {
  block.hours.made_today_mol = {};
  block.hours.wanted_today_h = {};
  for (int hour = 0; hour < 24; ++hour) advance(block, hours[hour], settings);
}

/// One iteration is one day of the fleet; after the last day of weather the fleet starts anew, unmeasured.
void run_days(benchmark::State& state, Workload const& workload, std::size_t pools, AdvanceBlock advance) {
  auto blocks = blocks_of(workload, pools);
  std::size_t const days = workload.hours.size() / 24;
  std::size_t day = 0;
  for (auto _ : state) {
    if (day == days) {
      state.PauseTiming();
      blocks = blocks_of(workload, pools);
      day = 0;
      state.ResumeTiming();
    }
    for (PoolBlock& block : blocks) advance_day(block, &workload.hours[24 * day], workload.settings, advance);
    ++day;
  }
}

/// The same for a number of days at once: how the time grows with the hours.
void run_season(benchmark::State& state, Workload const& workload, std::size_t pools, std::size_t days,
                AdvanceBlock advance) {
  for (auto _ : state) {
    state.PauseTiming();
    auto blocks = blocks_of(workload, pools);
    state.ResumeTiming();
    for (std::size_t day = 0; day < days; ++day) {
      for (PoolBlock& block : blocks) advance_day(block, &workload.hours[24 * day], workload.settings, advance);
    }
  }
}

/// Blocks shared among threads, as a season does when it has fewer tasks than cores.
void run_threads(benchmark::State& state, Workload const& workload, std::size_t pools, std::size_t threads,
                 AdvanceBlock advance) {
  tbb::global_control const limit(tbb::global_control::max_allowed_parallelism, threads);
  auto blocks = blocks_of(workload, pools);
  std::size_t day = 0;
  for (auto _ : state) {
    tbb::parallel_for(std::size_t{0}, blocks.size(), [&](std::size_t i) {
      advance_day(blocks[i], &workload.hours[24 * day], workload.settings, advance);
    });
    day = (day + 1) % (workload.hours.size() / 24);
  }
}

// --- Google Benchmark does the timing, this collects it
// ---------------------------------------------------------------

class Quickest : public benchmark::BenchmarkReporter {
 public:
  bool ReportContext(Context const&) override { return true; }
  void ReportRuns(std::vector<Run> const& runs) override {
    for (Run const& run : runs) {
      if (run.run_type != Run::RT_Iteration || run.iterations == 0) continue;
      bool const wall = run.run_name.function_name.rfind("threads", 0) == 0;
      double const ns =
          (wall ? run.real_accumulated_time : run.cpu_accumulated_time) * 1e9 / static_cast<double>(run.iterations);
      auto const [it, first] = ns_.try_emplace(run.run_name.function_name, ns);
      if (!first) it->second = std::min(it->second, ns);
    }
  }
  /// Of one iteration.
  [[nodiscard]] double ns(std::string const& name) const { return ns_.at(name); }

 private:
  std::map<std::string, double> ns_;
};

std::string name_of(std::string_view target, std::size_t pools) { return fmt::format("{}/{}", target, pools); }

// --- the machine
// ------------------------------------------------------------------------------------------------------

double processor_ns() { return 1e9 * static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

TargetMeasures measures_of(std::string_view target) {
#if defined(BRINECAST_X86_TARGETS)
  if (target == "avx512") return measures_avx512();
  if (target == "avx2") return measures_avx2();
  if (target == "sse4") return measures_sse4();
#endif
  return measures_portable();
}

/// Of one core with one instruction set: ns per operation on one double, and the fastest that it can move memory.
struct MachineLimit {
  double flops_per_ns = 0.0;
  double division_ns = 0.0;
  double square_root_ns = 0.0;
  double cache_bytes_per_ns = 0.0;   // 24 kB
  double memory_bytes_per_ns = 0.0;  // 400 MB
};

double quickest_chain_ns(double (*chain)(std::int64_t), int lanes, std::int64_t rounds) {
  double quickest = 1e300;
  for (int i = 0; i < repetitions; ++i) {
    double const start = processor_ns();
    benchmark::DoNotOptimize(chain(rounds));
    quickest = std::min(quickest, processor_ns() - start);
  }
  return quickest / static_cast<double>(rounds) / lanes;
}

/// Bytes read and written per ns by a[i] = b[i] + factor c[i].
double triad_bytes_per_ns(std::size_t numbers) {
  std::vector<double> a(numbers, 0.0), b(numbers, 1.0), c(numbers, 2.0);
  std::size_t const passes = std::max<std::size_t>(1, 40'000'000 / numbers);
  double quickest = 1e300;
  for (int i = 0; i < repetitions; ++i) {
    double const start = processor_ns();
    for (std::size_t pass = 0; pass < passes; ++pass) {
      double const factor = 1e-9 * static_cast<double>(pass);
      for (std::size_t n = 0; n < numbers; ++n) a[n] = b[n] + factor * c[n];
      benchmark::ClobberMemory();
    }
    quickest = std::min(quickest, processor_ns() - start);
  }
  return 24.0 * static_cast<double>(numbers * passes) / quickest;
}

MachineLimit measure_machine(TargetMeasures const& measures) {
  int const lanes = measures.chain_lanes();
  return {.flops_per_ns = 2.0 / quickest_chain_ns(measures.multiply_adds, lanes, 4'000'000),
          .division_ns = quickest_chain_ns(measures.divisions, lanes, 400'000),
          .square_root_ns = quickest_chain_ns(measures.square_roots, lanes, 400'000),
          .cache_bytes_per_ns = triad_bytes_per_ns(1024),
          .memory_bytes_per_ns = triad_bytes_per_ns(17'000'000)};
}

// --- the model's own work
// ---------------------------------------------------------------------------------------------

/// Adds what each phenomenon did to its count.
struct CountWatch {
  std::array<OperationCount, phenomena>* counts = nullptr;
  OperationCount* last = nullptr;
  void operator()(Phenomenon done) const {
    OperationCount& count = (*counts)[static_cast<std::size_t>(done)];
    count = count.plus(1.0, CountedLanes::done.plus(-1.0, *last));
    *last = CountedLanes::done;
  }
};

/// Operations of each phenomenon in a pool-hour: the mean over a day of a block, each pool skipping what it can.
std::array<OperationCount, phenomena> count_operations(Workload const& workload) {
  std::array<OperationCount, phenomena> sums{};
  PoolBlock block = workload.fleet.blocks.front();
  OperationCount last = CountedLanes::done;
  for (std::size_t hour = 0; hour < 24; ++hour) {
    for (std::size_t lane = 0; lane < block_pools; ++lane) {
      PoolHour<CountedLanes, CountWatch>(block, lane, workload.hours[hour], workload.settings, {&sums, &last}).run();
    }
  }
  std::array<OperationCount, phenomena> means{};
  for (std::size_t i = 0; i < phenomena; ++i) means[i] = means[i].plus(1.0 / (24.0 * block_pools), sums[i]);
  return means;
}

/// ns that the machine needs at the very least for these operations: every addition fused with a multiplication, all
/// pipelines full, nothing waiting.
double least_ns(OperationCount const& count, MachineLimit const& machine) {
  return count.flops / machine.flops_per_ns + count.divisions * machine.division_ns +
         count.square_roots * machine.square_root_ns;
}

/// Share of the time of each phenomenon, by the processor's time stamp read after each of them. Each reading waits for
/// what is under way, which forbids the overlap of neighbours that the kernel itself enjoys: shares, not times.
std::array<double, phenomena> time_shares(Workload const& workload, TargetMeasures const& measures) {
  auto blocks = blocks_of(workload, usual_pools);
  std::array<double, phenomena> quickest{};
  quickest.fill(1e300);
  for (int pass = 0; pass < repetitions; ++pass) {
    std::array<std::uint64_t, phenomena> ticks{};
    for (PoolBlock& block : blocks) {
      for (std::size_t hour = 0; hour < 24; ++hour) {
        measures.advance_watched(block, workload.hours[hour], workload.settings, ticks.data());
      }
    }
    for (std::size_t i = 0; i < phenomena; ++i) quickest[i] = std::min(quickest[i], static_cast<double>(ticks[i]));
  }
  double const sum = std::accumulate(quickest.begin(), quickest.end(), 0.0);
  for (double& ticks : quickest) ticks = sum > 0.0 ? ticks / sum : 0.0;
  return quickest;
}

// --- NumPy
// ------------------------------------------------------------------------------------------------------------

/// What a program writes to standard output, without a shell; empty when it cannot be started.
std::string output_of(std::vector<std::string> const& words) {
  std::vector<char*> arguments;
  for (auto const& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
  arguments.push_back(nullptr);
  std::array<int, 2> ends{};
  if (pipe(ends.data()) != 0) return {};
  pid_t const child = fork();
  if (child == 0) {
    dup2(ends[1], STDOUT_FILENO);
    close(ends[0]);
    close(ends[1]);
    execvp(arguments.front(), arguments.data());
    _exit(127);
  }
  close(ends[1]);
  std::string text;
  std::array<char, 4096> buffer{};
  for (ssize_t got = 0; child > 0 && (got = read(ends[0], buffer.data(), buffer.size())) > 0;) {
    text.append(buffer.data(), static_cast<std::size_t>(got));
  }
  close(ends[0]);
  if (child > 0) waitpid(child, nullptr, 0);
  return text;
}

/// ns per pool-hour by number of pools; empty when Python cannot run it.
std::map<std::size_t, double> time_numpy(Workload const& workload, Options const& given) {
  namespace fs = std::filesystem;
  fs::path const file = fs::temp_directory_path() / fmt::format("bench_kernel_{}.json", getpid());
  {
    std::ofstream out(file);
    write_case(out, workload);
  }
  std::string const text = output_of({given.python, BRINECAST_SOURCE_DIR "/tests/numpy_kernel/time_pool_hour.py",
                                      file.string(), "1000", "2000", "4000", "8000", "16000", "32000"});
  fs::remove(file);
  std::map<std::size_t, double> result;
  auto const parsed = nlohmann::json::parse(text, nullptr, false);
  if (parsed.is_discarded()) return result;
  for (auto const& [pools, ns] : parsed.items()) result[std::stoul(pools)] = ns.get<double>();
  return result;
}

// --- fits
// -------------------------------------------------------------------------------------------------------------

struct Line {
  double intercept, slope;
  double largest_residual;  // relative to the measured value
};

/// Least squares of relative errors, so that small sizes count as much as large ones.
Line fit_line(std::vector<double> const& x, std::vector<double> const& y) {
  double s = 0, sx = 0, sxx = 0, sy = 0, sxy = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    double const weight = 1.0 / (y[i] * y[i]);
    s += weight, sx += weight * x[i], sxx += weight * x[i] * x[i], sy += weight * y[i], sxy += weight * x[i] * y[i];
  }
  double const slope = (s * sxy - sx * sy) / (s * sxx - sx * sx);
  double const intercept = (sy - slope * sx) / s;
  double largest = 0.0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    largest = std::max(largest, std::abs(intercept + slope * x[i] - y[i]) / y[i]);
  }
  return {intercept, slope, largest};
}

struct Bar {
  std::string name;
  double value, must, goal;
  bool more_is_better;
  [[nodiscard]] bool meets(double limit) const { return more_is_better ? value >= limit : value <= limit; }
};

int run(Options const& given) {
  Problems problems;
  auto const workload = make_workload({.scenario = given.scenario}, problems);
  if (!workload) {
    fmt::print(stderr, "{}", problems.text());
    return bar_missed;
  }
  auto const& targets = vector_targets();
  VectorTarget const& best = targets.back();
  std::vector<std::size_t> sizes;
  for (std::size_t const size : {100, 1'000, 10'000, 100'000, 1'000'000}) {
    double const bytes = 1.2 * static_cast<double>(size) * sizeof(PoolBlock) / block_pools;
    double const free_bytes =
        static_cast<double>(sysconf(_SC_AVPHYS_PAGES)) * static_cast<double>(sysconf(_SC_PAGE_SIZE));
    if (size <= given.largest && bytes < free_bytes) sizes.push_back(size);
  }
  // Narrow builds need not show that they scale.
  auto const measured = [&](VectorTarget const& target, std::size_t size) {
    return target.name == best.name || size <= 10'000;
  };
  std::vector<std::size_t> const season_days = {1, 2, 4, 8, 16};
  std::size_t const thread_pools = std::min<std::size_t>(10'000, given.largest);
  constexpr double shortest_s = 0.05;
  for (VectorTarget const& target : targets) {
    for (std::size_t const size : sizes) {
      if (!measured(target, size)) continue;
      benchmark::RegisterBenchmark(name_of(target.name, size).c_str(), run_days, *workload, size, target.advance)
          ->MinTime(shortest_s)
          ->Repetitions(size > 100'000 ? 2 : repetitions);
    }
  }
  for (std::size_t const days : season_days) {
    benchmark::RegisterBenchmark(name_of("days", days).c_str(), run_season, *workload, usual_pools, days, best.advance)
        ->MinTime(shortest_s)
        ->Repetitions(repetitions);
  }
  for (std::size_t const threads : {1U, 2U}) {
    benchmark::RegisterBenchmark(name_of("threads", threads).c_str(), run_threads, *workload, thread_pools, threads,
                                 best.advance)
        ->MinTime(0.2)
        ->UseRealTime()
        ->Repetitions(repetitions);
  }
  TargetMeasures const measures = measures_of(best.name);
  MachineLimit const machine = measure_machine(measures);
  Quickest times;
  benchmark::RunSpecifiedBenchmarks(&times);
  auto const shares = time_shares(*workload, measures);
  auto const counts = count_operations(*workload);
  auto const numpy = given.numpy ? time_numpy(*workload, given) : std::map<std::size_t, double>{};

  auto const ns = [&](std::string_view target, std::size_t pools) {
    return times.ns(name_of(target, pools)) / (24.0 * static_cast<double>(pools));
  };
  double const scalar = ns(targets.front().name, usual_pools);
  double const vector = ns(best.name, usual_pools);
  double limit = 0.0;
  for (OperationCount const& count : counts) limit += least_ns(count, machine);
  double const two_threads = times.ns("threads/1") / times.ns("threads/2");
  std::vector<double> x, y;
  for (std::size_t const size : sizes) {
    x.push_back(static_cast<double>(size));
    y.push_back(times.ns(name_of(best.name, size)) / 24.0);
  }
  Line const in_pools = fit_line(x, y);
  x.clear(), y.clear();
  for (std::size_t const days : season_days) {
    x.push_back(24.0 * static_cast<double>(days));
    y.push_back(times.ns(name_of("days", days)) / usual_pools);
  }
  Line const in_hours = fit_line(x, y);

  std::vector<Bar> bars = {{"scalar over vector", scalar / vector, 5.0, 7.0, true},
                           {"vector over limit", vector / limit, 3.0, 2.0, false},
                           {"two threads over one", two_threads, 1.85, 1.95, true}};
  std::size_t best_numpy_pools = 0;
  if (!numpy.empty()) {
    best_numpy_pools = std::min_element(numpy.begin(), numpy.end(), [](auto const& a, auto const& b) {
                         return a.second < b.second;
                       })->first;
    bars.insert(bars.begin() + 1, {"NumPy over vector, 1000 pools", numpy.at(usual_pools) / vector, 12.0, 20.0, true});
    bars.insert(bars.begin() + 2,
                {"NumPy at its best size over vector", numpy.at(best_numpy_pools) / vector, 6.0, 9.0, true});
  }
  for (std::size_t const size : {sizes.front(), sizes.back()}) {
    bars.push_back(
        {fmt::format("{} pools over 1000, per pool-hour", size), ns(best.name, size) / vector, 1.3, 1.1, false});
  }
  double const bytes_per_pool = static_cast<double>(sizeof(PoolBlock)) / block_pools;

  if (given.json) {
    nlohmann::json out;
    auto& at_usual = out["ns_per_pool_hour"];
    at_usual = {{"scalar", scalar}, {"vector", vector}, {"limit", limit}};
    at_usual["numpy"] = numpy.empty() ? nlohmann::json() : nlohmann::json(numpy.at(usual_pools));
    for (auto const& [pools, value] : numpy) out["numpy_by_pools"][std::to_string(pools)] = value;
    for (VectorTarget const& target : targets) {
      for (std::size_t const size : sizes) {
        if (!measured(target, size)) continue;
        out["by_target"][std::string(target.name)][std::to_string(size)] = ns(target.name, size);
      }
    }
    out["vector_target"] = best.name;
    for (std::size_t i = 0; i < phenomena; ++i) {
      OperationCount const& c = counts[i];
      out["phenomena"].push_back({{"name", phenomenon_names[i]},
                                  {"share_of_time", shares[i]},
                                  {"share_of_limit", least_ns(c, machine) / limit},
                                  {"flops", c.flops},
                                  {"divisions", c.divisions},
                                  {"square_roots", c.square_roots},
                                  {"exponentials", c.exponentials},
                                  {"logarithms", c.logarithms},
                                  {"loads", c.loads},
                                  {"stores", c.stores}});
    }
    out["machine"] = {{"gigaflops_per_s", machine.flops_per_ns},
                      {"division_ns", machine.division_ns},
                      {"square_root_ns", machine.square_root_ns},
                      {"cache_gigabytes_per_s", machine.cache_bytes_per_ns},
                      {"memory_gigabytes_per_s", machine.memory_bytes_per_ns}};
    out["threads"] = {{"pools", thread_pools}, {"two_over_one", two_threads}};
    out["bytes_per_pool"] = bytes_per_pool;
    out["linear_fit"] = {{"pools",
                          {{"ns_per_hour", in_pools.intercept},
                           {"ns_per_pool_hour", in_pools.slope},
                           {"largest_residual", in_pools.largest_residual}}},
                         {"hours",
                          {{"ns_per_pool", in_hours.intercept},
                           {"ns_per_pool_hour", in_hours.slope},
                           {"largest_residual", in_hours.largest_residual}}}};
    for (Bar const& bar : bars) {
      out["bars"].push_back({{"name", bar.name},
                             {"value", bar.value},
                             {"must", bar.must},
                             {"goal", bar.goal},
                             {"more_is_better", bar.more_is_better},
                             {"held", bar.meets(bar.must)}});
    }
    std::cout << out.dump(1) << '\n';
  } else {
    fmt::print("ns per pool-hour, quickest of {} repetitions, one core\n{:<12}", repetitions, "pools");
    for (VectorTarget const& target : targets) fmt::print("{:>11}", target.name);
    fmt::print("\n");
    for (std::size_t const size : sizes) {
      fmt::print("{:<12}", size);
      for (VectorTarget const& target : targets) {
        fmt::print("{:>11}", measured(target, size) ? fmt::format("{:.1f}", ns(target.name, size)) : "");
      }
      fmt::print("\n");
    }
    if (numpy.empty()) {
      fmt::print("NumPy: not timed\n");
    } else {
      fmt::print("NumPy       ");
      for (auto const& [pools, value] : numpy) fmt::print("{:>9.0f} at {}", value, pools);
      fmt::print("\n");
    }
    fmt::print(
        "\nthe machine, {}: {:.1f} Gflop/s by multiply-add, a division {:.3f} ns, a square root {:.3f} ns, triad "
        "{:.0f} GB/s in cache, {:.0f} in memory\n",
        best.name, machine.flops_per_ns, machine.division_ns, machine.square_root_ns, machine.cache_bytes_per_ns,
        machine.memory_bytes_per_ns);
    fmt::print("limit: {:.1f} ns per pool-hour\n\n", limit);
    fmt::print("{:<28}{:>7}{:>8}{:>7}{:>6}{:>6}{:>6}{:>5}{:>7}{:>8}\n", "phenomenon", "time", "limit", "flops", "div",
               "root", "exp", "log", "loads", "stores");
    OperationCount sum;
    for (std::size_t i = 0; i < phenomena; ++i) {
      OperationCount const& c = counts[i];
      sum = sum.plus(1.0, c);
      fmt::print("{:<28}{:>6.1f}%{:>7.1f}%{:>7.0f}{:>6.1f}{:>6.1f}{:>6.1f}{:>5.1f}{:>7.0f}{:>8.0f}\n",
                 phenomenon_names[i], 100.0 * shares[i], 100.0 * least_ns(c, machine) / limit, c.flops, c.divisions,
                 c.square_roots, c.exponentials, c.logarithms, c.loads, c.stores);
    }
    fmt::print("{:<28}{:>7}{:>8}{:>7.0f}{:>6.1f}{:>6.1f}{:>6.1f}{:>5.1f}{:>7.0f}{:>8.0f}\n\n", "all", "", "", sum.flops,
               sum.divisions, sum.square_roots, sum.exponentials, sum.logarithms, sum.loads, sum.stores);
    fmt::print("time of an hour   = {:.0f} ns + {:.2f} ns x pools (within {:.1f} %)\n", in_pools.intercept,
               in_pools.slope, 100.0 * in_pools.largest_residual);
    fmt::print("time of a pool    = {:.0f} ns + {:.2f} ns x hours (within {:.1f} %)\n", in_hours.intercept,
               in_hours.slope, 100.0 * in_hours.largest_residual);
    fmt::print("memory            = {:.0f} bytes per pool\n\n", bytes_per_pool);
    for (Bar const& bar : bars) {
      fmt::print("{:<44}{:>8.2f}   {} {}, goal {}   {}\n", bar.name, bar.value,
                 bar.more_is_better ? "at least" : "at most", bar.must, bar.goal,
                 bar.meets(bar.goal)   ? "goal"
                 : bar.meets(bar.must) ? "held"
                                       : "MISSED");
    }
  }
  return std::all_of(bars.begin(), bars.end(), [](Bar const& bar) { return bar.meets(bar.must); }) ? fine : bar_missed;
}

}  // namespace

int main(int argc, char** argv) {
  Options given;
  std::string format;
  options::options_description known("bench_kernel [options]: exits with 1 when a bar is missed");
  auto add = known.add_options();
  add("help", "this text");
  add("format", options::value(&format)->default_value("text"), "text or json");
  add("scenario", options::value(&given.scenario)->default_value(given.scenario), "whose pools and weather");
  add("largest", options::value(&given.largest)->default_value(given.largest), "largest fleet, pools; at least 1000");
  add("python", options::value(&given.python)->default_value(given.python), "a Python with NumPy");
  add("without-numpy", "leave NumPy out");
  try {
    options::variables_map values;
    options::store(options::parse_command_line(argc, argv, known), values);
    options::notify(values);
    if (values.count("help") != 0) {
      std::cout << known;
      return fine;
    }
    given.numpy = values.count("without-numpy") == 0;
    given.json = format == "json";
    if ((format != "text" && format != "json") || given.largest < usual_pools) {
      throw options::error("--format takes text or json, --largest at least 1000");
    }
  } catch (options::error const& error) {
    std::cerr << "bench_kernel: " << error.what() << " (bench_kernel --help lists all options)\n";
    return wrong_usage;
  }
  return run(given);
}
