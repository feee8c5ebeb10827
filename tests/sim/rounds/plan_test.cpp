#include "sim/rounds/plan.hpp"

#include <catch2/catch.hpp>
#include <map>
#include <set>
#include <tuple>

#include "sim/rounds/lower_bound.hpp"
#include "sim/rounds/period.hpp"
#include "sim/rounds/plan_problems.hpp"
#include "sim/rounds/round_clock.hpp"
#include "tests/sim/rounds/small_town.hpp"

using namespace brinecast;
using namespace brinecast::sim;

namespace {

std::vector<PlannedPool> every(Scenario const& town, double interval_d, double service_s = 1500.0) {
  std::vector<PlannedPool> pools;
  for (std::size_t i = 0; i < town.pools.size(); ++i) {
    pools.push_back({static_cast<PoolId>(i), interval_d, service_s, 5.0});
  }
  return pools;
}

}  // namespace

TEST_CASE("intervals become whole cycles of working days", "[sim][rounds][unit]") {
  RoundsSpec const rounds;
  CHECK(planning_period(std::vector{7.0, 7.0}, rounds).days == 5);
  CHECK(planning_period(std::vector{10.0}, rounds).days == 7);
  CHECK(planning_period(std::vector{14.0}, rounds).days == 10);
  Period const mixed = planning_period(std::vector{7.0, 14.0, 28.0}, rounds);
  CHECK(mixed.days == 20);
  CHECK(mixed.cycles == std::vector{5, 10, 20});
  CHECK(mixed.largest_stretch == 0.0);
  // 5, 7 and 10 working days repeat together after 70: too long, so the cycles are rounded to a shorter period.
  Period const awkward = planning_period(std::vector{7.0, 10.0, 14.0}, rounds);
  CHECK(awkward.days <= longest_period_days);
  for (int const cycle : awkward.cycles) CHECK(awkward.days % cycle == 0);
  CHECK(awkward.largest_stretch > 0.0);
  CHECK(awkward.largest_stretch < 0.3);
  // 140 d are 100 working days, of which a period holds 60.
  Period const long_one = planning_period(std::vector{140.0}, rounds);
  CHECK(long_one.cycles == std::vector{60});
  CHECK(long_one.largest_stretch == Approx(0.4));
}

TEST_CASE("an interval that no plan can hold is told with when its visits come", "[sim][rounds][unit]") {
  struct Told {
    double interval_d;
    std::size_t working_days;
    std::string lines;
  };
  auto const told = GENERATE(
      Told{7.0, 5, ""}, Told{84.0, 5, ""}, Told{90.0, 5, ""},  // 90 d come after 84 d, 7 % sooner
      Told{100.0, 5,
           "policies.rare.visits.interval: the plan of rounds repeats after 60 working days at the latest, and on its "
           "days a visit due after 100 d comes after 84 d; write at most 84 d\n"},
      Told{365.0, 5,
           "policies.rare.visits.interval: the plan of rounds repeats after 60 working days at the latest, and on its "
           "days a visit due after 365 d comes after 252 d; write at most 84 d\n"},
      Told{100.0, 4, ""},
      Told{150.0, 4,
           "policies.rare.visits.interval: the plan of rounds repeats after 60 working days at the latest, and on its "
           "days a visit due after 150 d comes after 105 d; write at most 105 d\n"});
  Scenario town = tests::small_town(10, 1);
  town.rounds.working_days.resize(told.working_days, std::chrono::Sunday);
  PolicySpec policy;
  policy.name = "rare";
  policy.visits.interval_d = told.interval_d;
  CAPTURE(told.interval_d, told.working_days);
  CHECK(find_plan_problems(town, policy, every(town, told.interval_d)).text() == told.lines);
  CHECK(outlasts_every_period(policy, town.rounds) ==
        (told.interval_d > 420.0 / static_cast<double>(told.working_days)));
  // By rules of the calendar intervals take turns: their mean is no interval that anybody states.
  CHECK(find_plan_problems(town, policy, every(town, 0.8 * told.interval_d)).empty());
  policy.visits.interval_d = 7.0;
  policy.visits.rules.resize(1);
  policy.visits.rules[0].interval_d = told.interval_d;
  std::string by_rule = told.lines;
  if (!by_rule.empty()) by_rule.replace(by_rule.find("interval"), 0, "rules[1].");
  CHECK(find_plan_problems(town, policy, every(town, told.interval_d)).text() == by_rule);
}

TEST_CASE("a plan visits every pool in its rhythm within the technicians' days", "[sim][rounds][unit]") {
  Scenario const town = tests::small_town(90, 2, 8000.0);
  Problems problems;
  TravelTable const travel = travel_table(town, problems);
  auto pools = every(town, 7.0);
  for (std::size_t i = 0; i < pools.size(); i += 3) pools[i].visit_interval_d = 14.0;
  RoundsPlan const plan = plan_rounds(town, travel, pools, 1);
  CHECK(plan.unserved.empty());
  CHECK(plan.period_days == 10);
  std::map<PoolId, std::set<int>> days_of;
  RoundClock const clock(town, travel);
  double money = 0.0;
  for (Round const& round : plan.rounds) {
    std::vector<StopWork> stops;
    for (PlannedStop const& stop : round.stops) {
      CHECK(days_of[stop.pool].insert(round.day).second);
      stops.push_back({stop.pool, 1500, 5.0F});
    }
    DayFigures const figures = clock.figures(round.technician, stops);
    CHECK(figures.allowed());
    money += clock.cost(figures);
  }
  CHECK(money == Approx(plan.cost).epsilon(1e-9));
  for (PlannedPool const& pool : pools) {
    auto const& days = days_of[pool.pool];
    int const cycle = pool.visit_interval_d == 7.0 ? 5 : 10;
    REQUIRE(static_cast<int>(days.size()) == 10 / cycle);
    if (days.size() == 2) CHECK(*days.rbegin() - *days.begin() == 5);
  }
  CHECK(plan.lower_bound > 0.0);
  CHECK(plan.lower_bound <= plan.cost);
}

TEST_CASE("a plan does not depend on the currency", "[sim][rounds][unit]") {
  Scenario town = tests::small_town(40, 2, 20'000.0);
  for (std::size_t i = 0; i < town.pools.size(); i += 4) {
    town.pools[i].preferred_technician = town.technicians[i / 4 % 2].name;
  }
  town.rounds.planning_time_s = 0.3;
  auto pools = every(town, 7.0);
  for (std::size_t i = 0; i < pools.size(); i += 3) pools[i].visit_interval_d = 14.0;
  Problems problems;
  TravelTable const travel = travel_table(town, problems);
  auto const planned = [&](double factor) {
    Scenario abroad = town;
    abroad.prices.wage_per_h *= factor;
    abroad.prices.driving_per_km *= factor;
    abroad.rounds.other_technician_cost *= factor;
    return plan_rounds(abroad, travel, pools, 1);
  };
  RoundsPlan const plan = planned(1.0);
  REQUIRE(plan.unserved.empty());
  auto const stops_of = [](RoundsPlan const& of) {
    std::vector<std::tuple<int, TechnicianId, std::vector<PoolId>>> days;
    for (Round const& round : of.rounds) {
      days.emplace_back(round.day, round.technician, std::vector<PoolId>{});
      for (PlannedStop const& stop : round.stops) std::get<2>(days.back()).push_back(stop.pool);
    }
    return days;
  };
  for (double const factor : {1000.0, 0.001}) {
    CAPTURE(factor);
    RoundsPlan const abroad = planned(factor);
    CHECK(stops_of(abroad) == stops_of(plan));
    CHECK(abroad.cost == Approx(factor * plan.cost).epsilon(1e-9));
  }
  // Other factors round other amounts, and a search that meets a tie goes elsewhere.
  for (double const factor : {60.0, 35'000.0}) {
    CAPTURE(factor);
    RoundsPlan const abroad = planned(factor);
    CHECK(abroad.unserved.empty());
    CHECK(abroad.cost == Approx(factor * plan.cost).epsilon(0.01));
  }
}

TEST_CASE("prices of any size, free ones too, make a plan", "[sim][rounds][hostile]") {
  Scenario town = tests::small_town(20, 1);
  town.rounds.planning_time_s = 0.001;
  Problems problems;
  TravelTable const travel = travel_table(town, problems);
  for (double const wage : {0.0, 1e-320, 1e-9, 28.0, 1e6}) {
    for (double const per_km : {0.0, 1e-320, 0.45, 1e6}) {
      for (double const other : {0.0, 1e6}) {
        for (double const overtime : {1.0, 1e6}) {
          CAPTURE(wage, per_km, other, overtime);
          town.prices.wage_per_h = wage;
          town.prices.driving_per_km = per_km;
          town.prices.overtime_factor = overtime;
          town.rounds.other_technician_cost = other;
          CHECK(plan_rounds(town, travel, every(town, 7.0), 1).unserved.empty());
        }
      }
    }
  }
}

TEST_CASE("a pool that nobody can serve stays out of a plan that serves the others", "[sim][rounds][hostile]") {
  Scenario town = tests::small_town(20, 1);
  town.pools[3].skill = "a key that nobody has";
  town.pools[5].position = {170.0, -80.0};
  Problems problems;
  RoundsPlan const plan = plan_rounds(town, travel_table(town, problems), every(town, 7.0), 1);
  CHECK(plan.unserved == std::vector{PoolId{3}, PoolId{5}});
}

TEST_CASE("the lower bound never exceeds the best plan of a small fleet", "[sim][rounds][unit]") {
  // Six pools, one technician, one day: all orders tried by hand.
  for (double const side_m : {500.0, 5000.0, 40'000.0}) {
    Scenario const town = tests::small_town(6, 1, side_m);
    Problems problems;
    TravelTable const travel = travel_table(town, problems);
    RoundClock const clock(town, travel);
    std::vector<std::size_t> order{0, 1, 2, 3, 4, 5};
    double best = 1e300;
    std::vector<PeriodVisits> visits;
    for (std::size_t i = 0; i < 6; ++i) visits.push_back({static_cast<PoolId>(i), 1, 1500.0});
    do {
      std::vector<StopWork> stops;
      for (std::size_t const i : order) stops.push_back({static_cast<PoolId>(i), 1500, 5.0F});
      best = std::min(best, clock.cost(clock.figures(TechnicianId{0}, stops)));
    } while (std::next_permutation(order.begin(), order.end()));
    double const bound = rounds_lower_bound(town, travel, visits, 1);
    CHECK(bound <= best);
    CHECK(bound > 0.97 * best);  // driving is a small part of the money here, so a useful bound is near
  }
}
