// Lists of pools, for a scenario with one site and no technicians.

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "sim/scenario/limits.hpp"
#include "sim/scenario/read_pools.hpp"

// NOLINTNEXTLINE: the name is libFuzzer's
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size) {
  using namespace brinecast::sim;
  static Scenario const scenario = [] {
    Scenario made;
    made.sites.resize(1);
    made.fill_waters.resize(1);
    return made;
  }();
  static FleetTraits const traits;
  Problems problems;
  auto const pools =
      read_pool_list({reinterpret_cast<char const*>(data), size}, "pools.csv", scenario, traits, problems);
  if (pools.empty() && problems.empty()) std::abort();
  if (pools.size() > most_pools) std::abort();
  return 0;
}
