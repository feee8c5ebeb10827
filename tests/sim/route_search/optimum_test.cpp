#include <catch2/catch.hpp>

#include "problems.hpp"
#include "sim/rounds/search/check.hpp"

using namespace brinecast::sim::search;
using testing::generate;
using testing::least_cost_by_trying_all;
using testing::Traits;

TEST_CASE("small problems are solved to the optimum that trying everything finds", "[sim][route_search][unit]") {
  std::vector<Traits> kinds{
      {.customers = 7},
      {.customers = 7, .asymmetric = true},
      {.customers = 6, .longest_durations = true},
      {.customers = 6, .own_homes = true},
      {.customers = 6, .asymmetric = true, .own_homes = true, .skills = true},
      {.customers = 6, .windows = true},
      {.customers = 6, .own_homes = true, .windows = true},
      {.customers = 5, .days = 2},
      {.customers = 5, .days = 3, .asymmetric = true},
      {.customers = 5, .days = 3, .own_homes = true, .skills = true, .windows = true, .may_skip = true},
      {.customers = 6, .days = 2, .may_skip = true},
  };
  int solvable = 0;
  for (std::size_t kind = 0; kind < kinds.size(); ++kind)
    for (std::uint64_t seed = 1; seed <= 3; ++seed) {
      Traits traits = kinds[kind];
      traits.seed = 100 * kind + seed;
      INFO("problem " << traits.seed);
      auto const generated = generate(traits);
      Problem const& problem = generated->problem;
      REQUIRE(faults_of(problem).empty());
      auto const least = least_cost_by_trying_all(problem);
      Solution const solution = search_rounds(problem, {.seed = seed, .iterations = 400});
      CHECK(solution.feasible == least.has_value());
      if (!least) continue;
      ++solvable;
      Verdict const verdict = check_solution(problem, solution);
      CHECK(verdict.faults.empty());
      CHECK(verdict.cost == solution.cost);
      CHECK(solution.cost == *least);
    }
  CHECK(solvable >= 25);
}

TEST_CASE("the same seed and iterations give the same rounds", "[sim][route_search][unit]") {
  auto const generated = generate({.seed = 3, .customers = 40, .days = 3, .own_homes = true, .skills = true});
  SearchOptions const options{.seed = 8, .iterations = 150};
  Solution const one = search_rounds(generated->problem, options);
  Solution const two = search_rounds(generated->problem, options);
  REQUIRE(one.rounds.size() == two.rounds.size());
  CHECK(one.cost == two.cost);
  CHECK(one.patterns == two.patterns);
  for (std::size_t index = 0; index < one.rounds.size(); ++index)
    CHECK(one.rounds[index].customers == two.rounds[index].customers);
}

TEST_CASE("an observer sees the best cost fall and can stop the search", "[sim][route_search][unit]") {
  auto const generated = generate({.seed = 4, .customers = 40});
  std::int64_t calls = 0;
  Amount last = unlimited;
  bool seen_feasible = false;
  Solution const solution =
      search_rounds(generated->problem, {.seed = 1, .iterations = 10'000}, [&](SearchProgress const& progress) {
        ++calls;
        CHECK(progress.iterations == calls);
        if (seen_feasible) CHECK(progress.best_cost <= last);
        seen_feasible = progress.feasible;
        last = progress.best_cost;
        return calls < 30;
      });
  CHECK(calls == 30);
  CHECK(solution.iterations == 30);
  CHECK(solution.cost == last);
}

TEST_CASE("more effort never costs more", "[sim][route_search][unit]") {
  auto const generated = generate({.seed = 5, .customers = 60, .days = 5});
  Amount last = unlimited;
  for (std::int64_t const iterations : {1, 20, 100, 300}) {
    Solution const solution = search_rounds(generated->problem, {.seed = 2, .iterations = iterations});
    if (!solution.feasible) continue;
    CHECK(solution.cost <= last);
    last = solution.cost;
  }
  CHECK(last < unlimited);
}

TEST_CASE("a problem that no fleet can serve is told to be infeasible", "[sim][route_search][hostile]") {
  auto const generated = generate({.seed = 6, .customers = 12});
  Problem problem = generated->problem;
  problem.kinds.front().capacity = 8;  // one vehicle for some sixty units of demand
  REQUIRE(faults_of(problem).empty());
  Solution const solution = search_rounds(problem, {.seed = 1, .iterations = 150});
  CHECK_FALSE(solution.feasible);
  CHECK_FALSE(check_solution(problem, solution).feasible());
}

TEST_CASE("nobody to visit costs nothing", "[sim][route_search][hostile]") {
  auto const generated = generate({.seed = 7, .customers = 5});
  Problem problem = generated->problem;
  problem.customers.clear();
  Solution const solution = search_rounds(problem, {});
  CHECK(solution.feasible);
  CHECK(solution.cost == 0);
  CHECK(check_solution(problem, solution).feasible());
  problem = generated->problem;
  problem.customers.resize(1);
  Solution const single = search_rounds(problem, {.iterations = 20});
  CHECK(single.feasible);
  CHECK(single.rounds.size() == 1);
}

TEST_CASE("faulty problems are described, not searched", "[sim][route_search][hostile]") {
  auto const generated = generate({.seed = 8, .customers = 5, .days = 2});
  auto with = [&](auto const& change) {
    Problem problem = generated->problem;
    change(problem);
    return faults_of(problem);
  };
  CHECK(faults_of(generated->problem).empty());
  CHECK(with([](Problem& p) { p.days = 65; }).size() == 1);
  CHECK(with([](Problem& p) { p.kinds.clear(); }).size() == 1);
  CHECK(with([](Problem& p) { p.travel_cost = {}; }).size() >= 1);
  CHECK(with([](Problem& p) { p.customers[2].patterns.clear(); }).size() == 1);
  CHECK(with([](Problem& p) { p.customers[2].patterns = {{.days = 4}}; }).size() >= 1);
  CHECK(with([](Problem& p) { p.customers[2].demand = -1; }).size() == 1);
  CHECK(with([](Problem& p) { p.customers[2].place = 1000; }).size() == 1);
  CHECK(with([](Problem& p) { p.customers[2].kind_cost = {forbidden}; }).size() >= 1);
  CHECK(with([](Problem& p) { p.kinds[0].days = 1; }).size() >= 1);
  CHECK(with([](Problem& p) { p.kinds[0].duration_cost = Amount{1} << 40; }).size() >= 1);
}
