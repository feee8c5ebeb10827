#pragma once
// What can be said of a pool: one table for the pool list, the generated fleet, the documentation and the defaults.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "sim/scenario/scenario.hpp"
#include "sim/scenario/table_reader.hpp"
#include "sim/scenario/units.hpp"

namespace brinecast::sim {

enum class Shape { fixed, uniform, normal, lognormal };

/// fixed: first. uniform: from first to second. normal: mean first, standard deviation second. lognormal: median first,
/// standard deviation of the logarithm second.
struct Distribution {
  Shape shape = Shape::fixed;
  double first = 0.0;
  double second = 0.0;
};

/// Quantile of the distribution, p in (0, 1).
double quantile(Distribution const& distribution, double p);

/// A number that describes a pool.
struct PoolColumn {
  std::string_view name;
  std::optional<Quantity> kind;  // empty: a plain number
  double& (*value)(Pool&);       // where it is kept
  double SI_per_kept;            // the kept value times this is SI; 3600 where hours are kept
  Limits limits;                 // in SI
  Distribution fallback;         // in SI; of the ratio to `relative_to` where that is set
  std::string_view relative_to;  // an earlier column, or "" for an absolute value
  std::string_view meaning;
  std::string_view source;  // of the fallback
};

/// The unit that people usually write for a column, "" for a plain number.
std::string usual_unit(PoolColumn const& column);

/// In a fixed order, which also numbers the random draws: append only.
std::span<PoolColumn const> pool_columns();

/// A word that describes a pool.
enum class PoolWord : std::uint32_t {
  name,
  neighbourhood,
  pool_class,
  site,
  fill_water,
  cover,
  automatic_refill,
  skill,
  preferred_technician,
  longitude,
  latitude,
  gate_opens,
  gate_closes,
  pump_start
};

struct PoolWordColumn {
  PoolWord word;
  std::string_view name;
  std::string_view meaning;
};
std::span<PoolWordColumn const> pool_word_columns();

/// Gives every number that `known` does not mark a value drawn from `distributions` (absolute, where set) or from the
/// fallbacks. A draw depends on the seed, the pool's place in the fleet and the column, on nothing else.
/// `known` and `distributions` are parallel to pool_columns().
void draw_missing_traits(Pool& pool, std::uint32_t pool_index, std::uint64_t seed, std::vector<bool> const& known,
                         std::vector<std::optional<Distribution>> const& distributions);

/// The uniform draw of one trait of one pool; numbers are drawn by their column's place, words by draw_index_of.
double trait_draw(std::uint64_t seed, std::uint32_t pool_index, std::uint32_t draw_index);
std::uint32_t draw_index_of(PoolWord word);

}  // namespace brinecast::sim
