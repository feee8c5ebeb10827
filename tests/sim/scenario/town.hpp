#pragma once
// A small sound scenario that tests spoil in one place at a time.

#include <string>
#include <string_view>

namespace brinecast::tests {

/// town.toml and its pools.csv, both sound.
extern std::string const town_toml;
extern std::string const town_pools;

/// The text with its first `from` replaced; `from` must occur.
std::string spoiled(std::string_view text, std::string_view from, std::string_view to);

/// What reading town.toml and pools.csv of these texts, side by side in a folder of their own, has to say: one line a
/// problem, "" when there is none.
std::string problems_of(std::string_view toml, std::string_view pools);

/// What is told of the pools of a town that reads well.
std::string pool_findings_of(std::string_view toml, std::string_view pools);

/// A wrong input and every line that it gets.
struct WrongInput {
  std::string_view from;
  std::string_view to;
  std::string_view lines;
};

}  // namespace brinecast::tests
