#pragma once
// Generated problems for the tests of the route search.

#include <memory>
#include <optional>
#include <vector>

#include "sim/rounds/search/route_search.hpp"

namespace brinecast::sim::search::testing {

/// What a generated problem has.
struct Traits {
  std::uint64_t seed = 1;
  int customers = 20;
  int days = 1;
  bool asymmetric = false;
  bool own_homes = false;  // kinds differ in start, end, wages, overtime, fixed cost
  bool skills = false;     // forbidden and preferred kinds
  bool windows = false;
  bool longest_durations = false;
  bool may_skip = false;  // customers that may be left out at a cost
};

/// A problem with the tables it refers to.
struct Generated {
  std::vector<std::int32_t> costs;
  std::vector<std::int32_t> durations;
  Problem problem;
};
std::unique_ptr<Generated> generate(Traits const& traits);

/// The least cost of any feasible solution by trying everything; none: no solution. For up to seven customers in all
/// and one visit a day of each.
std::optional<Amount> least_cost_by_trying_all(Problem const& problem);

}  // namespace brinecast::sim::search::testing
