#include <catch2/catch.hpp>

#include "sim/rounds/search/check.hpp"

using namespace brinecast::sim::search;

namespace {

/// Two customers east of a depot, 10 and 20 away along a line; two days.
struct Line {
  std::vector<std::int32_t> table{0, 10, 20, 10, 0, 10, 20, 10, 0};
  Problem problem;
  Solution solution;
  Line() {
    problem.days = 2;
    problem.travel_cost = problem.travel_duration = {.values = table.data(), .places = 3};
    Customer customer;
    customer.place = 1;
    customer.demand = 4;
    customer.service_duration = 5;
    customer.patterns = {{.days = 0b01, .cost = 1}, {.days = 0b11}};
    problem.customers.push_back(customer);
    customer.place = 2;
    customer.opens = 50;
    customer.closes = 60;
    problem.customers.push_back(customer);
    VehicleKind kind;
    kind.capacity = 8;
    kind.longest_duration = 52;
    kind.regular_duration = 45;
    kind.overtime_cost = 3;
    kind.duration_cost = 2;
    kind.fixed_cost = 100;
    problem.kinds.push_back(kind);
    solution.patterns = {0, 0};
    solution.rounds = {{.day = 0, .kind = 0, .vehicle = 0, .customers = {0, 1}}};
  }
};

}  // namespace

TEST_CASE("the check works a day out by hand", "[sim][route_search][unit]") {
  Line line;
  VehicleDayFigures const figures = figures_of(line.problem, line.solution.rounds.front());
  // At once: 10, serve to 15, 25, wait to 50, serve to 55, back at 75. Leaving later: the last stop may start at 50
  // when the start is at 50 - 10 - 5 - 10 = 25.
  CHECK(figures.returns == 75);
  CHECK(figures.leaves == 25);
  CHECK(figures.duration == 50);
  CHECK(figures.load == 8);
  CHECK(figures.lateness == 0);
  CHECK(figures.cost == 40 + 100 + 2 * 50 + 3 * 5);
  Verdict const verdict = check_solution(line.problem, line.solution);
  CHECK(verdict.feasible());
  CHECK(verdict.cost == figures.cost + 2);  // both patterns cost 1
}

TEST_CASE("the check finds every kind of broken rule", "[sim][route_search][unit]") {
  auto faults_with = [](auto const& change) {
    Line line;
    change(line);
    return check_solution(line.problem, line.solution).faults.size();
  };
  CHECK(faults_with([](Line&) {}) == 0);
  CHECK(faults_with([](Line& l) { l.problem.kinds[0].capacity = 7; }) == 1);
  CHECK(faults_with([](Line& l) { l.problem.kinds[0].longest_duration = 49; }) == 1);
  CHECK(faults_with([](Line& l) { l.problem.customers[1].opens = 0, l.problem.customers[1].closes = 24; }) == 1);
  CHECK(faults_with([](Line& l) { l.problem.kinds[0].latest_end = 74; }) == 1);
  CHECK(faults_with([](Line& l) { l.problem.kinds[0].days = 0b10; }) == 1);
  CHECK(faults_with([](Line& l) { l.problem.customers[0].kind_cost = {forbidden}; }) >= 1);
  CHECK(faults_with([](Line& l) { l.solution.patterns[0] = 1; }) == 1);
  CHECK(faults_with([](Line& l) { l.solution.patterns[0] = 2; }) == 1);
  CHECK(faults_with([](Line& l) { l.solution.patterns.pop_back(); }) == 1);
  CHECK(faults_with([](Line& l) { l.solution.rounds[0].customers = {0}; }) == 1);
  CHECK(faults_with([](Line& l) { l.solution.rounds[0].customers = {0, 1, 7}; }) >= 1);
  CHECK(faults_with([](Line& l) { l.solution.rounds[0].customers = {0, 0, 1}; }) >= 1);
  CHECK(faults_with([](Line& l) { l.solution.rounds[0].vehicle = 1; }) == 1);
  CHECK(faults_with([](Line& l) { l.solution.rounds[0].day = 2; }) >= 1);
  CHECK(faults_with([](Line& l) { l.solution.rounds[0].kind = 1; }) >= 1);
  CHECK(faults_with([](Line& l) { l.solution.rounds.push_back({.day = 0, .customers = {}}); }) == 2);
}
