#pragma once
// Readers of published routing instances: TSPLIB and VRPLIB files (Reinelt 1991; Uchoa et al. 2017) and the periodic
// format of Cordeau, Gendreau & Laporte (1997).

#include <filesystem>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "sim/rounds/search/route_search.hpp"

namespace brinecast::sim::search {

/// A problem with the tables it refers to. Move only: the views point into the tables.
struct Instance {
  std::string name;
  double unit = 1.0;              // cost in the instance's own convention for one unit of Problem's cost and time
  std::vector<double> distances;  // [from][to] in the instance's own convention
  std::vector<std::int32_t> cost_table;      // the same in units
  std::vector<std::int32_t> duration_table;  // in units, rounded up; empty when no duration is limited
  Problem problem;

  Instance() = default;
  Instance(Instance&&) = default;
  Instance& operator=(Instance&&) = default;
  Instance(Instance const&) = delete;
  Instance& operator=(Instance const&) = delete;
};

/// What is wrong with a file: "file:line: what", one line.
struct InstanceFault {
  std::string line;
};

/// Recognises the format by the content. Euclidean costs are rounded as TSPLIB says where the file is a plain EUC_2D
/// one; unrounded where routes have a DISTANCE limit and in periodic instances, kept to about a billionth of the
/// largest.
std::variant<Instance, InstanceFault> read_instance(std::filesystem::path const& path);

}  // namespace brinecast::sim::search
