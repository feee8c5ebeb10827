#pragma once
// A plan of rounds for people and other programs, one file a format. All are deterministic: the same plan gives the
// same bytes.

#include <chrono>
#include <string>
#include <vector>

#include "sim/rounds/plan.hpp"
#include "sim/scenario/units.hpp"

namespace brinecast::sim {

/// What the technician is told about a stop.
struct StopNotes {
  std::vector<std::string> tasks;
  std::vector<std::string> expected_doses;  // the readings on site decide
};

struct RoundsView {
  Scenario const* scenario = nullptr;
  std::string policy;
  RoundsPlan const* plan = nullptr;
  std::vector<std::chrono::sys_days> dates;   // [day of the period]
  std::vector<StopNotes> notes;               // [pool]
  std::vector<std::vector<Position>> shapes;  // [round]; empty: none wanted
  UnitSystem units = UnitSystem::si;
};

/// The first `days` days of the season on which technicians work: working weekdays that are no holidays.
std::vector<std::chrono::sys_days> working_dates(Scenario const& scenario, int days);

/// The cautions that go with every service sheet.
std::vector<std::string> const& service_cautions();

/// Gap of the plan above its lower bound, per cent.
double gap_percent(RoundsPlan const& plan);

/// "08:30".
std::string clock_text(std::int32_t seconds_after_midnight);

/// Local standard time of a day of the season in UTC: "2027-03-01T14:30:00Z" (RFC 3339).
std::string utc_text(Scenario const& scenario, std::chrono::sys_days day, std::int32_t seconds_after_midnight);

/// A table: one line for each technician and day, totals, cost, lower bound and gap; then the cautions.
std::string rounds_text(RoundsView const& view);

/// {"scenario", "policy", "currency", "attribution"?, "period_working_days", "cost", "lower_bound", "gap_percent",
///  "unserved": [pool name], "rounds": [{"date", "day", "technician", "leave_s", "return_s", "driving_s", "driving_m",
///  "overtime_s", "load_kg", "stops": [{"pool", "longitude_deg", "latitude_deg", "arrival_s", "start_s", "leave_s",
///  "restocked_before", "tasks": [], "expected_doses": []}]}], "cautions": []}; times in seconds after local midnight.
std::string rounds_json(RoundsView const& view);

/// GeoJSON (RFC 7946): a FeatureCollection with a LineString for each round and a Point for each stop.
std::string rounds_geojson(RoundsView const& view);

/// GPX 1.1: a route with its stops and a track along the roads for each round.
std::string rounds_gpx(RoundsView const& view);

/// iCalendar (RFC 5545): an event for each stop, in UTC.
std::string rounds_calendar(RoundsView const& view);

}  // namespace brinecast::sim
