#include <algorithm>
#include <bit>
#include <chrono>
#include <optional>

#include "sim/rounds/search/compiled_problem.hpp"
#include "sim/rounds/search/local_search.hpp"
#include "sim/rounds/search/offspring.hpp"
#include "sim/rounds/search/population.hpp"
#include "sim/rounds/search/route_search.hpp"
#include "sim/rounds/search/search_random.hpp"

namespace brinecast::sim::search {

namespace {

constexpr int first_individuals = 100;
constexpr int first_individuals_of_large = 2;
/// From this many visits on, improving a new individual costs so much that only small changes to a good one pay.
constexpr int large_visits = 700;
/// Late acceptance hill climbing (Burke & Bykov, European Journal of Operational Research 258, 2017): a change is
/// accepted when it is no worse than what was accepted this many changes ago.
constexpr std::size_t acceptance_delay = 50;
constexpr int walk_tenths = 6;  // of the individuals come from the walk, the others from two parents
constexpr int penalty_interval = 100;
constexpr int strict_interval = 20;  // every so many offspring are improved with raised penalties from the start
constexpr double repair_factor = 10.0;
constexpr std::size_t repair_interval = 20;  // the walk repairs one in so many promising infeasible individuals

class GeneticSearch {
 public:
  GeneticSearch(Problem const& problem, SearchOptions const& options, SearchObserver const& observer)
      : options_(options),
        observer_(observer),
        random_(options.seed),
        compiled_(problem, options.neighbours),
        local_search_(make_local_search(compiled_, random_)),
        breeder_(compiled_, random_),
        population_(random_, compiled_.first_penalties()),
        started_(std::chrono::steady_clock::now()) {
    int visits = 0;
    for (auto const& choices : compiled_.patterns) visits += std::popcount(choices.front().days);
    large_ = visits >= large_visits;
  }

  Solution run() {
    while (!stopped()) {
      without_gain_ = 0;
      population_.clear();
      int const first_count = large_ ? first_individuals_of_large : first_individuals;
      for (int count = 0; count < first_count && !stopped(); ++count) {
        // Some keep the limits from the beginning, so that something feasible is there early.
        if (large_ || count % 4 == 3)
          take(breeder_.blank_individual(), true);
        else
          take(breeder_.random_individual(population_.penalties()), false);
      }
      walker_.reset();
      while (!stopped() && without_gain_ < options_.iterations_without_gain) {
        if (large_ || iterations_ % 10 < walk_tenths) {
          walk();
          continue;
        }
        Individual const& first = population_.select();
        Individual const& second = population_.select();
        take(breeder_.offspring(first, second, population_.penalties()), iterations_ % strict_interval == strict_interval - 1);
      }
    }
    Solution solution = compiled_.solution_of(*best_);
    solution.iterations = iterations_;
    return solution;
  }

 private:
  /// Improves, repairs every second infeasible one, and keeps what came out.
  void take(Individual individual, bool strict) {
    local_search_->improve(individual, strict ? raised(population_.penalties()) : population_.penalties());
    if (!strict) population_.note_limits_of(individual);
    bool const repair = !strict && !individual.feasible() && random_.coin();
    keep(individual);
    if (repair) {
      local_search_->improve(individual, raised(population_.penalties()));
      if (individual.feasible()) keep(individual);
    }
    count_iteration();
  }

  /// Tears a hole into the individual that walks, mends it, and goes there unless that is worse than where it was some
  /// steps ago.
  void walk() {
    // Alone, the walk must stay near what is feasible.
    Penalties const penalties = large_ ? raised(population_.penalties()) : population_.penalties();
    if (!walker_) {
      walker_ = *best_;
      accepted_.assign(acceptance_delay, penalties.cost_of(*walker_));
      steps_ = 0;
    }
    Individual child = breeder_.ruined(*walker_);
    local_search_->improve(child, penalties);
    population_.note_limits_of(child);
    double const cost = penalties.cost_of(child);
    double const cost_here = penalties.cost_of(*walker_);
    double& earlier = accepted_[steps_ % acceptance_delay];
    ++steps_;
    if (child.feasible()) {
      if (!best_->feasible() || child.cost < best_->cost) keep(child);
    } else if (cost < penalties.cost_of(*best_) && random_.below(repair_interval) == 0) {
      Individual repaired = child;
      local_search_->improve(repaired, raised(penalties));
      if (repaired.feasible()) keep(repaired);
    }
    if (cost <= cost_here || cost <= earlier) walker_ = std::move(child);
    earlier = std::min(earlier, penalties.cost_of(*walker_));
    count_iteration();
  }

  void count_iteration() {
    ++iterations_;
    ++without_gain_;
    if (gained_) without_gain_ = 0;
    gained_ = false;
    if (iterations_ % penalty_interval == 0) population_.adapt_penalties();
    if (observer_ && !observer_({.iterations = iterations_, .best_cost = best_->cost, .feasible = best_->feasible()}))
      refused_ = true;
  }

  static Penalties raised(Penalties const& penalties) {
    return {.load = repair_factor * penalties.load,
            .duration = repair_factor * penalties.duration,
            .lateness = repair_factor * penalties.lateness};
  }

  void keep(Individual const& individual) {
    population_.add(individual);
    if (best_ && best_->feasible() && !individual.feasible()) return;
    bool const better =
        !best_ || (individual.feasible() && !best_->feasible()) ||
        (individual.feasible() ? individual.cost < best_->cost
                               : population_.penalties().cost_of(individual) < population_.penalties().cost_of(*best_));
    if (!better) return;
    best_ = individual;
    gained_ = true;
  }

  /// At least one individual is made in any case.
  [[nodiscard]] bool stopped() const {
    if (!best_) return false;
    if (refused_ || iterations_ >= options_.iterations) return true;
    return options_.seconds > 0.0 &&
           std::chrono::duration<double>(std::chrono::steady_clock::now() - started_).count() >= options_.seconds;
  }

  SearchOptions const& options_;
  SearchObserver const& observer_;
  SearchRandom random_;
  CompiledProblem compiled_;
  std::unique_ptr<LocalSearch> local_search_;
  Breeder breeder_;
  Population population_;
  std::chrono::steady_clock::time_point started_;
  std::optional<Individual> best_;
  std::optional<Individual> walker_;
  std::vector<double> accepted_;  // penalised cost after each of the last steps
  std::size_t steps_ = 0;
  std::int64_t iterations_ = 0;
  std::int64_t without_gain_ = 0;
  bool large_ = false;
  bool gained_ = false;
  bool refused_ = false;
};

}  // namespace

Solution search_rounds(Problem const& problem, SearchOptions const& options, SearchObserver const& observer) {
  if (problem.customers.empty()) {
    Solution nothing_to_do;
    nothing_to_do.feasible = true;
    return nothing_to_do;
  }
  return GeneticSearch(problem, options, observer).run();
}

}  // namespace brinecast::sim::search
