#pragma once
// The individuals from which the search breeds: feasible and infeasible ones, kept good and different from each other.

#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "sim/rounds/search/compiled_problem.hpp"
#include "sim/rounds/search/search_random.hpp"

namespace brinecast::sim::search {

class Population {
 public:
  Population(SearchRandom& random, Penalties const& penalties) : random_(random), penalties_(penalties) {}

  /// Takes an evaluated individual; removes the worst and the doubles when too many are kept.
  void add(Individual individual);
  /// The better of two random ones.
  Individual const& select();
  void clear();

  /// Raises or lowers the penalties so that about a fifth of the individuals keep each limit.
  void adapt_penalties();
  void set_penalties(Penalties const& penalties);
  /// Notes whether the limits were kept, before any repair.
  void note_limits_of(Individual const& individual);
  [[nodiscard]] Penalties const& penalties() const { return penalties_; }
  [[nodiscard]] bool empty() const { return feasible_.empty() && infeasible_.empty(); }

 private:
  struct Member {
    Individual individual;
    double cost = 0.0;                                     // penalised
    double standing = 0.0;                                 // by cost and by what it adds to diversity; less is better
    std::vector<std::pair<double, Member const*>> others;  // of its kind, nearest first
  };
  using Members = std::vector<std::unique_ptr<Member>>;  // by cost

  [[nodiscard]] double distance(Individual const& a, Individual const& b) const;
  static double mean_distance_to_nearest(Member const& member);
  void rank(Members& members) const;
  void insert(Members& members, std::unique_ptr<Member> member) const;
  void drop(Members& members, std::size_t index) const;
  void drop_worst(Members& members) const;

  SearchRandom& random_;
  Penalties penalties_;
  Members feasible_;
  Members infeasible_;
  std::vector<char> load_kept_, duration_kept_, lateness_kept_;  // of the last individuals
  std::size_t noted_ = 0;
};

}  // namespace brinecast::sim::search
