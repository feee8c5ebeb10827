#include "sim/rounds/dispatch.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <set>

#include "tests/sim/rounds/small_town.hpp"

using namespace brinecast;
using namespace brinecast::sim;

namespace {

/// Judges a round from the scenario alone: seconds by hand, no RoundClock.
void check_round(Scenario const& town, TravelTable const& travel, Round const& round,
                 std::vector<WantedVisit> const& wanted) {
  Technician const& technician = town.technicians[index_of(round.technician)];
  REQUIRE(!round.stops.empty());
  std::int32_t time = round.leave_start_s;
  std::size_t place = place_of_start(town, round.technician);
  CHECK(time >= technician.shift_start_s);
  std::int32_t idle = 0;
  double load = 0.0;
  for (PlannedStop const& stop : round.stops) {
    Pool const& pool = town.pools[index_of(stop.pool)];
    auto const want = std::find_if(wanted.begin(), wanted.end(), [&](auto const& w) { return w.pool == stop.pool; });
    REQUIRE(want != wanted.end());
    if (stop.restocked_before) {
      time += travel.seconds(place, place_of_start(town, round.technician)) +
              static_cast<std::int32_t>(town.rounds.restocking_s);
      place = place_of_start(town, round.technician);
      load = 0.0;
    }
    load += want->supplies_kg;
    CHECK(load <= technician.payload_kg * (1 + 1e-6));
    time += travel.seconds(place, place_of_pool(stop.pool));
    CHECK(stop.arrival_s == time);
    CHECK(stop.arrival_s <= pool.gate_closes_s);
    CHECK(stop.start_s >= std::max<double>(stop.arrival_s, pool.gate_opens_s));
    CHECK(stop.leave_s - stop.start_s == std::lround(want->service_s));
    idle += stop.start_s - stop.arrival_s;
    time = stop.leave_s;
    place = place_of_pool(stop.pool);
    if (!pool.skill.empty()) {
      CHECK(std::count(technician.skills.begin(), technician.skills.end(), pool.skill) == 1);
    }
  }
  std::int32_t const home = time + travel.seconds(place, place_of_end(town, round.technician));
  // What is left of the break is taken before the drive home.
  CHECK((round.reach_end_s == home || round.reach_end_s == home + technician.break_s));
  if (round.reach_end_s > technician.shift_start_s + technician.shift_length_s / 2) {
    CHECK(idle + round.reach_end_s - home >= technician.break_s);
  }
  CHECK(round.reach_end_s <= technician.shift_start_s + technician.shift_length_s + technician.overtime_limit_s);
}

std::vector<WantedVisit> planned_day(std::size_t pools, std::size_t technicians) {
  std::vector<WantedVisit> wanted;
  for (std::size_t i = 0; i < pools; ++i) {
    WantedVisit visit;
    visit.pool = static_cast<PoolId>(i);
    visit.planned_technician = static_cast<TechnicianId>(i % technicians);
    visit.planned_position = static_cast<int>(i / technicians);
    visit.service_s = 900.0;
    wanted.push_back(visit);
  }
  return wanted;
}

}  // namespace

TEST_CASE("a day that fits keeps every planned order", "[sim][rounds][unit]") {
  Scenario const town = tests::small_town(40, 4, 4000.0);
  Problems problems;
  TravelTable const travel = travel_table(town, problems);
  REQUIRE(problems.empty());
  Dispatcher dispatcher(town, travel);
  auto wanted = planned_day(40, 4);
  std::reverse(wanted.begin(), wanted.end());
  DayRounds const day = dispatcher.dispatch(wanted);
  CHECK(day.not_served.empty());
  REQUIRE(day.rounds.size() == 4);
  for (Round const& round : day.rounds) {
    check_round(town, travel, round, wanted);
    REQUIRE(round.stops.size() == 10);
    for (std::size_t stop = 0; stop < 10; ++stop) {
      CHECK(index_of(round.stops[stop].pool) == stop * 4 + index_of(round.technician));
    }
  }
}

TEST_CASE("call-outs join where they cost least and nobody is visited twice", "[sim][rounds][unit]") {
  Scenario const town = tests::small_town(60, 3, 6000.0);
  Problems problems;
  TravelTable const travel = travel_table(town, problems);
  Dispatcher dispatcher(town, travel);
  auto wanted = planned_day(30, 3);
  for (std::uint32_t pool : {45U, 46U, 3U}) {
    WantedVisit call;
    call.pool = static_cast<PoolId>(pool);
    call.call_out = true;
    call.service_s = 1200.0;
    wanted.push_back(call);
  }
  DayRounds const day = dispatcher.dispatch(wanted);
  CHECK(day.not_served.empty());
  std::multiset<PoolId> visited;
  for (Round const& round : day.rounds) {
    check_round(town, travel, round, wanted);
    for (PlannedStop const& stop : round.stops) visited.insert(stop.pool);
  }
  CHECK(visited.size() == 32);
  CHECK(std::set<PoolId>(visited.begin(), visited.end()).size() == 32);

  RoundClock const clock(town, travel);
  // The second call-out alone, tried by hand everywhere: no place is cheaper than the one chosen.
  auto const base_wanted = planned_day(30, 3);
  DayRounds const base = dispatcher.dispatch(base_wanted);
  auto with_call = base_wanted;
  with_call.push_back(wanted[31]);
  DayRounds const chosen = dispatcher.dispatch(with_call);
  auto const cost_of = [&](DayRounds const& rounds) {
    double sum = 0.0;
    for (Round const& round : rounds.rounds) {
      sum += clock.wage_per_s() * (round.reach_end_s - round.leave_start_s) + clock.driving_per_m() * round.driving_m;
    }
    return sum;
  };
  double least = 1e300;
  for (std::size_t technician = 0; technician < 3; ++technician) {
    for (std::size_t position = 0; position <= 10; ++position) {
      double sum = 0.0;
      for (Round const& round : base.rounds) {
        std::vector<StopWork> stops;
        for (PlannedStop const& stop : round.stops) stops.push_back({stop.pool, 900, 5.0F});
        if (index_of(round.technician) == technician) {
          stops.insert(stops.begin() + static_cast<std::ptrdiff_t>(position), {wanted[31].pool, 1200, 5.0F});
        }
        Round const timed = clock.timed_round(round.technician, 0, stops);
        sum += clock.wage_per_s() * (timed.reach_end_s - timed.leave_start_s) + clock.driving_per_m() * timed.driving_m;
      }
      least = std::min(least, sum);
    }
  }
  CHECK(cost_of(chosen) == Approx(least).epsilon(1e-9));
  CHECK(cost_of(chosen) > cost_of(base));
}

TEST_CASE("what does not fit waits, the least late first", "[sim][rounds][unit]") {
  Scenario const town = tests::small_town(50, 2);
  Problems problems;
  TravelTable const travel = travel_table(town, problems);
  Dispatcher dispatcher(town, travel);
  auto wanted = planned_day(50, 2);
  for (auto& visit : wanted) visit.service_s = 2000.0;
  for (std::size_t i = 0; i < 10; ++i) wanted[i * 5].days_late = 1.0 + static_cast<double>(i);
  DayRounds const day = dispatcher.dispatch(wanted);
  CHECK(day.not_served.size() > 10);
  std::size_t served = 0;
  for (Round const& round : day.rounds) {
    check_round(town, travel, round, wanted);
    served += round.stops.size();
  }
  CHECK(served + day.not_served.size() == 50);
  for (PoolId const pool : day.not_served) CHECK(wanted[index_of(pool)].days_late == 0.0);
  // The same input gives the same day.
  DayRounds const again = dispatcher.dispatch(wanted);
  CHECK(again.not_served == day.not_served);
}

TEST_CASE("a call-out that waited long enough pushes planned visits off", "[sim][rounds][unit]") {
  Scenario town = tests::small_town(31, 1, 3000.0);
  town.rounds.call_out_max_wait_s = 2 * 86400.0;
  Problems problems;
  TravelTable const travel = travel_table(town, problems);
  Dispatcher dispatcher(town, travel);
  auto wanted = planned_day(30, 1);
  for (auto& visit : wanted) visit.service_s = 1500.0;
  WantedVisit call;
  call.pool = PoolId{30};
  call.call_out = true;
  call.service_s = 3600.0;
  call.days_late = 2.0;
  for (auto& visit : wanted) visit.days_late = 0.5;
  wanted.push_back(call);
  DayRounds const day = dispatcher.dispatch(wanted);
  REQUIRE(day.rounds.size() == 1);
  check_round(town, travel, day.rounds[0], wanted);
  auto const& stops = day.rounds[0].stops;
  CHECK(std::any_of(stops.begin(), stops.end(), [](PlannedStop const& stop) { return stop.pool == PoolId{30}; }));
}

TEST_CASE("skills, gates, breaks and van loads hold on a hard day", "[sim][rounds][unit]") {
  Scenario town = tests::small_town(60, 3, 8000.0);
  town.technicians[1].skills = {"salt cell"};
  town.technicians[0].payload_kg = 60.0;
  for (std::size_t i = 0; i < 60; i += 7) town.pools[i].skill = "salt cell";
  for (std::size_t i = 3; i < 60; i += 5) town.pools[i].gate_opens_s = 10.0 * 3600;
  for (std::size_t i = 4; i < 60; i += 6) town.pools[i].gate_closes_s = 11.0 * 3600;
  Problems problems;
  TravelTable const travel = travel_table(town, problems);
  Dispatcher dispatcher(town, travel);
  auto wanted = planned_day(60, 3);
  for (auto& visit : wanted) visit.supplies_kg = 11.0;
  DayRounds const day = dispatcher.dispatch(wanted);
  bool restocked = false;
  for (Round const& round : day.rounds) {
    check_round(town, travel, round, wanted);
    for (PlannedStop const& stop : round.stops) restocked |= stop.restocked_before;
  }
  CHECK(restocked);
}

TEST_CASE("a followed plan of 200 stops costs little time", "[sim][rounds][unit]") {
  Scenario const town = tests::small_town(200, 4, 2000.0);
  Problems problems;
  TravelTable const travel = travel_table(town, problems);
  Dispatcher dispatcher(town, travel);
  auto wanted = planned_day(200, 4);
  for (auto& visit : wanted) visit.service_s = 400.0;
  REQUIRE(dispatcher.dispatch(wanted).not_served.empty());
  double best_us = 1e9;
  for (int attempt = 0; attempt < 200; ++attempt) {
    auto const start = std::chrono::steady_clock::now();
    DayRounds const day = dispatcher.dispatch(wanted);
    best_us =
        std::min(best_us, std::chrono::duration<double, std::micro>(std::chrono::steady_clock::now() - start).count());
    REQUIRE(day.rounds.size() == 4);
  }
  INFO(best_us << " us");
#ifdef NDEBUG
  CHECK(best_us < 100.0);
#endif
}
