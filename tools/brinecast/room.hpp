#pragma once
// What the machine has left for this process.

#include <filesystem>

#include "results/run_size.hpp"

namespace brinecast::tools {

/// The smallest of what the machine has free, the control group's limit and the limit of address space; and what is
/// free on the disk of `folder`. What cannot be found out bounds nothing.
results::Room room_for(std::filesystem::path const& folder);

}  // namespace brinecast::tools
