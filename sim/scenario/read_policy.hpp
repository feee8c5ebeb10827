#pragma once
// Policies from TOML: the tables under [policies] of a scenario, and libraries of policies to build on.

#include <filesystem>
#include <vector>

#include "sim/scenario/policy_spec.hpp"
#include "sim/scenario/table_reader.hpp"

namespace brinecast::sim {

/// The policies of a scenario in the order of its file. `root` is the scenario's root table: `policy_library` lists
/// files, relative to `directory`, whose [policies] may be named as `base`; every table under `policies` is one policy
/// to run. A policy with a `base` has all its values but those that it states itself; a base is looked for in the
/// scenario first, then in the libraries. A policy may build on a library's policy of its own name. All faults go to
/// the root's problems. The libraries that are there are added to `input_files`. What nobody states is as `defaults`
/// have it.
std::vector<PolicySpec> read_policies(TableReader& root, std::filesystem::path const& directory,
                                      std::vector<std::filesystem::path>& input_files, PolicySpec const& defaults = {});

}  // namespace brinecast::sim
