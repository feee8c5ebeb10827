// brinecast run: simulate every policy on the same weather and write the result file.

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <iostream>
#include <limits>
#include <memory>
#include <sstream>

#include "results/digest.hpp"
#include "results/reader.hpp"
#include "results/run_size.hpp"
#include "results/store.hpp"
#include "sim/ensemble/ensemble.hpp"
#include "sim/fleet/advance.hpp"
#include "sim/scenario/limits.hpp"
#include "sim/scenario/read_scenario.hpp"
#include "tools/brinecast/command.hpp"
#include "tools/brinecast/findings.hpp"
#include "tools/brinecast/output_file.hpp"
#include "tools/brinecast/progress.hpp"
#include "tools/brinecast/room.hpp"

namespace brinecast::tools {

namespace {

namespace po = boost::program_options;

/// Books that do not close to this are a fault of the program, and their run is refused.

/// `i/n` of --shard.
struct Shard {
  int number = 0;
  int of = 0;
};

void validate(boost::any& target, std::vector<std::string> const& words, Shard*, int) {
  po::validators::check_first_occurrence(target);
  std::string const& word = po::validators::get_single_string(words);
  Shard shard;
  char slash = 0;
  std::istringstream text(word);
  if (!(text >> shard.number >> slash >> shard.of) || slash != '/' || !text.eof() || shard.number < 1 ||
      shard.of < shard.number) {
    throw WrongValue("i/n with 1 <= i <= n, for example 2/8", word);
  }
  target = shard;
}

std::vector<std::string> split_at_commas(std::string const& list) {
  std::vector<std::string> words;
  std::istringstream text(list);
  for (std::string word; std::getline(text, word, ',');) {
    if (!word.empty()) words.push_back(word);
  }
  return words;
}

/// Keeps the named policies, in the scenario's order. Returns a line about what is wrong with the names, or "".
std::string keep_policies(sim::Scenario& scenario, std::vector<std::string> const& wanted) {
  std::vector<std::string> known;
  for (auto const& policy : scenario.policies) known.push_back(policy.name);
  if (wanted.empty())
    return fmt::format("--policies names no policy; {} has {}", scenario.path.string(), fmt::join(known, ", "));
  for (auto const& name : wanted) {
    if (std::count(wanted.begin(), wanted.end(), name) > 1) {
      return fmt::format("--policies names \"{}\" twice; name each policy once", name);
    }
    if (std::find(known.begin(), known.end(), name) != known.end()) continue;
    std::string const near = sim::nearest_word(name, known);
    return fmt::format("--policies: {} has no policy \"{}\"; {}", scenario.path.string(), name,
                       near.empty() ? fmt::format("it has {}", fmt::join(known, ", ")) : "did you mean " + near + "?");
  }
  std::erase_if(scenario.policies, [&](sim::PolicySpec const& policy) {
    return std::find(wanted.begin(), wanted.end(), policy.name) == wanted.end();
  });
  return "";
}

/// The scenario of a file of either kind. A result file brings its own policies, seed and replicates along, so that the
/// run is the same again.
std::optional<sim::Scenario> scenario_of(std::string const& path, sim::Problems& problems) {
  if (!is_result_file(path)) return sim::read_scenario(path, problems);
  results::ResultFile const file(path);
  results::RunDescription const& run = file.run();
  // The digests come first: nothing is read that the file does not know by its content.
  for (auto const& input : run.input_files) {
    if (std::error_code none; !std::filesystem::is_regular_file(input.path, none)) {
      throw results::ResultError(fmt::format(
          "{}: was read when {} was made and is not there; bring it back to run it again", input.path, path));
    }
    if (auto const now = results::sha256_of_file(input.path); now != input.sha256) {
      throw results::ResultError(
          fmt::format("{}: has changed since {} was made (sha256 {}, then {}); bring the old file back to run it again",
                      input.path, path, now, input.sha256));
    }
  }
  auto scenario = sim::read_scenario_text(run.scenario_text, run.scenario_path, problems);
  if (!scenario) return scenario;
  for (auto const& read : scenario->input_files) {
    bool const known = std::any_of(run.input_files.begin(), run.input_files.end(),
                                   [&](auto const& input) { return input.path == read.string(); });
    if (!known) {
      throw results::ResultError(
          fmt::format("{}: its scenario reads {}, which its list of input files does not name; use the file as "
                      "`brinecast run` wrote it",
                      path, read.string()));
    }
  }
  scenario->seed = run.seed;
  scenario->replicates = static_cast<int>(run.replicates);
  std::vector<std::string> names;
  for (auto const& policy : run.policies) names.push_back(policy.name);
  if (auto const line = keep_policies(*scenario, names); !line.empty()) throw results::ResultError(line);
  return scenario;
}

/// Why an option's count is not accepted, or "".
std::string fault_of_counts(po::variables_map const& values) {
  for (auto const& [option, most] : {std::pair{"replicates", sim::most_replicates}, {"threads", sim::most_threads}}) {
    if (values.count(option) == 0 || values[option].as<Count>().value <= most) continue;
    return fmt::format("--{}: {} is more than {}, the largest accepted", option, values[option].as<Count>().value,
                       most);
  }
  return "";
}

/// Refuses a run that the machine has no room for, or warns of it where the user wants to try.
void check_room(sim::Scenario const& scenario, int threads, results::Room const& room, bool try_anyway) {
  auto const shape = results::shape_of(scenario, threads);
  constexpr double boundless = std::numeric_limits<double>::infinity();
  if (auto const fault = results::fault_of_size(shape, {boundless, "", boundless}); !fault.empty()) {
    throw results::ResultError(fault);
  }
  auto const fault = results::fault_of_size(shape, room);
  if (!fault.empty() && !try_anyway) throw results::ResultError(fault + "; --try-anyway starts it all the same");
  if (!fault.empty()) note("warning: " + fault + "; trying anyway");
  if (int const started = sim::startable_threads(threads); started < threads) {
    throw results::ResultError(fmt::format(
        "only {} of {} threads can be started (see ulimit -u and the limits of the control group); give --threads {}",
        started, threads, std::max(1, started - 1)));
  }
}

/// What the plan leaves out, which no season will show.
void note_unserved(sim::Prepared const& prepared) {
  auto const& pools = prepared.scenario.pools;
  for (std::size_t p = 0; p < prepared.plans.size(); ++p) {
    auto const& unserved = prepared.plans[p].unserved;
    if (unserved.empty()) continue;
    note(
        fmt::format("warning: {}: {} of {} pools, \"{}\" first, have no place in any round and get no planned visit: "
                    "skill, gate hours, load, shift or distance; see `brinecast rounds`",
                    prepared.scenario.policies[p].name, unserved.size(), pools.size(),
                    pools[sim::index_of(unserved.front())].name));
  }
}

/// Why `out` cannot be written, or "".
std::string fault_of_out(std::filesystem::path const& out, bool replace) {
  if (auto const fault = fault_of_output(out, {}); !fault.empty()) return fault;
  if (std::filesystem::exists(out) && !std::filesystem::is_regular_file(out)) {
    return fmt::format("--out {}: is not a regular file; name one", out.string());
  }
  if (std::filesystem::exists(out) && !replace) {
    return fmt::format("{} is already there; give --replace, or another name to --out", out.string());
  }
  auto const folder = out.has_parent_path() ? out.parent_path() : std::filesystem::path(".");
  if (!std::filesystem::is_directory(folder)) {
    return fmt::format("--out {}: the folder {} does not exist", out.string(), folder.string());
  }
  return "";
}

/// Collective: does a step of the run on every rank. A fault of one is thrown as ResultError on all.
template <class Step>
void together(sim::Ranks& ranks, Step step) {
  std::string mine;
  try {
    step();
  } catch (std::exception const& error) {
    mine = error.what();
  }
  auto const faults = ranks.exchange(mine);
  for (std::size_t rank = 0; rank < faults.size(); ++rank) {
    if (faults[rank].empty()) continue;
    throw results::ResultError(rank == 0 ? faults[rank] : fmt::format("rank {}: {}", rank, faults[rank]));
  }
}

/// What a rank takes of the threads at hand where others work on the same machine.
int share_of_threads(sim::Ranks const& ranks) { return std::max(1, sim::threads_of({}) / ranks.on_machine()); }

/// The threads of all ranks of this machine, for when only this one has still something to do.
int all_threads_here(sim::EnsembleOptions const& options, sim::Ranks const& ranks) {
  int const own = sim::threads_of(options);
  return std::clamp(own * ranks.on_machine(), own, std::max(own, sim::threads_of({})));
}

/// The leading rank's part: keeps what all ranks simulate, and writes the file.
int lead(sim::Prepared const& prepared, results::ResultStore& store, sim::EnsembleOptions options, sim::Ranks& ranks,
         sim::TaskCodec const& codec, std::string const& command) {
  if (store.found() > 0) note(fmt::format("{} finished tasks found, going on with the rest", store.found()));
  ProgressLine progress(store.found());
  options.progress = [&](sim::Progress const& state) { progress.show(state); };
  options.cancelled = [&] { return stop_requested() || store.failed(); };
  auto const outcome = sim::run_ensemble(prepared, store.remaining(), store, options, ranks, codec);
  progress.end();
  for (auto const& rank_fault : outcome.rank_faults) note(rank_fault + "; its unfinished tasks were left to others");
  auto const finish = [&]() -> int {
    if (!outcome.complete && !store.failed()) {
      bool const resumed = command.find(" --resume") != std::string::npos;
      fmt::print(stderr, "brinecast run: stopped; finished tasks are kept, go on with: {}{}\n", command,
                 resumed ? "" : " --resume");
      return interrupted;
    }
    auto const written = store.finish(all_threads_here(options, ranks));
    note(fmt::format(
        "{:.1f} ns per pool-hour and core ({:.1f} in the hourly kernel and visits, {:.1f} % in dispatch, {})",
        outcome.nanoseconds_per_pool_hour, outcome.kernel_nanoseconds_per_pool_hour, 100.0 * outcome.dispatch_share,
        sim::best_vector_target().name));
    note(fmt::format("books of conservation close to {:.1e}", outcome.largest_book_error));
    note(fmt::format("results: {}", written.string()));
    return fine;
  };
  int const code = finish();
  if (!outcome.all_ranks_left) sim::Ranks::leave_at_once(code);
  return code;
}

int run_on(sim::Ranks& ranks, boost::program_options::variables_map const& values, std::string const& command) {
  std::string const scenario_path = values["scenario"].as<std::string>();
  std::filesystem::path const out = values["out"].as<std::string>();
  if (auto const fault_of_count = fault_of_counts(values); !fault_of_count.empty()) {
    return fault("run", fault_of_count, wrong_usage);
  }
  if (auto const fault_of_target = sim::fault_of_wanted_target(); !fault_of_target.empty()) {
    return fault("run", fault_of_target, wrong_usage);
  }
  std::optional<sim::Scenario> scenario;
  sim::Problems problems;
  together(ranks, [&] {
    std::string const fault = ranks.leads() ? fault_of_out(out, values.count("replace") > 0) : "";
    if (!fault.empty()) throw results::ResultError(fault);
    scenario = scenario_of(scenario_path, problems);
    if (!scenario || !ranks.leads()) return;
    auto read = scenario->input_files;
    read.insert(read.end(), {scenario->path, scenario_path});
    if (auto const lost = fault_of_output(out, read); !lost.empty()) throw results::ResultError(lost);
  });
  bool const read_by_all = sim::agree(problems, ranks);
  if (!read_by_all) {
    std::cerr << problems.text();
    return input_at_fault;
  }
  if (values.count("replicates") > 0) scenario->replicates = values["replicates"].as<Count>().value;
  if (values.count("seed") > 0) scenario->seed = values["seed"].as<FromZero<std::uint64_t>>().value;
  if (values.count("policies") > 0) {
    auto const wrong = keep_policies(*scenario, split_at_commas(values["policies"].as<std::string>()));
    if (!wrong.empty()) return fault("run", wrong, wrong_usage);
  }
  auto const findings = findings_of(*scenario);
  std::cerr << findings.errors.text() << findings.warnings.text();
  if (!findings.errors.empty()) return input_at_fault;
  sim::EnsembleOptions options;
  options.threads = values.count("threads") > 0 ? values["threads"].as<Count>().value : share_of_threads(ranks);
  together(ranks, [&] {
    auto room = room_for(out.parent_path());
    if (!ranks.leads()) room.disk_bytes = std::numeric_limits<double>::infinity();  // the leading rank writes
    std::error_code none_kept;
    auto const kept_bytes = std::filesystem::file_size(results::journal_path(out, 0, 0), none_kept);
    if (!none_kept) room.disk_bytes += static_cast<double>(kept_bytes);
    check_room(*scenario, sim::threads_of(options), room, values.count("try-anyway") > 0);
  });
  watch_signals();
  note("reading weather and roads, planning the rounds");
  auto const prepared = sim::prepare(std::move(*scenario), problems, options, ranks);
  if (!prepared) {
    std::cerr << problems.text();
    return input_at_fault;
  }
  for (auto const& found : prepared->weather->notes()) note(found);
  note_unserved(*prepared);

  results::RunDescription description;
  std::unique_ptr<results::ResultStore> store;
  together(ranks, [&] {
    description = results::describe(prepared->scenario, prepared->plans, prepared->scenario.input_files,
                                    std::string(sim::best_vector_target().name));
  });
  auto const descriptions = ranks.exchange(results::to_text(description));
  together(ranks, [&] {
    auto const difference = results::first_difference(description, results::run_from_text(descriptions.front()));
    if (!difference.empty()) {
      throw results::ResultError(fmt::format("is about to simulate another run than rank 0 ({})", difference));
    }
    if (!ranks.leads()) return;
    results::StoreOptions store_options{.resume = values.count("resume") > 0, .command = command};
    if (values.count("shard") > 0) {
      auto const shard = values["shard"].as<Shard>();
      store_options.shard = shard.number;
      store_options.shards = shard.of;
    }
    store = std::make_unique<results::ResultStore>(out, description, store_options);
  });
  sim::TaskCodec const codec{
      .encode = [&](sim::TaskResult const& result) { return results::encode_task(result, description); },
      .decode = [&](std::string_view bytes) { return results::decode_task(bytes, description); }};
  if (ranks.leads()) return lead(*prepared, *store, options, ranks, codec, command);
  options.cancelled = stop_requested;
  sim::follow_ensemble(*prepared, options, ranks, codec);
  return fine;
}

int run(Arguments const& arguments) {
  CommandLine line("run", "simulate every policy on the same weather and write the result file");
  line.positional("scenario", "SCENARIO", "scenario (TOML), or a result file to run again");
  line.options().add_options()("out", po::value<std::string>()->required()->value_name("FILE.h5"),
                               "result file to write")("replicates", po::value<Count>()->value_name("N"),
                                                       "seasons to simulate; default: the scenario's")(
      "seed", po::value<FromZero<std::uint64_t>>()->value_name("S"), "seed of all chance; default: the scenario's")(
      "threads", po::value<Count>()->value_name("T"),
      "threads; default: all cores, shared with other ranks on the machine. Results do not depend on it")(
      "policies", po::value<std::string>()->value_name("a,b"), "only these policies; default: all")(
      "resume", "go on with an interrupted run of the same scenario")(
      "replace", "replace FILE.h5 if it is there, once the run is complete")(
      "try-anyway", "start although the estimate says that memory or disk will not do")(
      "shard", po::value<Shard>()->value_name("i/n"), "simulate only part i of n and keep it for `brinecast merge`");
  line.epilogue("several machines: mpirun -n K brinecast run SCENARIO --out FILE.h5");
  sim::Ranks ranks(sim::Ranks::join);
  if (!ranks.leads()) speak_no_more();
  int exit_code = fine;
  auto const values = line.parse(arguments, exit_code);
  if (!values) return exit_code;
  try {
    return run_on(ranks, *values, command_text("run", arguments));
  } catch (results::ResultError const& error) {
    return fault("run", error.what());
  }
}

CommandRegistration const registration({"run", "simulate every policy on the same weather, write a result file", run});

}  // namespace

}  // namespace brinecast::tools
