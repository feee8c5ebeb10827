#pragma once
// Scenarios drawn at random, each a pure function of its number: any size, date, place, climate, policy.

#include <cstdint>
#include <filesystem>
#include <string>

namespace brinecast::tests {

/// The text of scenario `number`. Its climate table is written into `folder`, where the scenario is to be read from.
std::string random_scenario(std::uint64_t number, std::filesystem::path const& folder);

}  // namespace brinecast::tests
