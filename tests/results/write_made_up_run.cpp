// write_made_up_run FILE.h5 [--resume] [--shard I/N] [--pools N] [--replicates N] [--days N] [--slow MILLISECONDS]
// write_made_up_run FILE.h5 --words TEXT                names, comments and scenario text that hold TEXT
// write_made_up_run FILE.h5 --scenario FILE.toml        a scenario's text, and a list of input files that is empty
// write_made_up_run FILE.h5 --merge PART...
// Runs the real store on made-up tasks, in one thread and in an order that depends on nothing.

#include <fmt/format.h>

#include <chrono>
#include <csignal>
#include <cstring>
#include <fstream>
#include <iterator>
#include <thread>

#include "results/store.hpp"
#include "tests/results/made_up_run.hpp"

int main(int argc, char** argv) try {
  using namespace brinecast;
  // A file larger than the limit set by the shell must fail like a full disk, not end the program.
  std::signal(SIGXFSZ, SIG_IGN);
  std::filesystem::path const path = argv[1];
  results::StoreOptions options{.command = "write_made_up_run"};
  tests::RunSize size;
  std::string words, scenario;
  int slow_ms = 0;
  for (int i = 2; i < argc; ++i) {
    std::string const word = argv[i];
    auto const next = [&] { return argv[++i]; };
    if (word == "--resume") options.resume = true;
    if (word == "--shard") std::sscanf(next(), "%d/%d", &options.shard, &options.shards);
    if (word == "--pools") size.pools = std::stoul(next());
    if (word == "--replicates") size.replicates = static_cast<std::uint32_t>(std::stoul(next()));
    if (word == "--days") size.days = std::stoi(next());
    if (word == "--traces") size.traces = std::stoul(next());
    if (word == "--seed") size.seed = std::stoul(next());
    if (word == "--words") words = next();
    if (word == "--scenario") scenario = next();
    if (word == "--slow") slow_ms = std::stoi(next());
    if (word == "--merge") {
      results::merge(path, {argv + i + 1, argv + argc}, "write_made_up_run");
      return 0;
    }
  }
  auto run = tests::made_up_run(size);
  if (!words.empty()) {
    run.scenario_name = run.scenario_text = run.road_attribution = words;
    for (auto& policy : run.policies) policy.name = policy.comment = policy.name + words;
    for (auto& pool : run.pools) pool.name = pool.pool_class = pool.neighbourhood = pool.name + words;
    for (auto& technician : run.technicians) technician.name += words;
  }
  if (!scenario.empty()) {
    std::ifstream file(scenario);
    run.scenario_text.assign(std::istreambuf_iterator<char>(file), {});
    run.scenario_path = scenario;
    run.input_files.clear();
  }
  auto const begin = std::chrono::steady_clock::now();
  results::ResultStore store(path, run, options);
  for (auto const& task : store.remaining()) {
    if (slow_ms > 0) std::this_thread::sleep_for(std::chrono::milliseconds(slow_ms));
    store.accept(tests::made_up_result(run, task.policy, task.replicate));
  }
  auto const simulated = std::chrono::steady_clock::now();
  auto const written = store.finish();
  auto const ms = [](auto span) { return std::chrono::duration<double, std::milli>(span).count(); };
  fmt::print("{}: tasks {:.0f} ms, file {:.0f} ms\n", written.string(), ms(simulated - begin),
             ms(std::chrono::steady_clock::now() - simulated));
  return 0;
} catch (std::exception const& error) {
  fmt::print(stderr, "write_made_up_run: {}\n", error.what());
  return 1;
}
