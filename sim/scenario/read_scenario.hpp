#pragma once
// A scenario file and what it names, checked and in SI; or everything that is wrong with it.

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "sim/scenario/problems.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

/// Reads a scenario file. Empty when anything is wrong; every problem found is then in `problems`.
std::optional<Scenario> read_scenario(std::filesystem::path const& path, Problems& problems);

/// Like read_scenario, for a text that is already at hand, such as the one kept in a result file. `path` stands for
/// the file that the text came from: messages name it, and relative paths start in its folder.
std::optional<Scenario> read_scenario_text(std::string_view text, std::filesystem::path const& path,
                                           Problems& problems);

/// The file that a path in a scenario means. `${BRINECAST_DATA}` at its start is the environment variable of that name
/// or, where it is not set, the first folder shared/data beside one of the folders above the scenario. Relative paths
/// start in the scenario's folder. Empty, with a message, when the data folder cannot be told.
struct ResolvedPath {
  std::optional<std::filesystem::path> path;
  std::string problem;
};
ResolvedPath resolve_path(std::string_view written, std::filesystem::path const& scenario_path);

}  // namespace brinecast::sim
