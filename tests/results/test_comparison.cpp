#include "results/comparison.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>
#include <numeric>
#include <set>
#include <sstream>

#include "results/assembly.hpp"
#include "results/schema.hpp"
#include "results/store.hpp"
#include "results/supplies.hpp"
#include "results/table.hpp"
#include "results/visit_story.hpp"
#include "sim/policy/why.hpp"
#include "tests/results/made_up_run.hpp"

using namespace brinecast;
using Catch::Matchers::Contains;

namespace {

struct MadeUpFile {
  results::RunDescription run;
  std::filesystem::path path;
  /// `changed` may alter what a task hands on.
  explicit MadeUpFile(
      results::RunDescription described, std::function<void(sim::TaskResult&)> const& changed = [](auto&) {})
      : run(std::move(described)) {
    static int number = 0;
    path = std::filesystem::temp_directory_path() /
           ("brinecast-comparison-" + std::to_string(getpid()) + "-" + std::to_string(++number) + ".h5");
    results::ResultStore store(path, run, {});
    for (auto const& task : store.remaining()) {
      auto result = tests::made_up_result(run, task.policy, task.replicate);
      changed(result);
      store.accept(result);
    }
    store.finish();
  }
  MadeUpFile(MadeUpFile const&) = delete;
  MadeUpFile& operator=(MadeUpFile const&) = delete;
  ~MadeUpFile() { std::filesystem::remove(path); }
};

MadeUpFile const& made_up_file() {
  static MadeUpFile const file(tests::made_up_run({.replicates = 20}));
  return file;
}

/// Commas outside quotes, of every line the same.
std::size_t columns_of(std::string const& csv) {
  std::istringstream lines(csv);
  std::set<std::size_t> counts;
  for (std::string line; std::getline(lines, line);) {
    bool quoted = false;
    std::size_t columns = 1;
    for (char const c : line) {
      if (c == '"') quoted = !quoted;
      if (c == ',' && !quoted) ++columns;
    }
    counts.insert(columns);
  }
  REQUIRE(counts.size() == 1);
  return *counts.begin();
}

results::PolicyFigure const& figure_of(results::GroupComparison const& group, std::string_view name,
                                       std::size_t policy) {
  for (auto const& each : group.figures) {
    if (each.figure->name == name) return each.policies[policy];
  }
  FAIL("no figure " << name);
  throw std::logic_error("unreachable");
}

}  // namespace

TEST_CASE("a comparison agrees with the tallies it was made from", "[results][comparison][unit]") {
  auto const& made_up = made_up_file();
  results::ResultFile const file(made_up.path);
  auto const comparison =
      results::compare(file, {.baseline = "weekly", .grouping = results::Grouping::pool_class, .pools = 3});
  // Margin per pool and month of each replicate, straight from the tallies.
  double sum = 0.0, baseline_sum = 0.0;
  double const pool_months = static_cast<double>(made_up.run.pools.size()) * made_up.run.days / (365.25 / 12);
  for (std::uint32_t r = 0; r < made_up.run.replicates; ++r) {
    auto const margin = [&](std::size_t policy) {
      auto const task = tests::made_up_result(made_up.run, policy, r);
      double total = 0.0;
      for (std::size_t i = 0; i < task.pools.cost.size(); ++i) total += task.pools.revenue[i] - task.pools.cost[i];
      return total / pool_months;
    };
    sum += margin(2);
    baseline_sum += margin(0);
  }
  double const n = made_up.run.replicates;
  auto const& fortnightly = figure_of(comparison.groups[0], "margin", 2);
  CHECK(fortnightly.value.mean == Approx(sum / n).epsilon(1e-6));
  REQUIRE(fortnightly.difference);
  CHECK(fortnightly.difference->interval.mean == Approx((sum - baseline_sum) / n).epsilon(1e-6));
  CHECK(fortnightly.probability_best == 1.0);
  CHECK_FALSE(figure_of(comparison.groups[0], "margin", 0).difference);
  // Classes add up to the fleet.
  REQUIRE(comparison.groups.size() == 3);
  CHECK(comparison.groups[1].pools + comparison.groups[2].pools == made_up.run.pools.size());
  CHECK(figure_of(comparison.groups[1], "salt_added", 1).value.mean +
            figure_of(comparison.groups[2], "salt_added", 1).value.mean ==
        Approx(figure_of(comparison.groups[0], "salt_added", 1).value.mean));
  CHECK_THAT(comparison.verdict, Contains("fortnightly earns the most"));
  CHECK_THAT(comparison.verdict, Contains("costs water quality"));
  // The pools listed are those that lose most, in order.
  REQUIRE(comparison.pools.size() == 3);
  CHECK(comparison.pools[0].policies[2].difference->interval.mean <=
        comparison.pools[1].policies[2].difference->interval.mean);
}

TEST_CASE("pairing removes the weather from a difference", "[results][comparison][statistics]") {
  results::ResultFile const file(made_up_file().path);
  auto const comparison = results::compare(file, {});
  // Salt differs between seasons by 8 kg of common weather a pool, and between policies by chance alone.
  auto const& weekly = figure_of(comparison.groups[0], "salt_added", 0);
  auto const& fortnightly = figure_of(comparison.groups[0], "salt_added", 2);
  double const width = fortnightly.difference->interval.high - fortnightly.difference->interval.low;
  CHECK(width < 0.2 * (weekly.value.high - weekly.value.low));
}

TEST_CASE("US units are the SI ones converted", "[results][comparison][unit]") {
  results::ResultFile const file(made_up_file().path);
  auto const si = results::compare(file, {}), us = results::compare(file, {.units = results::Units::us});
  // NIST Handbook 44, appendix C: 1 lb = 0.45359237 kg, 1 gal = 3.785411784 L, 1 mi = 1.609344 km.
  auto const mean = [](auto const& comparison, auto name) {
    return figure_of(comparison.groups[0], name, 0).value.mean;
  };
  CHECK(mean(us, "salt_added") * 0.45359237 == Approx(mean(si, "salt_added")));
  CHECK(mean(us, "acid_added") * 3.785411784 == Approx(mean(si, "acid_added")));
  CHECK(mean(us, "driving_distance") * 1.609344 == Approx(mean(si, "driving_distance")));
}

TEST_CASE("an unknown policy or figure is answered with the known ones", "[results][comparison][hostile]") {
  results::ResultFile const file(made_up_file().path);
  CHECK_THROWS_WITH(results::compare(file, {.baseline = "daily"}), Contains("\"weekly\", \"every ten days\""));
  CHECK_THROWS_WITH(results::compare(file, {.figure = "salty", .pools = 2}), Contains("salt_added"));
  CHECK_THROWS_WITH(results::plan_supplies(file, {.policy = "daily"}), Contains("\"weekly\""));
}

TEST_CASE("text, CSV and JSON say the same", "[results][comparison][unit]") {
  results::ResultFile const file(made_up_file().path);
  auto const comparison = results::compare(file, {.grouping = results::Grouping::month, .pools = 2});
  auto const json = nlohmann::json::parse(results::comparison_json(comparison));
  CHECK(json["format"] == "brinecast comparison");
  CHECK(json["verdict"] == comparison.verdict);
  CHECK(json["groups"].size() == 1 + results::month_starts(made_up_file().run).size());
  auto const& first = json["groups"][0]["figures"][0];
  CHECK(first["figure"] == "free_chlorine_in_range");
  CHECK(first["policies"][1]["mean"].get<double>() == comparison.groups[0].figures[0].policies[1].value.mean);
  std::string const csv = results::comparison_csv(comparison);
  CHECK(columns_of(csv) == 17);
  CHECK(std::count(csv.begin(), csv.end(), '\n') > 100);
  CHECK_THAT(results::comparison_text(comparison), Contains("difference to weekly (95 % interval)"));
}

TEST_CASE("a currency with a comma keeps the columns of CSV", "[results][comparison][unit]") {
  results::ResultFile const file(made_up_file().path);
  auto comparison = results::compare(file, {});
  comparison.run.currency = "U,S";
  auto const csv = results::comparison_csv(comparison);
  CHECK_THAT(csv, Contains(",cost,\"U,S\","));
}

TEST_CASE("a verdict says no more than its seasons show", "[results][comparison][unit]") {
  auto const verdict = [](results::RunDescription const& run, std::function<void(sim::TaskResult&)> const& changed) {
    MadeUpFile const made_up(run, changed);
    return results::compare(results::ResultFile(made_up.path), {}).verdict;
  };
  auto const unchanged = [](sim::TaskResult&) {};
  CHECK_THAT(verdict(tests::made_up_run({.policies = 1}), unchanged),
             Contains("Only weekly was simulated, so nothing can be compared; its margin is "));
  CHECK_THAT(verdict(tests::made_up_run({.replicates = 1}), unchanged),
             Contains("fortnightly earned the most in the one season simulated; one season says nothing"));
  // The same costs and fees under every policy.
  CHECK_THAT(
      verdict(tests::made_up_run({}),
              [](sim::TaskResult& task) {
                std::fill(task.pools.cost.begin(), task.pools.cost.end(), 50.0);
                std::fill(task.pools.lost_customers.begin(), task.pools.lost_customers.end(), 0.0);
              }),
      Contains("No policy earns clearly the most: weekly, every ten days and fortnightly come to the same in every "
               "season.") &&
          Contains("Fees are the same under all policies") && !Contains(" It "));
  // Policies without a difference, in every season and in the only one.
  auto const equal = [](sim::TaskResult& task) {
    std::fill(task.pools.cost.begin(), task.pools.cost.end(), 50.0);
    std::fill(task.pools.revenue.begin(), task.pools.revenue.end(), 0.0);
    std::fill(task.pools.shortages.begin(), task.pools.shortages.end(), 0.0);
    std::fill(task.pools.free_chlorine_in_range.begin(), task.pools.free_chlorine_in_range.end(), 0.75);
    std::fill(task.pools.open_hours.begin(), task.pools.open_hours.end(), 100.0);
  };
  CHECK(verdict(tests::made_up_run({.policies = 2}), equal) ==
        "No policy costs clearly the least: weekly and every ten days come to the same in every season. Free chlorine "
        "is in range 75.0 % of the time under every policy.");
  CHECK(verdict(tests::made_up_run({.policies = 2, .replicates = 1}), equal) ==
        "weekly and every ten days cost the same in the one season simulated; one season says nothing about how sure "
        "that is. Use at least 20 replicates.");
  auto const third_is_dearer = [&](sim::TaskResult& task) {
    equal(task);
    if (task.policy == 2) std::fill(task.pools.cost.begin(), task.pools.cost.end(), 60.0);
  };
  CHECK_THAT(verdict(tests::made_up_run({.replicates = 1}), third_is_dearer),
             Catch::StartsWith("weekly and every ten days cost the same, less than the others, in the one season"));
  CHECK_THAT(verdict(tests::made_up_run({}), third_is_dearer),
             Catch::StartsWith("No policy costs clearly the least: weekly and every ten days come to the same in every "
                               "season."));
  // Equal in cost, not in the water.
  auto const first_is_cleaner = [&](double others) {
    return [&equal, others](sim::TaskResult& task) {
      equal(task);
      auto& shares = task.pools.free_chlorine_in_range;
      std::fill(shares.begin(), shares.end(), task.policy == 0 ? 0.75 : others);
    };
  };
  CHECK_THAT(verdict(tests::made_up_run({.policies = 2}), first_is_cleaner(0.5)),
             Contains(" weekly keeps free chlorine in range for the longest: 75.0 % of the time."));
  CHECK_THAT(verdict(tests::made_up_run({.policies = 2}), first_is_cleaner(0.9)),
             Contains(" weekly costs water quality: free chlorine is in range 75.0 % of the time against 90.0 % under "
                      "every ten days"));
  // The policy that earns the most loses customers for it.
  CHECK_THAT(verdict(tests::made_up_run({.policies = 2}),
                     [](sim::TaskResult& task) {
                       std::fill(task.pools.revenue.begin(), task.pools.revenue.end(), 0.0);
                       std::fill(task.pools.cost.begin(), task.pools.cost.end(), task.policy == 0 ? 60.0 : 50.0);
                       std::fill(task.pools.lost_customers.begin(), task.pools.lost_customers.end(),
                                 task.policy == 0 ? 0.0 : 1.0);
                     }),
             Contains(" every ten days loses customers, and with them their fees from then on: ") &&
                 Contains(" in the season against 0.0 under weekly."));
  // A difference of 1 that turns its sign in every other season but one: many seasons would be needed.
  CHECK_THAT(verdict(tests::made_up_run({.policies = 2}),
                     [](sim::TaskResult& task) {
                       double const lead = task.replicate % 2 == 0 ? 1.0 : -0.9;
                       std::fill(task.pools.cost.begin(), task.pools.cost.end(), task.policy == 0 ? 50.0 : 50.0 + lead);
                     }),
             Contains("holds zero; about ") && Contains(" replicates would separate them, "));
  // One that comes to nothing over the seasons.
  CHECK_THAT(verdict(tests::made_up_run({.policies = 2, .replicates = 4}),
                     [](sim::TaskResult& task) {
                       double const lead = task.replicate % 2 == 0 ? 1.0 : -1.0;
                       std::fill(task.pools.cost.begin(), task.pools.cost.end(), task.policy == 0 ? 50.0 : 50.0 + lead);
                     }),
             Contains("holds zero; on average they come to the same."));
  // The cheapest is the cleanest, too.
  CHECK_THAT(verdict(tests::made_up_run({}),
                     [](sim::TaskResult& task) {
                       auto& shares = task.pools.free_chlorine_in_range;
                       std::fill(shares.begin(), shares.end(), task.policy == 2 ? 0.9 : 0.5);
                     }),
             Contains("It also keeps free chlorine in range for the longest: 90.0 % of the time."));
}

TEST_CASE("the CSV of a plan of supplies holds the numbers of the plan, nine columns in every line",
          "[results][supplies][unit]") {
  auto run = tests::made_up_run({.replicates = 20});
  run.currency = "guilders, old \"gulden\"";
  run.technicians[0].name = "Quell, Mara";
  MadeUpFile const made_up(run);
  results::ResultFile const file(made_up.path);
  for (auto const units : {results::Units::si, results::Units::us}) {
    auto const plan = results::plan_supplies(file, {.policy = "weekly", .units = units});
    std::string const csv = results::supplies_csv(plan);
    CHECK(columns_of(csv) == 9);
    auto const& acid = plan.materials[1];
    bool const si = units == results::Units::si;
    double const amount = acid.season.p50 * (si ? 1000.0 : 1000.0 / 3.785411784);
    std::string const start = si ? "\nacid,season,need,L," : "\nacid,season,need,gal,";
    auto const at = csv.find(start);
    REQUIRE(at != std::string::npos);
    auto const p50 = csv.find(',', at + start.size()) + 1;
    CHECK(std::stod(csv.substr(p50)) == Approx(amount).epsilon(1e-4));
    CHECK_THAT(csv, Contains("\nacid,2031-04,order,drum,,,," + fmt::format("{:.0f}", acid.months[1].order_packs) +
                             ",2031-03-27\n"));
    CHECK_THAT(csv, Contains("\n\"technician Quell, Mara\",season,capacity,h,,,,"));
    CHECK_THAT(csv, Contains("\nacid,season,cost,\"guilders, old \"\"gulden\"\"\",,,,"));
    CHECK_THAT(csv, Contains("\nvans,season,heaviest_day," + std::string(si ? "kg" : "lb") + ","));
  }
  CHECK(columns_of(results::comparison_csv(results::compare(file, {}))) == 17);
}

TEST_CASE("a plan says where supplies ran out, and leaves out what only a visit log tells",
          "[results][supplies][unit]") {
  MadeUpFile const short_of_acid(tests::made_up_run({}), [](sim::TaskResult& task) {
    for (auto& visit : task.visits) visit.shortages = sim::bit(sim::Shortage::acid);
  });
  auto const plan = results::plan_supplies(results::ResultFile(short_of_acid.path), {});
  CHECK_FALSE(plan.materials[0].ever_short);
  CHECK(plan.materials[1].ever_short);
  CHECK_THAT(results::supplies_text(plan), Contains("Some visits lacked a supply"));

  MadeUpFile const no_log(tests::made_up_run({}), [](sim::TaskResult& task) { task.visits.clear(); });
  results::ResultFile const file(no_log.path);
  auto const without = results::plan_supplies(file, {});
  CHECK(std::isnan(without.materials[1].reorder_level));
  CHECK(std::isnan(without.largest_van_day_kg.p50));
  CHECK(without.materials[1].season.p50 > 0.0);
  CHECK(columns_of(results::supplies_csv(without)) == 9);
  results::VisitQuery query;
  query.pool = "Gull Läne 1";
  CHECK_THROWS_WITH(
      results::visit_story_text(file, query, sim::UnitSystem::si),
      Contains("no visit is logged; either none was made, or the run had visit_log = false in [outputs]"));
  query.replicate = 6;
  CHECK_THROWS_WITH(results::visit_story_text(results::ResultFile(short_of_acid.path), query, sim::UnitSystem::si),
                    Contains("there is no replicate 6; write a number below 6"));
}

TEST_CASE("a reading is told as it was read, though the file keeps twelve bits of it", "[results][unit]") {
  MadeUpFile const made_up(tests::made_up_run({.replicates = 1}), [](sim::TaskResult& task) {
    for (auto& visit : task.visits) {
      visit.salt_reading = 4.2F;
      visit.unit_salt_reading = 3.1F;
      visit.calcium_reading = 7.2F;     // 720.6 mg/L by the table, 72 drops by the kit
      visit.alkalinity_reading = 1.2F;  // 60 mg/L
      visit.cyanuric_acid_reading = 0.39F;
      visit.ph_reading = 7.53F;
      visit.free_chlorine_reading = 0.00312F;
      visit.salt_added = 0.0F;
    }
  });
  results::ResultFile const file(made_up.path);
  results::VisitQuery query;
  query.pool = "Gull Läne 1";
  CHECK_THAT(results::visit_story_text(file, query, sim::UnitSystem::si),
             Contains("alkalinity 60 mg/L as CaCO3, calcium 720 mg/L as CaCO3, cyanuric acid 50 mg/L, salt 4200 mg/L, "
                      "salt shown by the unit 3100 mg/L\n"));
  auto const read = nlohmann::json::parse(results::visit_story_json(file, query))[0]["readings"];
  CHECK(read["salt_reading"] == 4.2);
  CHECK(read["unit_salt_reading"] == 3.1);
  CHECK(read["calcium_reading"] == 7.2);
  CHECK(read["alkalinity_reading"] == 1.2);
  CHECK(read["cyanuric_acid_reading"] == 0.39);
  CHECK(read["ph_reading"] == 7.53);
  CHECK(read["free_chlorine_reading"] == 0.00312);
}

TEST_CASE("a file in which seasons are missing is judged by those it has", "[results][comparison][unit]") {
  auto const run = tests::made_up_run({});
  auto const path = std::filesystem::temp_directory_path() / ("brinecast-part-" + std::to_string(getpid()) + ".h5");
  auto const with = [&](std::vector<sim::TaskId> const& tasks) {
    {
      results::ResultStore store(path, run, {});
      for (auto const& task : tasks) store.accept(tests::made_up_result(run, task.policy, task.replicate));
    }
    results::Journal const journal(results::journal_path(path, 0, 0));
    results::assemble(path, {&journal, 1}, {});
    std::filesystem::remove(journal.path());
    return results::ResultFile(path);
  };
  {
    auto const file = with({{0, 0}, {0, 1}, {0, 4}, {1, 1}, {1, 4}, {2, 1}, {2, 4}});
    CHECK_FALSE(file.record().complete);
    CHECK(file.paired_replicates() == std::vector<std::uint32_t>{1, 4});
    CHECK(results::compare(file, {}).replicates == 2);
    CHECK(results::plan_supplies(file, {.policy = "weekly"}).replicates == 3);
    auto const cost = file.read("cost");
    CHECK(std::isnan(cost[2 * run.pools.size()]));  // policy 0, replicate 2
    CHECK(cost[1 * run.pools.size()] == Approx(tests::made_up_result(run, 0, 1).pools.cost[0]).epsilon(1e-6));
  }
  {
    auto const file = with({{0, 0}, {1, 1}});
    CHECK_THROWS_WITH(results::compare(file, {}), Contains("no replicate is complete under every policy"));
    CHECK_THROWS_WITH(results::plan_supplies(file, {.policy = "fortnightly"}),
                      Contains("no replicate of fortnightly is complete; finish the run with --resume"));
  }
  std::filesystem::remove(path);
}

TEST_CASE("a plan of supplies agrees with the tallies", "[results][supplies][unit]") {
  auto const& made_up = made_up_file();
  results::ResultFile const file(made_up.path);
  auto const plan = results::plan_supplies(file, {.policy = "weekly"});
  REQUIRE(plan.materials.size() == 7);
  auto const& acid = plan.materials[1];
  std::vector<double> april, season;
  std::vector<std::vector<double>> cumulative;
  for (std::uint32_t r = 0; r < made_up.run.replicates; ++r) {
    auto use = tests::made_up_result(made_up.run, 0, r).months.acid_added;
    april.push_back(use[1]);
    std::partial_sum(use.begin(), use.end(), use.begin());
    season.push_back(use.back());
    cumulative.push_back(use);
  }
  CHECK(acid.months[1].amount.p50 == Approx(results::sample_quantile(april, 0.5)));
  CHECK(acid.season.p90 == Approx(results::sample_quantile(season, 0.9)));
  // A 21st season exceeds the largest need of 20 with chance 1/21 < 5 %, so none of the 20 may run out, in any month.
  CHECK(*std::max_element(season.begin(), season.end()) == acid.season_stock);
  int short_seasons = 0;
  for (auto const& use : cumulative) {
    double stock = 0.0;
    bool runs_out = false;
    for (std::size_t m = 0; m < use.size(); ++m) {
      stock += acid.months[m].order_packs * acid.supply.pack_size;
      runs_out = runs_out || use[m] > stock + 1e-9;
    }
    short_seasons += runs_out ? 1 : 0;
  }
  CHECK(short_seasons == 0);
  // Five days of lead time before 1 April.
  using namespace std::chrono;
  CHECK(acid.months[1].order_by == sys_days{year{2031} / March / 27});
  // Two technicians, 7.5 h a working day; April 2031 has 22 working days.
  CHECK(plan.work[1].capacity_h == Approx(2 * 7.5 * 22));
  REQUIRE(plan.busiest.size() == 5);
  CHECK(plan.busiest[0].work_h.p90 / plan.busiest[0].capacity_h >=
        plan.busiest[4].work_h.p90 / plan.busiest[4].capacity_h);
  auto const json = nlohmann::json::parse(results::supplies_json(plan));
  CHECK(json["materials"][1]["months"][1]["order_by"] == "2031-03-27");
  CHECK(json["materials"][1]["season"]["p50"].get<double>() == Approx(1000.0 * acid.season.p50));
  CHECK_THAT(results::supplies_text(plan), Contains("keep acid and chlorine products apart"));
}

TEST_CASE("the reorder level covers the lead time in all but one of twenty seasons", "[results][supplies][unit]") {
  auto const& made_up = made_up_file();
  results::ResultFile const file(made_up.path);
  auto const plan = results::plan_supplies(file, {.policy = "weekly"});
  auto const& acid = plan.materials[1];
  int short_seasons = 0;
  for (std::uint32_t r = 0; r < made_up.run.replicates; ++r) {
    std::vector<double> daily(static_cast<std::size_t>(made_up.run.days), 0.0);
    for (auto const& visit : tests::made_up_result(made_up.run, 0, r).visits) {
      daily[static_cast<std::size_t>(visit.time_s / 86400.0)] += static_cast<double>(visit.acid_added);
    }
    bool runs_out = false;
    for (std::size_t d = 0; d + 6 <= daily.size(); ++d) {
      runs_out = runs_out || std::accumulate(daily.begin() + static_cast<std::ptrdiff_t>(d),
                                             daily.begin() + static_cast<std::ptrdiff_t>(d + 6),
                                             0.0) > acid.reorder_level * (1.0 + 3e-4);  // the log is rounded to 12 bits
    }
    short_seasons += runs_out ? 1 : 0;
  }
  CHECK(short_seasons == 0);
  CHECK(acid.reorder_level > 0.0);
}

TEST_CASE("the README documents every variable as the schema has it", "[results][schema][unit]") {
  std::ifstream readme(BRINECAST_SOURCE_DIR "/results/README.md");
  std::ostringstream text;
  text << readme.rdbuf();
  CHECK(text.str().find(results::schema_table()) != std::string::npos);
}

TEST_CASE("names of variables are unique and their units are stated", "[results][schema][unit]") {
  for (auto const& variable : results::variables()) {
    INFO(variable.name);
    CHECK(results::find_variable(variable.name) == &variable);
    CHECK((variable.units.empty()) == (variable.storage == results::Storage::text));
    CHECK_FALSE(variable.long_name.empty());
    CHECK_FALSE(variable.axes.empty());
  }
}

TEST_CASE("tables line up and fields are quoted", "[results][table][unit]") {
  CHECK(results::table_text({{"a", "b"}, {"ü", "10"}}) == "a   b\n-----\nü  10\n");
  CHECK(results::csv_field("a,\"b\"") == "\"a,\"\"b\"\"\"");
  CHECK(results::number_text(-0.001, 1) == "0.0");
  CHECK(results::number_text(std::nan(""), 1) == "-");
  CHECK(results::signed_number(-std::nan(""), 1) == "-");
  CHECK(results::signed_number(0.25, 2) == "+0.25");
  CHECK(results::signed_number(-0.001, 2) == "0.00");
}
