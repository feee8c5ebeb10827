#pragma once
// Which mapped ways a van may drive, in which direction and how fast. Tags as the OpenStreetMap wiki defines them.

#include <optional>
#include <string_view>

namespace brinecast::sim {

/// Value of a tag, "" where the way does not have it.
class WayTags {
 public:
  virtual ~WayTags() = default;
  [[nodiscard]] virtual std::string_view value(char const* key) const = 0;
};

struct DrivableWay {
  double speed_m_per_s = 0.0;
  bool forward = true;
  bool backward = true;
  bool may_stop = true;      // beside it; not on a motorway or trunk road
  bool last_resort = false;  // private or for residents only: entering costs `gate_delay_s`
};

/// Stopping at the entry of private ground, both when going in and when coming out. It keeps vans from using it as a
/// short cut, and lets them in where a pool cannot be reached otherwise. common practice, no source
constexpr double gate_delay_s = 45.0;

/// Nothing for ways that a van cannot or must not drive.
std::optional<DrivableWay> drivable_way(WayTags const& tags);

/// Metres per second of a `maxspeed` value: "50", "25 mph", "walk"; nothing when it is no number.
std::optional<double> speed_limit_m_per_s(std::string_view maxspeed);

/// Whether a mapped obstacle (`barrier=...`) stops a van.
bool stops_van(std::string_view barrier, std::string_view motor_vehicle);

}  // namespace brinecast::sim
