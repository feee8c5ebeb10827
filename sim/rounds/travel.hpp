#pragma once
// Travel times and distances between the places that technicians drive to.

#include <cstdint>
#include <filesystem>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "sim/rounds/drive_labels.hpp"
#include "sim/rounds/straight_drives.hpp"
#include "sim/scenario/limits.hpp"
#include "sim/scenario/problems.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

struct Drive {
  std::int32_t seconds = 0;
  std::int32_t metres = 0;
};

/// Whole seconds and metres between places, [from][to]. Places are: every pool in order, then each technician's start,
/// then each technician's end.
///
/// Up to some thousand places all pairs are held, 8 bytes each. Larger fleets hold what drives are computed from, and
/// every look-up gives the number that the full table would hold: straight lines from the positions, drives on roads
/// from lists of nodes for each place (some hundred nodes at 24 bytes).
class TravelTable {
 public:
  TravelTable() = default;
  /// All pairs, to be filled by `set`.
  explicit TravelTable(std::size_t places) : places_(places), seconds_(places * places), metres_(places * places) {}
  explicit TravelTable(StraightDrives drives) : places_(drives.places()), computed_(std::move(drives)) {}
  explicit TravelTable(DriveLabels drives) : places_(drives.places()), computed_(std::move(drives)) {}

  [[nodiscard]] std::size_t places() const { return places_; }
  [[nodiscard]] bool holds_all_pairs() const { return std::holds_alternative<std::monostate>(computed_); }
  [[nodiscard]] std::int32_t seconds(std::size_t from, std::size_t to) const {
    return holds_all_pairs() ? seconds_[from * places_ + to] : computed(from, to).seconds;
  }
  [[nodiscard]] std::int32_t metres(std::size_t from, std::size_t to) const {
    return holds_all_pairs() ? metres_[from * places_ + to] : computed(from, to).metres;
  }
  [[nodiscard]] Drive drive(std::size_t from, std::size_t to) const {
    return holds_all_pairs() ? Drive{seconds_[from * places_ + to], metres_[from * places_ + to]} : computed(from, to);
  }
  void set(std::size_t from, std::size_t to, std::int32_t travel_s, std::int32_t distance_m) {
    seconds_[from * places_ + to] = travel_s;
    metres_[from * places_ + to] = distance_m;
  }
  /// The table of some of the places, in this order; a place may stand in it more than once.
  [[nodiscard]] TravelTable of_places(std::vector<std::size_t> const& chosen) const;

  /// Neighbours among the first places.
  struct Neighbours {
    std::vector<std::vector<std::uint32_t>> from, to;  // [place] nearest by time first
    std::vector<Drive> beyond;  // [place] least time and way between it and any place in neither of its lists
  };
  /// For each of the first `candidates` places the `count` nearest others of them.
  [[nodiscard]] Neighbours neighbours(std::size_t candidates, std::size_t count) const;

 private:
  [[nodiscard]] Drive computed(std::size_t from, std::size_t to) const;

  std::size_t places_ = 0;
  std::vector<std::int32_t> seconds_;
  std::vector<std::int32_t> metres_;
  std::variant<std::monostate, StraightDrives, DriveLabels> computed_;
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

/// Travel times of a scenario by its road kind; all pairs up to `most_of_pairs` places, and always of the user's own
/// table. Unreachable pools and faulty files go to `problems`.
TravelTable travel_table(Scenario const& scenario, Problems& problems,
                         std::size_t most_of_pairs = most_places_of_pairs);

}  // namespace brinecast::sim
