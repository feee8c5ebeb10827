#pragma once
// Travel tables kept between runs, found again by what they were computed from.

#include <filesystem>
#include <optional>
#include <string>

#include "sim/rounds/travel.hpp"

namespace brinecast::sim {

/// $XDG_CACHE_HOME/brinecast, or ~/.cache/brinecast; nothing where neither variable is set.
std::optional<std::filesystem::path> cache_folder();

/// Everything an extract's table depends on: the extract's bytes, the places, the speed factor, this format.
std::string travel_key(Scenario const& scenario);

/// The table kept under the key; nothing when there is none, or it is damaged or of another key.
std::optional<TravelTable> read_cached_travel(std::filesystem::path const& folder, std::string const& key);

/// Keeps a table. A cache that cannot be written is no fault: the next run computes again.
void write_cached_travel(std::filesystem::path const& folder, std::string const& key, TravelTable const& table);

}  // namespace brinecast::sim
