#pragma once
// Swimming pools that a map already knows, as a start of a fleet's list.

#include <filesystem>
#include <string>
#include <vector>

#include "sim/scenario/problems.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

struct MappedPool {
  std::string name;  // made from the map's own number of the object
  Position position;
  double area_m2 = 0.0;  // 0 where only a point is mapped, or not all of the outline is in the extract
};

/// Outdoor pools (`leisure=swimming_pool`) of an extract in the order of the file; areas from the mapped outline.
std::vector<MappedPool> mapped_pools(std::filesystem::path const& extract, Problems& problems);

/// A pool list that `brinecast` reads: name, longitude, latitude, surface area (left empty where unknown).
std::string pool_list_csv(std::vector<MappedPool> const& pools);

}  // namespace brinecast::sim
