// Scenario files with the policies in them, read from memory. Files that they name are looked for in an empty folder.

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <string_view>

#include "sim/scenario/read_scenario.hpp"

// NOLINTNEXTLINE: the name is libFuzzer's
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size) {
  using namespace brinecast::sim;
  Problems problems;
  auto const scenario = read_scenario_text({reinterpret_cast<char const*>(data), size},
                                           std::filesystem::path("no_such_folder") / "town.toml", problems);
  // A scenario that cannot be had is explained.
  if (!scenario && problems.empty()) std::abort();
  return 0;
}
