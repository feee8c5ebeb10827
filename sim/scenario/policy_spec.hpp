#pragma once
// A care policy as data: when a pool is visited, what is tested, how doses, output and cell care follow.

#include <string>

namespace brinecast::sim {

struct PolicySpec {
  std::string name;
  std::string comment;              // who would want it
  double visit_interval_d = 7.0;
};

}  // namespace brinecast::sim
