#pragma once
// An invented town for the tests of rounds.

#include <cmath>
#include <string>

#include "sim/random/random.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::tests {

/// Pools scattered over a square of `side_m`, technicians that start in its middle, straight-line roads.
inline sim::Scenario small_town(std::size_t pools, std::size_t technicians, double side_m = 12'000.0) {
  sim::Scenario town;
  constexpr double m_per_deg = 111'195.0;
  auto const position = [&](double east, double north) {
    return sim::Position{(east - 0.5) * side_m / m_per_deg, (north - 0.5) * side_m / m_per_deg};
  };
  for (std::size_t i = 0; i < pools; ++i) {
    auto const [east, north] = sim::uniform_pair(
        {.seed = 5, .pool = static_cast<std::uint32_t>(i), .purpose = sim::Purpose::pool_trait, .time = 77});
    sim::Pool pool;
    pool.name = "pool " + std::to_string(i);
    pool.neighbourhood = east < 0.5 ? "west" : "east";
    pool.position = position(east, north);
    town.pools.push_back(pool);
  }
  for (std::size_t i = 0; i < technicians; ++i) {
    sim::Technician technician;
    technician.name = "technician " + std::to_string(i);
    technician.start = technician.end = position(0.5, 0.5);
    town.technicians.push_back(technician);
  }
  return town;
}

}  // namespace brinecast::tests
