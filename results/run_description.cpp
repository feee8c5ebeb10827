#include "results/run_description.hpp"

#include <fmt/format.h>

#include <array>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "results/digest.hpp"

namespace brinecast::results {

NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(PolicyEntry, name, comment, visit_interval_d, plan_period_days)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(PoolEntry, name, neighbourhood, pool_class, site, longitude_deg, latitude_deg,
                                   water_volume_m3)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(TechnicianEntry, name, start_longitude_deg, start_latitude_deg, end_longitude_deg,
                                   end_latitude_deg, shift_start_s, shift_length_s, break_s, overtime_limit_s,
                                   payload_kg)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ParameterEntry, name, units, meaning, source, value)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(SupplyEntry, name, units, pack, pack_size, packs_per_pallet, mass_per_unit_kg,
                                   lead_time_d, price, in_stock)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(PlannedStopEntry, policy, day, technician, position, pool, arrival_s, start_s,
                                   leave_s)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(PlannedRoundEntry, policy, day, technician, route_points, leave_start_s, reach_end_s,
                                   driving_s, driving_m, overtime_s, load_kg)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(InputFileEntry, path, sha256, text)

// As pairs: a run has tens of thousands of them.
void to_json(nlohmann::json& json, RoutePointEntry const& point) {
  json = nlohmann::json::array({point.longitude_deg, point.latitude_deg});
}
void from_json(nlohmann::json const& json, RoutePointEntry& point) {
  json.at(0).get_to(point.longitude_deg);
  json.at(1).get_to(point.latitude_deg);
}

namespace {

using std::chrono::sys_days;

int month_number(sys_days day) {
  std::chrono::year_month_day const date{day};
  return static_cast<int>(date.year()) * 12 + static_cast<int>(static_cast<unsigned>(date.month())) - 1;
}

}  // namespace

std::span<BandEntry const> band_table() {
  using sim::WaterBands;
  static constexpr std::array<BandEntry, 8> bands = {{
      {"free_chlorine_low_kg_per_m3", &WaterBands::free_chlorine_low_kg_per_m3},
      {"free_chlorine_high_kg_per_m3", &WaterBands::free_chlorine_high_kg_per_m3},
      {"ph_low", &WaterBands::ph_low},
      {"ph_high", &WaterBands::ph_high},
      {"saturation_index_low", &WaterBands::saturation_index_low},
      {"saturation_index_high", &WaterBands::saturation_index_high},
      {"salt_low_kg_per_m3", &WaterBands::salt_low_kg_per_m3},
      {"salt_high_kg_per_m3", &WaterBands::salt_high_kg_per_m3},
  }};
  return bands;
}

std::vector<sys_days> month_starts(RunDescription const& run) {
  std::vector<sys_days> starts;
  for (int i = 0; i < run.days; ++i) {
    sys_days const day = run.first_day + std::chrono::days{i};
    if (starts.empty() || month_number(day) != month_number(starts.back())) starts.push_back(day);
  }
  return starts;
}

std::vector<std::size_t> month_of_days(RunDescription const& run) {
  std::vector<std::size_t> months;
  for (int i = 0; i < run.days; ++i) {
    months.push_back(
        static_cast<std::size_t>(month_number(run.first_day + std::chrono::days{i}) - month_number(run.first_day)));
  }
  return months;
}

std::string to_text(RunDescription const& run) {
  nlohmann::json bands;
  for (auto const& band : band_table()) bands[std::string(band.name)] = run.bands.*band.member;
  nlohmann::json const json = {{"program_version", run.program_version},
                               {"vector_target", run.vector_target},
                               {"scenario_name", run.scenario_name},
                               {"scenario_path", run.scenario_path},
                               {"scenario_text", run.scenario_text},
                               {"scenario_sha256", run.scenario_sha256},
                               {"currency", run.currency},
                               {"road_attribution", run.road_attribution},
                               {"route_lines", run.route_lines},
                               {"bands", bands},
                               {"seed", run.seed},
                               {"replicates", run.replicates},
                               {"first_day", run.first_day.time_since_epoch().count()},
                               {"days", run.days},
                               {"utc_offset_h", run.utc_offset_h},
                               {"policies", run.policies},
                               {"pools", run.pools},
                               {"technicians", run.technicians},
                               {"trace_pools", run.trace_pools},
                               {"working_days", run.working_days},
                               {"parameters", run.parameters},
                               {"supplies", run.supplies},
                               {"planned_stops", run.planned_stops},
                               {"planned_rounds", run.planned_rounds},
                               {"route_points", run.route_points},
                               {"input_files", run.input_files}};
  // Names and texts are UTF-8 when the scenario is valid; a stray byte must not stop the run.
  return json.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

RunDescription run_from_text(std::string const& text) {
  RunDescription run;
  try {
    auto const json = nlohmann::json::parse(text);
    json.at("program_version").get_to(run.program_version);
    json.at("vector_target").get_to(run.vector_target);
    json.at("scenario_name").get_to(run.scenario_name);
    json.at("scenario_path").get_to(run.scenario_path);
    json.at("scenario_text").get_to(run.scenario_text);
    json.at("scenario_sha256").get_to(run.scenario_sha256);
    json.at("currency").get_to(run.currency);
    json.at("road_attribution").get_to(run.road_attribution);
    json.at("route_lines").get_to(run.route_lines);
    auto const& bands = json.at("bands");
    for (auto const& band : band_table()) bands.at(std::string(band.name)).get_to(run.bands.*band.member);
    json.at("seed").get_to(run.seed);
    json.at("replicates").get_to(run.replicates);
    run.first_day = sys_days{std::chrono::days{json.at("first_day").get<int>()}};
    json.at("days").get_to(run.days);
    json.at("utc_offset_h").get_to(run.utc_offset_h);
    json.at("policies").get_to(run.policies);
    json.at("pools").get_to(run.pools);
    json.at("technicians").get_to(run.technicians);
    json.at("trace_pools").get_to(run.trace_pools);
    json.at("working_days").get_to(run.working_days);
    json.at("parameters").get_to(run.parameters);
    json.at("supplies").get_to(run.supplies);
    json.at("planned_stops").get_to(run.planned_stops);
    json.at("planned_rounds").get_to(run.planned_rounds);
    json.at("route_points").get_to(run.route_points);
    json.at("input_files").get_to(run.input_files);
  } catch (nlohmann::json::exception const& error) {
    throw std::runtime_error(fmt::format("the run's description cannot be read ({})", error.what()));
  }
  return run;
}

std::string first_difference(RunDescription const& found, RunDescription const& expected) {
  auto const differ = [](std::string_view what, auto const& a, auto const& b) {
    return a == b ? std::string{} : fmt::format("{}: found {}, expected {}", what, a, b);
  };
  auto const names = [](RunDescription const& run) {
    std::string text;
    for (auto const& policy : run.policies) text += (text.empty() ? "" : ",") + policy.name;
    return text;
  };
  auto const inputs = [](RunDescription const& run) {
    std::string text;
    for (auto const& file : run.input_files) text += file.sha256;
    return sha256(text).substr(0, 12);
  };
  for (auto const& line :
       {differ("program version", found.program_version, expected.program_version),
        differ("scenario sha256", found.scenario_sha256, expected.scenario_sha256),
        differ("input files digest", inputs(found), inputs(expected)), differ("seed", found.seed, expected.seed),
        differ("replicates", found.replicates, expected.replicates), differ("policies", names(found), names(expected)),
        differ("vector target", found.vector_target, expected.vector_target)}) {
    if (!line.empty()) return line;
  }
  // Whatever else differs (a plan of rounds, a drawn trait) has no short name, yet must not be mixed. Where the inputs
  // lie is no difference.
  RunDescription moved = found;
  moved.scenario_path = expected.scenario_path;
  moved.input_files = expected.input_files;
  return to_text(moved) == to_text(expected) ? "" : "the prepared run: found another fleet or plan of rounds";
}

}  // namespace brinecast::results
