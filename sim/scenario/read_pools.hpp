#pragma once
// The fleet: a list of pools in a CSV, or a generator with counts and distributions.

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sim/scenario/pool_columns.hpp"
#include "sim/scenario/scenario.hpp"
#include "sim/scenario/table_reader.hpp"

namespace brinecast::sim {

/// A word and its share of the fleet; shares sum to 1.
struct WordShare {
  std::string word;
  double share = 0.0;
};

/// What [fleet.traits] says of pools whose list leaves a trait out.
struct FleetTraits {
  /// Parallel to pool_columns(); an empty entry takes the documented fallback.
  std::vector<std::optional<Distribution>> numbers = std::vector<std::optional<Distribution>>(pool_columns().size());
  std::map<PoolWord, std::vector<WordShare>> words;
};

/// Reads [fleet.traits]. Words that name fill waters or sites are checked against the scenario's.
FleetTraits read_fleet_traits(std::optional<TableReader> traits, Scenario const& scenario);

/// Problems of one column of a list that are shown before the others are counted.
inline constexpr std::size_t shown_problems_a_column = 10;
std::string more_rows(std::size_t not_shown);

/// Pools of a list, one for each row. `scenario` must have its sites, fill waters, technicians and seed.
std::vector<Pool> read_pool_list(std::string_view text, std::string const& file, Scenario const& scenario,
                                 FleetTraits const& traits, Problems& problems);

/// `count` pools around a centre, a pure function of the arguments.
struct GeneratedFleet {
  int count = 0;
  std::string name_prefix = "Pool";
  Position centre;
  double radius_m = 5000.0;
};
std::vector<Pool> generate_pools(GeneratedFleet const& fleet, Scenario const& scenario, FleetTraits const& traits);

/// A longitude from -180 to 180 degrees.
double within_half_turn_deg(double longitude_deg);
/// The mean position of pools, also of those on both sides of the date line; 0, 0 of none.
Position middle_of(std::vector<Pool> const& pools);
/// What lies farther from the middle of the fleet has a sign wrong.
inline constexpr double farthest_from_fleet_m = 1e6;

}  // namespace brinecast::sim
