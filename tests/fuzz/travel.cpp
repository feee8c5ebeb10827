// Tables of drives, for a scenario with two pools and a technician.

#include "sim/rounds/travel_file.hpp"
#include "tests/fuzz/memory_file.hpp"

// NOLINTNEXTLINE: the name is libFuzzer's
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size) {
  using namespace brinecast::sim;
  static brinecast::fuzz::MemoryFile const file;
  static Scenario const scenario = [] {
    Scenario made;
    made.pools.resize(2);
    made.pools[0].name = "Quay 1";
    made.pools[1].name = "Quay 2, rear";
    made.technicians.resize(1);
    made.technicians[0].name = "Ana";
    made.roads.kind = RoadKind::matrix;
    made.roads.file = file.path();
    return made;
  }();
  file.hold(data, size);
  Problems problems;
  auto const table = read_travel_file(scenario, problems);
  if (!problems.empty()) return 0;
  // A table without problems has every drive.
  if (table.places() != 4) std::abort();
  for (std::size_t from = 0; from < 4; ++from) {
    for (std::size_t to = 0; to < 4; ++to) {
      if (table.seconds(from, to) < 0 || table.metres(from, to) < 0) std::abort();
    }
  }
  return 0;
}
