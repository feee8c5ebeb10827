#pragma once
// Improves one individual by small moves until none helps.
//
// Inside a day: moving and exchanging chains of one or two visits, turning sections, exchanging tails between routes,
// and SWAP* (the best exchange of two visits between two routes without keeping their places). Across days: giving a
// customer its best day pattern, and exchanging the patterns of two neighbours.

#include <functional>
#include <memory>

#include "sim/rounds/search/compiled_problem.hpp"
#include "sim/rounds/search/search_random.hpp"

namespace brinecast::sim::search {

/// Called after every applied move with the change of penalised cost that was predicted and the change found by working
/// out everything afresh. For tests.
using MoveAudit = std::function<void(double predicted, double found)>;

class LocalSearch {
 public:
  virtual ~LocalSearch() = default;
  /// Inserts the visits that undecided customers lack where they cost least, then improves to a local optimum.
  virtual void improve(Individual& individual, Penalties const& penalties) = 0;
  MoveAudit audit;
};

/// Both arguments must outlive the result.
std::unique_ptr<LocalSearch> make_local_search(CompiledProblem const& problem, SearchRandom& random);

}  // namespace brinecast::sim::search
