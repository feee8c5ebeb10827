#include <nlohmann/json.hpp>

#include "sim/rounds/exports.hpp"
#include "sim/scenario/date_text.hpp"

namespace brinecast::sim {

std::string rounds_json(RoundsView const& view) {
  using Json = nlohmann::ordered_json;
  Scenario const& scenario = *view.scenario;
  RoundsPlan const& plan = *view.plan;
  Json document{{"scenario", scenario.name}, {"policy", view.policy}, {"currency", scenario.prices.currency}};
  // The drives come from the roads, whose licence wants its credit.
  if (auto const credit = scenario.roads.credit(); !credit.empty()) document["attribution"] = credit;
  document["period_working_days"] = plan.period_days;
  document["cost"] = plan.cost;
  document["lower_bound"] = plan.lower_bound;
  document["gap_percent"] = gap_percent(plan);
  document["unserved"] = Json::array();
  document["rounds"] = Json::array();
  for (PoolId const pool : plan.unserved) document["unserved"].push_back(scenario.pools[index_of(pool)].name);
  for (Round const& round : plan.rounds) {
    Json stops = Json::array();
    for (PlannedStop const& stop : round.stops) {
      Pool const& pool = scenario.pools[index_of(stop.pool)];
      StopNotes const& notes = view.notes[index_of(stop.pool)];
      stops.push_back({{"pool", pool.name},
                       {"longitude_deg", pool.position.longitude_deg},
                       {"latitude_deg", pool.position.latitude_deg},
                       {"arrival_s", stop.arrival_s},
                       {"start_s", stop.start_s},
                       {"leave_s", stop.leave_s},
                       {"restocked_before", stop.restocked_before},
                       {"tasks", notes.tasks},
                       {"expected_doses", notes.expected_doses}});
    }
    document["rounds"].push_back({{"date", date_text(view.dates[static_cast<std::size_t>(round.day)])},
                                  {"day", round.day},
                                  {"technician", scenario.technicians[index_of(round.technician)].name},
                                  {"leave_s", round.leave_start_s},
                                  {"return_s", round.reach_end_s},
                                  {"driving_s", round.driving_s},
                                  {"driving_m", round.driving_m},
                                  {"overtime_s", round.overtime_s},
                                  {"load_kg", round.load_kg},
                                  {"stops", std::move(stops)}});
  }
  document["cautions"] = service_cautions();
  return document.dump(2) + "\n";
}

}  // namespace brinecast::sim
