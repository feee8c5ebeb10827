#include "sim/rounds/road_rules.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <string>

namespace brinecast::sim {

namespace {

constexpr double m_per_s_per_km_per_h = 1000.0 / 3600.0;
constexpr double m_per_s_per_mph = 1609.344 / 3600.0;
constexpr double m_per_s_per_knot = 1852.0 / 3600.0;

struct RoadClass {
  std::string_view highway;
  double speed_km_per_h;
  bool may_stop;
};

// Usual speeds of a laden van where no limit is mapped, stops at junctions included. common practice, no source
constexpr std::array road_classes{RoadClass{"motorway", 95.0, false},    RoadClass{"motorway_link", 50.0, false},
                                  RoadClass{"trunk", 75.0, false},       RoadClass{"trunk_link", 45.0, false},
                                  RoadClass{"primary", 55.0, true},      RoadClass{"primary_link", 40.0, true},
                                  RoadClass{"secondary", 50.0, true},    RoadClass{"secondary_link", 40.0, true},
                                  RoadClass{"tertiary", 42.0, true},     RoadClass{"tertiary_link", 35.0, true},
                                  RoadClass{"unclassified", 38.0, true}, RoadClass{"residential", 30.0, true},
                                  RoadClass{"road", 30.0, true},         RoadClass{"living_street", 10.0, true},
                                  RoadClass{"service", 15.0, true}};

constexpr double driveway_km_per_h = 6.0;  // driveways and drive-throughs: walking pace
constexpr double parking_aisle_km_per_h = 10.0;
constexpr double share_of_limit_driven = 0.85;  // stops and bends below the limit. common practice, no source

enum class Access { open, last_resort, closed };

/// The most specific access tag decides.
Access access_for_van(WayTags const& tags) {
  for (char const* key : {"motorcar", "motor_vehicle", "vehicle", "access"}) {
    std::string_view const value = tags.value(key);
    if (value.empty()) continue;
    for (std::string_view const closed : {"no", "agricultural", "forestry", "emergency", "military", "bus", "psv"}) {
      if (value == closed) return Access::closed;
    }
    for (std::string_view const open : {"yes", "permissive", "designated", "public", "unknown"}) {
      if (value == open) return Access::open;
    }
    return Access::last_resort;  // private, residents, destination, customers, delivery, permit, ...
  }
  return Access::open;
}

}  // namespace

std::optional<double> speed_limit_m_per_s(std::string_view maxspeed) {
  if (maxspeed == "walk") return 5.0 * m_per_s_per_km_per_h;
  double number = 0.0;
  auto const [rest, error] = std::from_chars(maxspeed.data(), maxspeed.data() + maxspeed.size(), number);
  if (error != std::errc() || !(number > 0.0) || number > 400.0) return std::nullopt;
  std::string_view unit(rest, static_cast<std::size_t>(maxspeed.data() + maxspeed.size() - rest));
  while (unit.starts_with(' ')) unit.remove_prefix(1);
  if (unit.empty() || unit == "km/h" || unit == "kmh" || unit == "kph") return number * m_per_s_per_km_per_h;
  if (unit == "mph") return number * m_per_s_per_mph;
  if (unit == "knots") return number * m_per_s_per_knot;
  return std::nullopt;
}

std::optional<DrivableWay> drivable_way(WayTags const& tags) {
  std::string_view const highway = tags.value("highway");
  auto const road = std::find_if(road_classes.begin(), road_classes.end(),
                                 [&](RoadClass const& known) { return known.highway == highway; });
  if (road == road_classes.end() || tags.value("area") == "yes") return std::nullopt;
  Access const access = access_for_van(tags);
  std::string_view const service = tags.value("service");
  if (access == Access::closed || (highway == "service" && service == "emergency_access")) return std::nullopt;

  DrivableWay way;
  way.may_stop = road->may_stop;
  way.last_resort = access == Access::last_resort;
  double speed_km_per_h = road->speed_km_per_h;
  if (highway == "service") {
    if (service == "driveway" || service == "drive-through") {
      speed_km_per_h = driveway_km_per_h;
      way.last_resort = way.last_resort || service == "driveway";
    } else if (service == "parking_aisle") {
      speed_km_per_h = parking_aisle_km_per_h;
    }
  }
  way.speed_m_per_s = speed_km_per_h * m_per_s_per_km_per_h;
  if (auto const limit = speed_limit_m_per_s(tags.value("maxspeed"))) {
    // On a service way the limit says little about how fast one really drives between parked cars.
    way.speed_m_per_s = highway == "service" ? std::min(way.speed_m_per_s, *limit) : share_of_limit_driven * *limit;
  }

  std::string_view oneway = tags.value("oneway:motor_vehicle");
  if (oneway.empty()) oneway = tags.value("oneway");
  std::string_view const junction = tags.value("junction");
  if (oneway == "yes" || oneway == "true" || oneway == "1") {
    way.backward = false;
  } else if (oneway == "-1" || oneway == "reverse") {
    way.forward = false;
  } else if (oneway == "reversible") {
    return std::nullopt;  // open in one direction at a time that the map does not tell
  } else if (oneway != "no" && (highway == "motorway" || highway == "motorway_link" || junction == "roundabout" ||
                                junction == "circular")) {
    way.backward = false;
  }
  return way;
}

bool stops_van(std::string_view barrier, std::string_view motor_vehicle) {
  if (motor_vehicle == "yes" || motor_vehicle == "permissive" || motor_vehicle == "designated") return false;
  for (std::string_view const obstacle : {"bollard", "block", "jersey_barrier", "cycle_barrier", "motorcycle_barrier",
                                          "log", "debris", "turnstile", "stile", "kissing_gate", "fence", "wall"}) {
    if (barrier == obstacle) return true;
  }
  return false;
}

}  // namespace brinecast::sim
