#pragma once
// Makes a new individual out of two: their sequences are recombined, then cut into routes.

#include "sim/rounds/search/compiled_problem.hpp"
#include "sim/rounds/search/search_random.hpp"

namespace brinecast::sim::search {

class Breeder {
 public:
  /// Both must outlive the breeder.
  Breeder(CompiledProblem const& problem, SearchRandom& random) : problem_(problem), random_(random) {}

  /// Random days, kinds and sequences.
  Individual random_individual(Penalties const& penalties);
  /// Nothing decided: local search builds it by cheapest insertion in random order.
  Individual blank_individual() const { return problem_.empty_individual(); }
  /// Some visits may be missing; their customers are undecided.
  Individual offspring(Individual const& first, Individual const& second, Penalties const& penalties);
  /// A copy in which a random customer and some of the nearest around it have lost all visits and are undecided.
  Individual ruined(Individual const& individual);

 private:
  /// The customers of a group in one sequence, its routes in order around the depot.
  [[nodiscard]] std::vector<int> sequence_of(Individual const& individual, Group const& group) const;
  void cross_order(Individual const& first, Individual const& second);
  void cross_periods(Individual const& first, Individual const& second);
  void cut_into_routes(Individual& individual, Penalties const& penalties);
  void cut_group(Individual& individual, Group const& group, std::vector<int> const& sequence,
                 Penalties const& penalties);
  void decide_patterns(Individual& individual) const;

  CompiledProblem const& problem_;
  SearchRandom& random_;
  std::vector<std::vector<int>> sequences_;  // [group]
  std::vector<char> left_out_;               // [customer] not visited in a parent
};

}  // namespace brinecast::sim::search
