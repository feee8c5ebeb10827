#pragma once
// Travel times and distances between the places that technicians drive to.

#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "sim/scenario/problems.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

/// Whole seconds and metres between places, [from][to]. Places are: every pool in order, then each technician's start,
/// then each technician's end.
class TravelTable {
 public:
  TravelTable() = default;
  explicit TravelTable(std::size_t places) : places_(places), seconds_(places * places), metres_(places * places) {}
  [[nodiscard]] std::size_t places() const { return places_; }
  [[nodiscard]] std::int32_t seconds(std::size_t from, std::size_t to) const { return seconds_[from * places_ + to]; }
  [[nodiscard]] std::int32_t metres(std::size_t from, std::size_t to) const { return metres_[from * places_ + to]; }
  void set(std::size_t from, std::size_t to, std::int32_t travel_s, std::int32_t distance_m) {
    seconds_[from * places_ + to] = travel_s;
    metres_[from * places_ + to] = distance_m;
  }
  [[nodiscard]] std::span<std::int32_t const> seconds_row(std::size_t from) const {
    return {seconds_.data() + from * places_, places_};
  }

 private:
  std::size_t places_ = 0;
  std::vector<std::int32_t> seconds_;
  std::vector<std::int32_t> metres_;
};

inline std::size_t place_of_pool(PoolId pool) { return index_of(pool); }
inline std::size_t place_of_start(Scenario const& scenario, TechnicianId technician) {
  return scenario.pools.size() + index_of(technician);
}
inline std::size_t place_of_end(Scenario const& scenario, TechnicianId technician) {
  return scenario.pools.size() + scenario.technicians.size() + index_of(technician);
}

/// Positions of all places, in the table's order.
std::vector<Position> places_of(Scenario const& scenario);
/// `pool "Gull Lane 4"`, `start of Ana`, for messages.
std::string name_of_place(Scenario const& scenario, std::size_t place);

/// Travel times of a scenario by its road kind. Unreachable pools and faulty files go to `problems`.
TravelTable travel_table(Scenario const& scenario, Problems& problems);

}  // namespace brinecast::sim
