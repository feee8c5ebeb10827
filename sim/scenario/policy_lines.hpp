#pragma once
// Where a scenario or a library of policies states a value, for findings that come after the reading.

#include <string>
#include <string_view>

namespace brinecast::sim {

struct Scenario;

struct StatedAt {
  std::string file;
  int line = 0;         // 0: the whole file
  int column = 0;       // 0: the whole line
  bool stated = false;  // false: nobody states the value, this is where it could be
};

/// Where the policy's value of `key` comes from: `visits.interval`, `visits.rules[2]` (counted from 1). A value that
/// the policy inherits is found at its base, in the scenario or a library; one that nobody states at the innermost
/// table of the policy that would hold it. A scenario without text has no lines.
StatedAt where_stated(Scenario const& scenario, std::string_view policy, std::string_view key);

/// Where the scenario's own file states `key`, such as `fleet.traits.cell_rating` or `technicians[2].payload`; else the
/// innermost table that would hold it.
StatedAt where_stated(Scenario const& scenario, std::string_view key);

}  // namespace brinecast::sim
