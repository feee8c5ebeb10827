#include <catch2/catch.hpp>
#include <cmath>
#include <set>

#include "problems.hpp"
#include "sim/rounds/search/check.hpp"
#include "sim/rounds/search/local_search.hpp"
#include "sim/rounds/search/offspring.hpp"

using namespace brinecast::sim::search;
using testing::generate;
using testing::Traits;

namespace {

std::vector<Traits> kinds_of_problems() {
  return {
      {.seed = 11, .customers = 40},
      {.seed = 12, .customers = 40, .asymmetric = true},
      {.seed = 13, .customers = 40, .longest_durations = true},
      {.seed = 14, .customers = 40, .asymmetric = true, .longest_durations = true},
      {.seed = 15, .customers = 40, .own_homes = true},
      {.seed = 16, .customers = 40, .asymmetric = true, .own_homes = true, .skills = true},
      {.seed = 17, .customers = 40, .windows = true},
      {.seed = 18, .customers = 40, .asymmetric = true, .own_homes = true, .skills = true, .windows = true},
      {.seed = 19, .customers = 30, .days = 4},
      {.seed = 20,
       .customers = 30,
       .days = 3,
       .asymmetric = true,
       .own_homes = true,
       .skills = true,
       .windows = true,
       .longest_durations = true,
       .may_skip = true},
      {.seed = 21, .customers = 30, .days = 5, .own_homes = true, .longest_durations = true},
  };
}

}  // namespace

TEST_CASE("every move changes the cost by what it predicted", "[sim][route_search][unit]") {
  for (Traits const& traits : kinds_of_problems()) {
    INFO("problem " << traits.seed);
    auto const generated = generate(traits);
    REQUIRE(faults_of(generated->problem).empty());
    CompiledProblem const compiled(generated->problem, 12);
    SearchRandom random(5);
    Breeder breeder(compiled, random);
    auto const local_search = make_local_search(compiled, random);
    int moves = 0;
    int wrong = 0;
    double worst = 0.0;
    local_search->audit = [&](double predicted, double found) {
      ++moves;
      double const error = std::abs(predicted - found);
      worst = std::max(worst, error);
      if (error > 1e-6 || predicted >= 0.0) ++wrong;
    };
    Penalties const penalties = compiled.first_penalties();
    for (int repetition = 0; repetition < 6; ++repetition) {
      Individual individual = repetition % 3 == 2 ? breeder.blank_individual() : breeder.random_individual(penalties);
      local_search->improve(individual, penalties);
    }
    CHECK(moves > 100);
    INFO("largest difference " << worst);
    CHECK(wrong == 0);
  }
}

TEST_CASE("local search and breeding keep every visit exactly once", "[sim][route_search][unit]") {
  for (Traits const& traits : kinds_of_problems()) {
    INFO("problem " << traits.seed);
    auto const generated = generate(traits);
    CompiledProblem const compiled(generated->problem, 12);
    SearchRandom random(9);
    Breeder breeder(compiled, random);
    auto const local_search = make_local_search(compiled, random);
    Penalties const penalties = compiled.first_penalties();
    Individual first = breeder.random_individual(penalties);
    Individual second = breeder.random_individual(penalties);
    local_search->improve(first, penalties);
    local_search->improve(second, penalties);
    for (int repetition = 0; repetition < 20; ++repetition) {
      Individual child = breeder.offspring(first, second, penalties);
      local_search->improve(child, penalties);
      std::vector<std::uint64_t> visited(static_cast<std::size_t>(compiled.customers), 0);
      bool twice = false;
      for (std::size_t slot = 0; slot < compiled.slots.size(); ++slot)
        for (int const customer : child.routes[slot]) {
          auto const day = std::uint64_t{1}
                           << compiled.groups[static_cast<std::size_t>(compiled.slots[slot].group)].day;
          twice = twice || (visited[static_cast<std::size_t>(customer)] & day) != 0;
          visited[static_cast<std::size_t>(customer)] |= day;
        }
      CHECK_FALSE(twice);
      for (std::size_t customer = 0; customer < visited.size(); ++customer)
        CHECK(visited[customer] ==
              compiled.patterns[customer][static_cast<std::size_t>(child.patterns[customer])].days);
      // The independent check agrees on the cost of what is feasible.
      if (child.feasible()) {
        Verdict const verdict = check_solution(generated->problem, compiled.solution_of(child));
        CHECK(verdict.feasible());
        CHECK(verdict.cost == child.cost);
      }
      first = std::move(second);
      second = std::move(child);
    }
  }
}

TEST_CASE("joined stretches take as long as a drive stop by stop", "[sim][route_search][unit]") {
  // Stops {opens, closes, service} with 7 units of driving between them.
  struct Stop {
    Amount opens, closes, service;
  };
  std::vector<Stop> const stops{{0, 500, 5}, {40, 60, 10}, {100, 300, 3}, {90, 400, 20}};
  auto stretch = [](Stop const& s) { return Stretch{.duration = s.service, .earliest = s.opens, .latest = s.closes}; };
  Stretch left = stretch(stops[0]);
  for (std::size_t index = 1; index < stops.size(); ++index) left = joined(left, stretch(stops[index]), 7);
  Stretch right = stretch(stops[3]);
  for (std::size_t index = 3; index-- > 0;) right = joined(stretch(stops[index]), right, 7);
  CHECK(left.duration == right.duration);
  CHECK(left.earliest == right.earliest);
  CHECK(left.latest == right.latest);
  // Leaving the first stop so that the second starts when it closes (60): 60 + 10 + 7 = 77, wait to 100, 103 + 7 = 110,
  // 110 + 20 = 130; the start was at 60 - 7 - 5 = 48, so 82 in all, of which 23 waiting.
  CHECK(left.duration == 82);
  CHECK(left.waiting == 23);
  CHECK(left.latest == 48);
  CHECK(left.lateness == 0);
}
