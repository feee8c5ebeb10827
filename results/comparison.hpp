#pragma once
// Which policy is better, by how much and how sure: figures per policy, paired differences to a baseline, a verdict.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "results/reader.hpp"
#include "results/statistics.hpp"

namespace brinecast::results {

enum class Units { si, us };
enum class Grouping { none, pool_class, neighbourhood, month };
enum class Better { more, less, neither };

/// How a figure follows from the file's arrays.
enum class FigureKind {
  share,           // mean over pools, weighted by open hours
  mean_per_pool,   // mean over pools
  total,           // sum over pools
  fleet_total,     // sum over months; not known per pool
  per_pool_month,  // sum over pools, divided by pools and by months of 365.25 / 12 days
  margin           // revenue less cost, per pool and month
};

struct Figure {
  std::string_view name;   // in CSV and JSON
  std::string_view label;  // in text
  FigureKind kind;
  std::string_view variable;        // per pool, "" when only known per month
  std::string_view month_variable;  // "" when not known per month
  std::string_view si_units, us_units;
  double si_factor, us_factor;  // from the file's units to the printed ones
  int decimals;
  Better better;
  bool headline;  // shown for groups, too
};

/// All figures, in the order of the table. Units "currency" stand for the file's own.
std::vector<Figure> const& figures();
/// The figure of that name, or nullptr.
Figure const* find_figure(std::string_view name);
std::string units_of(Figure const& figure, Units units, std::string const& currency);
double factor_of(Figure const& figure, Units units);

struct PolicyFigure {
  Interval value;
  std::optional<PairedDifference> difference;  // to the baseline; empty for the baseline itself
  double probability_best = 0.0;               // NaN where neither more nor less is better
};

struct FigureComparison {
  Figure const* figure = nullptr;
  std::vector<PolicyFigure> policies;
};

/// The whole fleet, or one class, neighbourhood or month of it.
struct GroupComparison {
  std::string name;
  std::size_t pools = 0;
  std::vector<FigureComparison> figures;
};

/// One pool behind a figure.
struct PoolComparison {
  std::size_t pool = 0;
  std::vector<PolicyFigure> policies;
};

struct ComparisonOptions {
  std::string baseline = {};  // name of a policy; "" takes the first
  Units units = Units::si;
  Grouping grouping = Grouping::none;
  std::string figure = "free_chlorine_in_range";  // that the pools are listed for
  std::size_t pools = 0;                          // how many pools to list
};

struct Comparison {
  RunDescription run;
  std::size_t baseline = 0;
  std::size_t replicates = 0;  // complete under every policy
  Units units = Units::si;
  std::vector<GroupComparison> groups;  // the whole fleet first
  Figure const* pools_figure = nullptr;
  std::vector<PoolComparison> pools;  // those that fare worst against the baseline first
  std::string verdict;
};

/// Throws ResultError for an unknown baseline or figure, naming the known ones, and for a file without one replicate
/// that is complete under every policy.
Comparison compare(ResultFile const& file, ComparisonOptions const& options);

std::string comparison_text(Comparison const& comparison);
/// One row per group, figure and policy.
std::string comparison_csv(Comparison const& comparison);
/// Documented in results/README.md.
std::string comparison_json(Comparison const& comparison);

}  // namespace brinecast::results
