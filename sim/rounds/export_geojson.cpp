#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/rounds/exports.hpp"
#include "sim/scenario/date_text.hpp"

namespace brinecast::sim {

namespace {

using Json = nlohmann::ordered_json;

/// RFC 7946, section 3.1.1: longitude, then latitude, WGS 84. Seven decimals are a centimetre, as in the extracts.
Json coordinates(Position position) {
  auto const rounded = [](double degrees) { return std::round(degrees * 1e7) / 1e7; };
  return Json::array({rounded(position.longitude_deg), rounded(position.latitude_deg)});
}

}  // namespace

std::string rounds_geojson(RoundsView const& view) {
  Scenario const& scenario = *view.scenario;
  RoundsPlan const& plan = *view.plan;
  Json features = Json::array();
  for (std::size_t index = 0; index < plan.rounds.size(); ++index) {
    Round const& round = plan.rounds[index];
    std::string const& technician = scenario.technicians[index_of(round.technician)].name;
    std::string const date = date_text(view.dates[static_cast<std::size_t>(round.day)]);
    Json line = Json::array();
    for (Position const position : view.shapes[index]) line.push_back(coordinates(position));
    features.push_back({{"type", "Feature"},
                        {"geometry", {{"type", "LineString"}, {"coordinates", std::move(line)}}},
                        {"properties",
                         {{"kind", "round"},
                          {"technician", technician},
                          {"date", date},
                          {"stops", round.stops.size()},
                          {"leaves", clock_text(round.leave_start_s)},
                          {"back", clock_text(round.reach_end_s)},
                          {"driving_s", round.driving_s},
                          {"driving_m", round.driving_m}}}});
    int order = 0;
    for (PlannedStop const& stop : round.stops) {
      Pool const& pool = scenario.pools[index_of(stop.pool)];
      StopNotes const& notes = view.notes[index_of(stop.pool)];
      features.push_back({{"type", "Feature"},
                          {"geometry", {{"type", "Point"}, {"coordinates", coordinates(pool.position)}}},
                          {"properties",
                           {{"kind", "stop"},
                            {"pool", pool.name},
                            {"technician", technician},
                            {"date", date},
                            {"order", ++order},
                            {"arrives", clock_text(stop.arrival_s)},
                            {"tasks", notes.tasks},
                            {"expected_doses", notes.expected_doses}}}});
    }
  }
  Json document{{"type", "FeatureCollection"}, {"features", std::move(features)}};
  // A foreign member (section 6.1), as the licence of mapped roads wants its credit where their shapes are.
  if (auto const credit = scenario.roads.credit(); !credit.empty()) document["attribution"] = credit;
  document["cautions"] = service_cautions();
  return document.dump() + "\n";
}

}  // namespace brinecast::sim
