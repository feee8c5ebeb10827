// Whole runs of a small fleet: the same results on any number of threads, and answers that move the right way.

#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <numeric>

#include "sim/ensemble/ensemble.hpp"
#include "sim/scenario/read_scenario.hpp"
#include "tests/sim/keep_all.hpp"
#include "tools/small_fleet/small_fleet.hpp"

namespace brinecast::sim {
namespace {

/// Forty pools for four months under two policies.
Scenario scenario_with(tools::SmallFleet change) {
  change.merge(tools::SmallFleet{{"seed", "3"},
                                 {"replicates", "2"},
                                 {"first_day", "2027-04-01"},
                                 {"days", "122"},
                                 {"pools", "40"},
                                 {"policies",
                                  "[policies.weekly]\nvisits.interval = \"7 d\"\n"
                                  "[policies.monthly]\nbase = \"weekly\"\nvisits.interval = \"28 d\"\n"}});
  Problems problems;
  auto scenario = read_scenario_text(tools::small_fleet_text(std::move(change)), "small_fleet.toml", problems);
  INFO(problems.text());
  REQUIRE(scenario);
  return std::move(*scenario);
}

std::unique_ptr<Prepared> prepared_with(tools::SmallFleet const& change) {
  Problems problems;
  auto prepared = prepare(scenario_with(change), problems);
  INFO(problems.text());
  REQUIRE(prepared);
  return prepared;
}

KeepAll run_all(Prepared const& prepared, int threads, std::size_t most_tasks = 1000) {
  std::vector<TaskId> tasks;
  for (std::uint32_t replicate = 0; replicate < static_cast<std::uint32_t>(prepared.scenario.replicates); ++replicate) {
    for (std::size_t policy = 0; policy < prepared.scenario.policies.size(); ++policy) {
      if (tasks.size() < most_tasks) tasks.push_back({policy, replicate});
    }
  }
  KeepAll sink;
  EnsembleOptions options;
  options.threads = threads;
  auto const outcome = run_ensemble(prepared, tasks, sink, options);
  CHECK(outcome.complete);
  CHECK(outcome.largest_book_error < 1e-9);
  CHECK(outcome.nanoseconds_per_pool_hour > 0.0);
  return sink;
}

double mean(std::vector<double> const& values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}
double sum(std::vector<double> const& values) { return std::accumulate(values.begin(), values.end(), 0.0); }

/// Bit for bit, so that a missing value equals itself.
template <class Value>
bool same(std::vector<Value> const& a, std::vector<Value> const& b) {
  return a.size() == b.size() && (a.empty() || std::memcmp(a.data(), b.data(), a.size() * sizeof(Value)) == 0);
}

bool same_season(TaskResult const& a, TaskResult const& b) {
  bool equal = same(a.pools.free_chlorine_in_range, b.pools.free_chlorine_in_range) &&
               same(a.pools.salt_added, b.pools.salt_added) && same(a.pools.cost, b.pools.cost) &&
               same(a.months.cost, b.months.cost) && a.visits.size() == b.visits.size();
  for (std::size_t q = 0; q < day_quantiles.size(); ++q) equal = equal && same(a.days.ph[q], b.days.ph[q]);
  for (std::size_t i = 0; equal && i < a.visits.size(); ++i) {
    equal = a.visits[i].pool == b.visits[i].pool && a.visits[i].time_s == b.visits[i].time_s &&
            a.visits[i].salt_added == b.visits[i].salt_added && a.visits[i].rules == b.visits[i].rules;
  }
  return equal;
}

TEST_CASE("a season whose spare cells run out is the same on one thread and with its blocks on two",
          "[sim][ensemble][unit]") {
  auto const prepared = prepared_with({{"model", "coating_life_scale_h = \"1000 h\""},
                                       {"supplies", "cells_in_stock = 1\ncell_lead_time = \"20 d\""},
                                       {"replicates", "1"}});
  KeepAll const one = run_all(*prepared, 1, 1);
  KeepAll const by_blocks = run_all(*prepared, 2, 1);
  CHECK(sum(one.at(0, 0).pools.shortages) > 0.0);
  CHECK(sum(one.at(0, 0).pools.cells_replaced) > 0.0);
  CHECK(same(one.at(0, 0).pools.shortages, by_blocks.at(0, 0).pools.shortages));
  CHECK(same_season(one.at(0, 0), by_blocks.at(0, 0)));
}

TEST_CASE("a season whose vans run short is the same on one thread and with its blocks on two",
          "[sim][ensemble][unit]") {
  auto const prepared = prepared_with(
      {{"supplies", "salt_in_stock = 4\nsalt_on_van = 2\nacid_on_van = 1\nacid_drum = \"2 L\""}, {"replicates", "1"}});
  KeepAll const one = run_all(*prepared, 1, 1);
  KeepAll const by_blocks = run_all(*prepared, 2, 1);
  CHECK(sum(one.at(0, 0).pools.shortages) > 0.0);
  CHECK(same(one.at(0, 0).pools.shortages, by_blocks.at(0, 0).pools.shortages));
  CHECK(same_season(one.at(0, 0), by_blocks.at(0, 0)));
}

TEST_CASE("vans that carry more than a day takes change nothing", "[sim][ensemble][unit]") {
  auto const endless = prepared_with({{"replicates", "1"}});
  auto const ample = prepared_with({{"replicates", "1"}});
  for (MaterialSupply& supply : ample->scenario.supplies.materials) supply.packs_on_van = 100'000;
  CHECK(same_season(run_all(*endless, 2, 1).at(0, 0), run_all(*ample, 2, 1).at(0, 0)));
}

TEST_CASE("a season is the same on one and on two threads, by tasks and by blocks", "[sim][ensemble][unit]") {
  auto const prepared = prepared_with({});
  KeepAll const one = run_all(*prepared, 1);
  KeepAll const two = run_all(*prepared, 2);
  KeepAll const by_blocks = run_all(*prepared, 2, 1);  // one task on two threads: its blocks are shared
  REQUIRE(one.size() == 4);
  for (std::size_t policy = 0; policy < 2; ++policy) {
    for (std::uint32_t replicate = 0; replicate < 2; ++replicate) {
      CHECK(same_season(one.at(policy, replicate), two.at(policy, replicate)));
    }
  }
  CHECK(same_season(one.at(0, 0), by_blocks.at(0, 0)));
  CHECK(same_season(one.at(0, 0), simulate(*prepared, {.policy = 0, .replicate = 0})));
  CHECK_FALSE(same_season(one.at(0, 0), one.at(0, 1)));
}

TEST_CASE("all policies meet the same weather", "[sim][ensemble][unit]") {
  auto const prepared = prepared_with({});
  KeepAll const all = run_all(*prepared, 2);
  CHECK(same(all.at(0, 1).days.rain, all.at(1, 1).days.rain));
  CHECK(same(all.at(0, 1).days.air_temperature, all.at(1, 1).days.air_temperature));
  CHECK_FALSE(same(all.at(0, 0).days.rain, all.at(0, 1).days.rain));
}

TEST_CASE("more rain takes more salt, more heat more chlorine", "[sim][ensemble][unit]") {
  KeepAll const usual = run_all(*prepared_with({}), 2);
  KeepAll const wet = run_all(*prepared_with({{"weather", "rain_factor = 2.0"}}), 2);
  KeepAll const hot = run_all(*prepared_with({{"weather", "warming = \"4 K\""}}), 2);
  for (std::uint32_t replicate = 0; replicate < 2; ++replicate) {
    CHECK(sum(wet.at(0, replicate).pools.overflowed) > sum(usual.at(0, replicate).pools.overflowed));
    CHECK(sum(wet.at(0, replicate).pools.salt_added) > sum(usual.at(0, replicate).pools.salt_added));
    auto const chlorine = [&](KeepAll const& run) {
      PoolTally const& pools = run.at(0, replicate).pools;
      return sum(pools.chlorine_produced) + 125.0 * sum(pools.liquid_chlorine_added);
    };
    CHECK(chlorine(hot) > 1.05 * chlorine(usual));
  }
}

// Four seasons of forty pools tell weekly from monthly by many standard errors; only their mean is compared.
TEST_CASE("fewer visits do not keep the water better", "[sim][ensemble][unit]") {
  KeepAll const all = run_all(*prepared_with({{"replicates", "4"}}), 2);
  double weekly = 0.0, monthly = 0.0;
  for (std::uint32_t replicate = 0; replicate < 4; ++replicate) {
    weekly += mean(all.at(0, replicate).pools.free_chlorine_in_range);
    monthly += mean(all.at(1, replicate).pools.free_chlorine_in_range);
    CHECK(sum(all.at(0, replicate).pools.visits) > 2.0 * sum(all.at(1, replicate).pools.visits));
    CHECK(sum(all.at(0, replicate).months.service_time) > sum(all.at(1, replicate).months.service_time));
  }
  CHECK(weekly > monthly);
}

TEST_CASE("a crew whose shift runs out visits late and misses", "[sim][ensemble][unit]") {
  auto const with_crew = [](int technicians) {
    return run_all(
        *prepared_with({{"pools", "120"}, {"replicates", "1"}, {"technicians", tools::technicians(technicians)}}), 2);
  };
  KeepAll const ample = with_crew(4);
  KeepAll const scarce = with_crew(1);
  auto const late = [](KeepAll const& run) {
    return sum(run.at(0, 0).pools.late_visits) + sum(run.at(0, 0).pools.missed_visits);
  };
  CHECK(late(ample) < 0.02 * sum(ample.at(0, 0).pools.visits));
  CHECK(late(scarce) > 0.10 * sum(scarce.at(0, 0).pools.visits));
  CHECK(sum(scarce.at(0, 0).pools.visits) < sum(ample.at(0, 0).pools.visits));
  auto const& driven = scarce.at(0, 0).technicians;
  for (std::size_t day = 0; day < driven.stops[0].size(); ++day) CHECK(driven.stops[0][day] < 40.0F);
}

TEST_CASE("totals by pool and by month tell the same story", "[sim][ensemble][unit]") {
  // Every kind of cost there is.
  TaskResult const season = simulate(
      *prepared_with({{"prices", "pump_energy_per_kWh = 0.2\nfill_water_per_m3 = 3"},
                      {"traits", "automatic_refill = { yes = \"50 %\", no = \"50 %\" }"},
                      {"policies",
                       "[policies.weekly]\nvisits.interval = \"7 d\"\n"
                       "visits.remote = { used = true, every = \"1 d\", free_chlorine_below = \"1 ppm\" }\n"}}),
      {.policy = 0, .replicate = 0});
  CHECK(sum(season.pools.remote_readings) > 0.0);
  CHECK(sum(season.pools.pump_energy) > 0.0);
  CHECK(sum(season.months.fill_water) == Approx(sum(season.pools.fill_water)));
  CHECK(sum(season.months.salt_added) == Approx(sum(season.pools.salt_added)));
  CHECK(sum(season.months.visits) == sum(season.pools.visits));
  CHECK(sum(season.months.visits) == static_cast<double>(season.visits.size()));
  CHECK(sum(season.months.cost) == Approx(sum(season.pools.cost)));
  CHECK(sum(season.months.revenue) == Approx(sum(season.pools.revenue)));
  CHECK(sum(season.months.service_time) == Approx(sum(season.pools.service_time)));
  double logged_kg = 0.0;
  for (VisitRecord const& visit : season.visits) logged_kg += visit.salt_added;
  CHECK(logged_kg == Approx(sum(season.pools.salt_added)).epsilon(1e-5));
  for (double const share : season.pools.free_chlorine_in_range) {
    CHECK(share >= 0.0);
    CHECK(share <= 1.0);
  }
}

TEST_CASE("electricity and fill water cost what is asked for them, by default nothing", "[sim][ensemble][unit]") {
  auto const season = [](std::string const& prices) {
    return simulate(
        *prepared_with({{"prices", prices}, {"traits", "automatic_refill = { yes = \"50 %\", no = \"50 %\" }"}}),
        {.policy = 0, .replicate = 0});
  };
  TaskResult const free = season("");
  TaskResult const priced = season("pump_energy_per_kWh = 0.2\nfill_water_per_m3 = 3");
  double const more = 0.2 * sum(priced.pools.pump_energy) + 3.0 * sum(priced.pools.fill_water);
  CHECK(more > 100.0);
  CHECK(sum(priced.pools.cost) - sum(free.pools.cost) == Approx(more));
}

TEST_CASE("frost breaks a pool's lines once, and its dead cell is found after the opening", "[sim][ensemble][unit]") {
  TaskResult const year =
      simulate(*prepared_with({{"first_day", "2027-10-01"},
                               {"days", "330"},
                               {"weather", "warming = \"-10 K\""},
                               {"supplies", "cells_in_stock = 100"},
                               {"policies",
                                "[policies.bypassed]\nvisits.interval = \"7 d\"\n"
                                "year = { closes = true, how = \"bypass_only\", close_on = \"11-01\", "
                                "open_on = \"05-20\" }\n"}}),
               {.policy = 0, .replicate = 0});
  double broken = 0.0, mended = 0.0;
  for (std::size_t pool = 0; pool < year.pools.freeze_breaks.size(); ++pool) {
    CHECK(year.pools.freeze_breaks[pool] <= 1.0);
    if (year.pools.freeze_breaks[pool] == 0.0) continue;
    broken += 1.0;
    // What the cell made before the winter alone is far less.
    mended += year.pools.cells_replaced[pool] >= 1.0 && year.pools.chlorine_produced[pool] > 1.0 ? 1.0 : 0.0;
  }
  CHECK(broken >= 10.0);
  CHECK(mended >= 0.9 * broken);
}

TEST_CASE("visits fall on working days, inside shifts", "[sim][ensemble][unit]") {
  auto const prepared = prepared_with({});
  TaskResult const season = simulate(*prepared, {.policy = 0, .replicate = 0});
  REQUIRE(!season.visits.empty());
  for (VisitRecord const& visit : season.visits) {
    auto const day = static_cast<int>(visit.time_s / 86400.0);
    std::chrono::weekday const weekday{prepared->scenario.season.first_day + std::chrono::days{day}};
    CHECK(weekday != std::chrono::Saturday);
    CHECK(weekday != std::chrono::Sunday);
    double const time_s = visit.time_s - day * 86400.0;
    CHECK(time_s >= prepared->scenario.technicians[visit.technician].shift_start_s);
  }
}

TEST_CASE("a run that is asked to stop says so and hands on only whole seasons", "[sim][ensemble][unit]") {
  auto const prepared = prepared_with({});
  KeepAll sink;
  EnsembleOptions options;
  options.threads = 1;
  int asked = 0;
  options.cancelled = [&] { return ++asked > 300; };  // somewhere in the third season
  auto const outcome = run_ensemble(*prepared, {{0, 0}, {1, 0}, {0, 1}, {1, 1}}, sink, options);
  CHECK_FALSE(outcome.complete);
  CHECK(sink.size() >= 1);
  CHECK(sink.size() < 4);
}

}  // namespace
}  // namespace brinecast::sim
