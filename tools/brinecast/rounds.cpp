// brinecast rounds: who visits which pool on which day, in which order, on real roads.

#include <fmt/format.h>
#include <unistd.h>

#include <filesystem>
#include <iostream>
#include <nlohmann/json.hpp>
#include <set>

#include "sim/ensemble/ensemble.hpp"
#include "sim/policy/policy.hpp"
#include "sim/rounds/crew.hpp"
#include "sim/rounds/exports.hpp"
#include "sim/rounds/mapped_pools.hpp"
#include "sim/rounds/plan_problems.hpp"
#include "sim/rounds/route_shapes.hpp"
#include "sim/scenario/date_text.hpp"
#include "sim/scenario/read_scenario.hpp"
#include "tools/brinecast/command.hpp"
#include "tools/brinecast/output_file.hpp"

namespace brinecast::tools {

namespace {

namespace po = boost::program_options;

constexpr std::string_view measured_names[sim::measured_count] = {
    "free chlorine",     "combined chlorine", "pH",   "total alkalinity",
    "calcium hardness",  "cyanuric acid",     "salt", "the unit's own salt display",
    "water temperature", "cell voltage"};

std::string_view method_text(sim::TestMethod method) {
  switch (method) {
    case sim::TestMethod::strip:
      return "strip";
    case sim::TestMethod::kit:
      return "kit";
    case sim::TestMethod::meter:
      return "meter";
    case sim::TestMethod::unit:
      return "read";
    case sim::TestMethod::none:
    case sim::TestMethod::remote:
      break;
  }
  return "";
}

/// Expected tasks and doses of a usual visit, as the policy has them.
sim::StopNotes notes_of(sim::Scenario const& scenario, sim::PolicySpec const& policy, sim::Pool const& pool,
                        sim::UnitSystem units) {
  sim::StopNotes notes;
  double const interval_d = sim::typical_interval_d(policy, pool, scenario.season);
  auto const how_often = [&](double every_d) -> std::string {
    if (every_d <= interval_d) return "";
    return fmt::format(" (every {:.0f} days)", every_d);
  };
  for (std::size_t quantity = 0; quantity < sim::measured_count; ++quantity) {
    sim::TestRule const& rule = policy.tests.rules[quantity];
    std::string_view const method = method_text(rule.method);
    if (method.empty() || rule.every_d == sim::never) continue;
    notes.tasks.push_back(fmt::format("test {} ({}){}", measured_names[quantity], method, how_often(rule.every_d)));
  }
  auto const care = [&](double every_d, std::string_view task) {
    if (every_d != sim::never) notes.tasks.push_back(fmt::format("{}{}", task, how_often(every_d)));
  };
  care(policy.upkeep.debris_every_d, "skim, brush, empty baskets");
  care(policy.upkeep.backwash_every_d, "backwash the filter");
  care(policy.cell.inspect_every_d, "inspect the cell");
  care(policy.cell.clean_every_d, "clean the cell with acid");
  if (!pool.skill.empty()) notes.tasks.push_back(fmt::format("needs: {}", pool.skill));
  sim::TypicalDoses const doses = sim::typical_doses(policy, pool, scenario.season);
  auto const dose = [&](std::string_view what, double mass_kg) {
    if (mass_kg > 0.0) {
      notes.expected_doses.push_back(
          fmt::format("{} {} a visit on average", what, sim::format_quantity(mass_kg, sim::Quantity::mass, units, 1)));
    }
  };
  dose("salt", doses.salt_kg);
  dose("acid (31.45 % solution)", doses.acid_kg);
  dose("bicarbonate, calcium chloride, cyanuric acid together", doses.powder_kg);
  return notes;
}

/// File names are letters, digits and dashes.
std::string file_word(std::string_view text) {
  std::string word;
  for (char const c : text) {
    bool const plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
    word += plain ? c : '-';
  }
  return word;
}

std::string exported(std::string const& format, sim::RoundsView const& view) {
  if (format == "json") return sim::rounds_json(view);
  if (format == "geojson") return sim::rounds_geojson(view);
  if (format == "gpx") return sim::rounds_gpx(view);
  if (format == "ics") return sim::rounds_calendar(view);
  return sim::rounds_text(view);
}

/// One file for each technician and day into a folder. Returns what went wrong, or "".
std::string write_days(std::filesystem::path const& folder, std::string const& format, sim::RoundsView const& view) {
  std::set<std::string> taken;
  for (std::size_t index = 0; index < view.plan->rounds.size(); ++index) {
    sim::Round const& round = view.plan->rounds[index];
    sim::RoundsPlan day = *view.plan;
    day.rounds = {round};
    sim::RoundsView day_view = view;
    day_view.plan = &day;
    if (!view.shapes.empty()) day_view.shapes = {view.shapes[index]};
    auto name = fmt::format("{}-{}", sim::date_text(view.dates[static_cast<std::size_t>(round.day)]),
                            file_word(view.scenario->technicians[sim::index_of(round.technician)].name));
    // Names that differ only in letters that a file's name leaves out.
    if (!taken.insert(name).second) name += fmt::format("-{}", sim::index_of(round.technician) + 1);
    auto const why = write_output(folder / (name + "." + format), exported(format, day_view));
    if (!why.empty()) return why;
  }
  return "";
}

std::string crew_text(sim::Scenario const& scenario, std::vector<sim::CrewTrial> const& trials,
                      std::vector<sim::MarginalCost> const& margins, int most) {
  std::string text = "\ntechnicians  pools not served  cost of the period\n";
  for (auto const& trial : trials) {
    text += fmt::format("{:>11}  {:>16}  {:>18.2f}\n", trial.technicians, trial.plan.unserved.size(), trial.plan.cost);
  }
  bool const enough = !trials.empty() && trials.back().plan.unserved.empty();
  text += enough ? fmt::format("the smallest crew that serves the plan: {}\n", trials.back().technicians)
                 : fmt::format("not even {} technicians serve every pool; see skills, gate hours and loads\n", most);
  text += fmt::format("\n{:<24} {:>6} {:>28}\n", "neighbourhood", "pools",
                      fmt::format("one more pool, {}/month", scenario.prices.currency));
  for (auto const& margin : margins) {
    bool const priced = margin.pools > margin.without_place;
    text += fmt::format("{:<24} {:>6} {:>28}\n", margin.neighbourhood, margin.pools,
                        priced ? fmt::format("{:.2f}", margin.money_per_month) : std::string("no room"));
  }
  return text + "(wages and mileage; supplies come on top)\n";
}

nlohmann::ordered_json crew_json(std::vector<sim::CrewTrial> const& trials,
                                 std::vector<sim::MarginalCost> const& margins) {
  nlohmann::ordered_json crew{{"trials", nlohmann::ordered_json::array()}};
  for (auto const& trial : trials) {
    crew["trials"].push_back({{"technicians", trial.technicians},
                              {"unserved", trial.plan.unserved.size()},
                              {"cost", trial.plan.cost},
                              {"lower_bound", trial.plan.lower_bound}});
  }
  crew["smallest"] = !trials.empty() && trials.back().plan.unserved.empty()
                         ? nlohmann::ordered_json(trials.back().technicians)
                         : nlohmann::ordered_json(nullptr);
  crew["one_more_pool"] = nlohmann::ordered_json::array();
  for (auto const& margin : margins) {
    crew["one_more_pool"].push_back({{"neighbourhood", margin.neighbourhood},
                                     {"pools", margin.pools},
                                     {"pools_without_place", margin.without_place},
                                     {"money_per_month", margin.money_per_month}});
  }
  return crew;
}

sim::PlanProgress progress_line(std::string_view what) {
  bool const shown = isatty(STDERR_FILENO) != 0;
  return [what, shown, last = -1](double share, double cost) mutable {
    int const percent = static_cast<int>(100.0 * share);
    if (shown && percent != last) {
      fmt::print(stderr, "\r{} {:>3} %, cost {:.2f} ", what, percent, cost);
      last = percent;
    }
    return !stop_requested();
  };
}

/// Words that do not go together, in one line, or "".
std::string fault_of_words(po::variables_map const& values, std::string const& format, std::string const& out) {
  std::error_code error;
  bool const folder = std::filesystem::is_directory(out, error);
  if (values.count("mapped-pools") > 0) {
    for (auto const* other : {"policy", "format", "units", "crew"}) {
      if (values.count(other) > 0 && !values[other].defaulted()) {
        return fmt::format("--mapped-pools makes no plan, and --{} would be without effect; leave one of them out",
                           other);
      }
    }
    if (folder) return fmt::format("--mapped-pools makes one list, and --out {} is a folder; name a file", out);
  }
  if (values.count("crew") > 0) {
    if (format != "text" && format != "json") return "--crew goes with --format text or json";
    if (folder) return fmt::format("--crew makes one page, and --out {} is a folder; name a file", out);
  }
  return "";
}

/// Writes to the file, or to standard output when it is "".
int deliver(std::string const& out, std::string const& content) {
  if (out.empty()) {
    std::cout << content;
  } else if (auto const why = write_output(out, content); !why.empty()) {
    return fault("rounds", why);
  }
  return fine;
}

int run(Arguments const& arguments) {
  std::string format, out, policy_name, units;
  CommandLine line("rounds", "plan the technicians' rounds on the scenario's roads");
  line.positional("scenario", "SCENARIO", "scenario file (TOML)");
  // clang-format off: one option a line
  line.options().add_options()("policy", po::value(&policy_name)->value_name("POLICY"),
                               "policy to plan for [the first]")(
      "format",
      po::value(&format)
          ->default_value("text")
          ->value_name("text|json|geojson|gpx|ics")
          ->notifier(one_of("format", {"text", "json", "geojson", "gpx", "ics"})),
      "form of the plan")(
      "out", po::value(&out)->value_name("PATH"),
      "write there instead of standard output; an existing folder gets one file for each technician and day")(
      "units", po::value(&units)->default_value("si")->value_name("si|us")->notifier(one_of("units", {"si", "us"})),
      "units of text and service lists")(
      "crew",
      "also find the smallest crew that serves the plan, and the cost of one more pool by neighbourhood "
      "(text, json)")("mapped-pools",
                      "list the swimming pools that the scenario's road extract shows, as a start of a pool list, "
                      "and stop");
  // clang-format on
  line.epilogue(
      "The plan shows the first period of the season; its cost stands beside a lower bound that no plan of the same\n"
      "visits can undercut. Same scenario and seed, same plan.\n"
      "Cautions for every visit: goggles and gloves for acid; never let acid and chlorine products meet (poisonous\n"
      "chlorine gas); lock out the power before opening the cell; local codes and licensed practice come first.");
  int exit_code = fine;
  auto const values = line.parse(arguments, exit_code);
  if (!values) return exit_code;
  if (auto const why = fault_of_words(*values, format, out); !why.empty()) return fault("rounds", why, wrong_usage);

  sim::Problems problems;
  auto scenario = sim::read_scenario((*values)["scenario"].as<std::string>(), problems);
  auto const report = [&] {
    std::cerr << problems.text();
    return input_at_fault;
  };
  if (!scenario) return report();
  if (values->count("out") > 0) {
    std::vector<std::filesystem::path> read{scenario->path};
    read.insert(read.end(), scenario->input_files.begin(), scenario->input_files.end());
    if (auto const why = fault_of_page(out, read); !why.empty()) return fault("rounds", why);
  }
  if (values->count("mapped-pools") > 0) {
    if (scenario->roads.kind != sim::RoadKind::osm_extract) {
      return fault("rounds", "--mapped-pools needs roads of the kind osm_extract in the scenario");
    }
    auto const pools = sim::mapped_pools(scenario->roads.file, problems);
    if (!problems.empty()) return report();
    return deliver(out, sim::pool_list_csv(pools));
  }
  std::vector<std::string> names;
  for (auto const& policy : scenario->policies) names.push_back(policy.name);
  sim::PolicySpec const* policy = scenario->policies.empty() ? nullptr : &scenario->policies.front();
  if (values->count("policy") > 0) {
    auto const found = std::find(names.begin(), names.end(), policy_name);
    if (found == names.end()) {
      std::string const near = sim::nearest_word(policy_name, names);
      return fault(
          "rounds",
          fmt::format("the scenario has no policy \"{}\"; {}", policy_name,
                      near.empty() ? fmt::format("it has {}", fmt::join(names, ", ")) : "did you mean " + near + "?"),
          wrong_usage);
    }
    policy = &scenario->policies[static_cast<std::size_t>(found - names.begin())];
  }
  if (policy == nullptr) return fault("rounds", "the scenario has no policy; add one, for example [policies.weekly]");

  watch_signals();
  sim::TravelTable const travel = sim::travel_table(*scenario, problems);
  if (!problems.empty()) return report();
  auto const pools = sim::planned_pools(*scenario, *policy);
  std::cerr << sim::find_plan_problems(*scenario, *policy, pools).text();
  sim::RoundsPlan const plan =
      sim::plan_rounds(*scenario, travel, pools, scenario->seed, progress_line("planning rounds"));
  if (stop_requested()) return interrupted;

  sim::RoundsView view;
  view.scenario = &*scenario;
  view.policy = policy->name;
  view.plan = &plan;
  view.dates = sim::working_dates(*scenario, plan.period_days);
  view.units = units == "us" ? sim::UnitSystem::us : sim::UnitSystem::si;
  for (auto const& pool : scenario->pools) view.notes.push_back(notes_of(*scenario, *policy, pool, view.units));
  if (format == "geojson" || format == "gpx") {
    auto shapes = sim::route_shapes(*scenario, {plan}, problems);
    if (!problems.empty()) return report();
    view.shapes = std::move(shapes.front());
  }

  if (std::filesystem::is_directory(out)) {
    auto const why = write_days(out, format, view);
    return why.empty() ? fine : fault("rounds", why);
  }
  std::string content = exported(format, view);
  if (values->count("crew") > 0) {
    int const most = 2 * static_cast<int>(scenario->technicians.size()) + 2;
    auto const trials =
        sim::smallest_crew(*scenario, travel, pools, scenario->seed, most, progress_line("trying crews"));
    if (stop_requested()) return interrupted;
    auto const margins = sim::marginal_costs(*scenario, travel, plan, pools);
    if (format == "json") {
      auto document = nlohmann::ordered_json::parse(content);
      document["crew"] = crew_json(trials, margins);
      content = document.dump(2) + "\n";
    } else {
      content += crew_text(*scenario, trials, margins, most);
    }
  }
  return deliver(out, content);
}

CommandRegistration const registration({"rounds", "plan the technicians' rounds on real roads", run});

}  // namespace

}  // namespace brinecast::tools
