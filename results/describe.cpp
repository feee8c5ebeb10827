// From a scenario to what its result file says about it.

#include <algorithm>
#include <cmath>
#include <fstream>
#include <sstream>
#include <stdexcept>

#include "models/parameters.hpp"
#include "results/digest.hpp"
#include "results/run_description.hpp"
#include "sim/rounds/route_shapes.hpp"

namespace brinecast::results {

namespace {

constexpr std::size_t largest_kept_text = 1 << 20;  // bytes of an input file that is kept whole

std::vector<std::uint8_t> working_days(sim::Scenario const& scenario) {
  std::vector<std::uint8_t> working;
  for (int i = 0; i < scenario.season.days; ++i) {
    working.push_back(scenario.is_working_day(scenario.season.first_day + std::chrono::days{i}) ? 1 : 0);
  }
  return working;
}

// 5 kg for a boxed cell: common practice, no source.
std::vector<SupplyEntry> supplies_of(sim::Scenario const& scenario) {
  auto const& supplies = scenario.supplies;
  auto const& prices = scenario.prices;
  auto const entry = [&](std::string name, sim::Material material, std::string units, std::string pack,
                         double price) -> SupplyEntry {
    auto const& supply = supplies[material];
    double const pallet = supply.packs_per_order > 1.0 ? supply.packs_per_order : 0.0;
    return {std::move(name),
            std::move(units),
            std::move(pack),
            supply.pack,
            pallet,
            sim::kg_per_bought(material),
            supply.lead_days,
            price,
            supply.pack * supply.packs_in_stock.value_or(0)};
  };
  using sim::Material;
  return {entry("salt", Material::salt, "kg", "bag", prices.salt_per_kg),
          entry("acid", Material::acid, "m3", "drum", prices.acid_per_m3),
          entry("bicarbonate", Material::bicarbonate, "kg", "bag", prices.bicarbonate_per_kg),
          entry("calcium_chloride", Material::calcium_chloride, "kg", "bag", prices.calcium_chloride_per_kg),
          entry("cyanuric_acid", Material::cyanuric_acid, "kg", "bag", prices.cyanuric_acid_per_kg),
          entry("liquid_chlorine", Material::liquid_chlorine, "m3", "drum", prices.liquid_chlorine_per_m3),
          {"cells", "1", "cell", 1.0, 0, 5.0, supplies.cell_lead_days, prices.cell_each,
           static_cast<double>(supplies.cells_in_stock)}};
}

InputFileEntry input_file(std::filesystem::path const& path) {
  InputFileEntry entry{path.string(), sha256_of_file(path), {}};
  if (std::filesystem::file_size(path) <= largest_kept_text) {
    std::ifstream file(path, std::ios::binary);
    std::ostringstream content;
    content << file.rdbuf();
    // A text without zero bytes survives as an HDF5 string.
    if (content.str().find('\0') == std::string::npos) entry.text = content.str();
  }
  return entry;
}

void add_planned_stops(RunDescription& run, std::vector<sim::RoundsPlan> const& plans) {
  for (std::size_t p = 0; p < plans.size(); ++p) {
    for (auto const& round : plans[p].rounds) {
      for (std::size_t position = 0; position < round.stops.size(); ++position) {
        auto const& stop = round.stops[position];
        run.planned_stops.push_back(
            {static_cast<std::uint32_t>(p), static_cast<std::uint32_t>(round.day),
             static_cast<std::uint32_t>(sim::index_of(round.technician)), static_cast<std::uint32_t>(position),
             static_cast<std::uint32_t>(sim::index_of(stop.pool)), stop.arrival_s, stop.start_s, stop.leave_s});
      }
    }
  }
}

/// The rounds with their lines on the map.
void add_planned_rounds(RunDescription& run, sim::Scenario const& scenario, std::vector<sim::RoundsPlan> const& plans) {
  constexpr double line_tolerance_m = 5.0;
  std::size_t stops = 0;
  for (auto const& plan : plans) {
    for (auto const& round : plan.rounds) stops += round.stops.size();
  }
  bool const on_roads = scenario.roads.kind == sim::RoadKind::osm_extract && stops <= most_stops_on_roads;
  run.route_lines = on_roads ? "roads" : "straight";
  sim::Problems problems;
  auto const shapes = on_roads ? sim::route_shapes(scenario, plans, problems) : sim::straight_shapes(scenario, plans);
  if (!problems.empty()) throw std::runtime_error(problems.text());
  auto const rounded = [](double degrees) { return std::round(degrees * 1e5) / 1e5; };
  for (std::size_t p = 0; p < plans.size(); ++p) {
    for (std::size_t r = 0; r < plans[p].rounds.size(); ++r) {
      auto const& round = plans[p].rounds[r];
      auto const line = sim::thinned(shapes[p][r], line_tolerance_m);
      run.planned_rounds.push_back({static_cast<std::uint32_t>(p), static_cast<std::uint32_t>(round.day),
                                    static_cast<std::uint32_t>(sim::index_of(round.technician)),
                                    static_cast<std::uint32_t>(line.size()), round.leave_start_s, round.reach_end_s,
                                    round.driving_s, round.driving_m, round.overtime_s, round.load_kg});
      for (auto const position : line) {
        run.route_points.push_back({rounded(position.longitude_deg), rounded(position.latitude_deg)});
      }
    }
  }
}

}  // namespace

RunDescription describe(sim::Scenario const& scenario, std::vector<sim::RoundsPlan> const& plans,
                        std::vector<std::filesystem::path> const& input_files, std::string vector_target) {
  RunDescription run;
  run.program_version = BRINECAST_VERSION;
  run.vector_target = std::move(vector_target);
  run.scenario_name = scenario.name;
  run.scenario_path = scenario.path.string();
  run.scenario_text = scenario.text;
  run.scenario_sha256 = sha256(scenario.text);
  run.currency = scenario.prices.currency;
  run.road_attribution = scenario.roads.credit();
  run.bands = scenario.bands;
  run.seed = scenario.seed;
  run.replicates = static_cast<std::uint32_t>(scenario.replicates);
  run.first_day = scenario.season.first_day;
  run.days = scenario.season.days;
  run.utc_offset_h = scenario.season.utc_offset_h;
  for (std::size_t p = 0; p < scenario.policies.size(); ++p) {
    auto const& policy = scenario.policies[p];
    run.policies.push_back(
        {policy.name, policy.comment, policy.visits.interval_d, p < plans.size() ? plans[p].period_days : 0});
  }
  for (auto const& pool : scenario.pools) {
    std::size_t const site = sim::index_of(pool.site);
    run.pools.push_back({pool.name, pool.neighbourhood, pool.pool_class,
                         site < scenario.sites.size() ? scenario.sites[site].name : std::string{},
                         pool.position.longitude_deg, pool.position.latitude_deg, pool.water_volume_m3});
  }
  for (auto const& technician : scenario.technicians) {
    run.technicians.push_back({technician.name, technician.start.longitude_deg, technician.start.latitude_deg,
                               technician.end.longitude_deg, technician.end.latitude_deg, technician.shift_start_s,
                               technician.shift_length_s, technician.break_s, technician.overtime_limit_s,
                               technician.payload_kg});
  }
  for (auto const& name : scenario.outputs.trace_pools) {
    auto const found =
        std::find_if(run.pools.begin(), run.pools.end(), [&](auto const& pool) { return pool.name == name; });
    if (found != run.pools.end()) run.trace_pools.push_back(static_cast<std::uint32_t>(found - run.pools.begin()));
  }
  run.working_days = working_days(scenario);
  for (auto const& parameter : models::parameter_table()) {
    run.parameters.push_back({std::string(parameter.name), std::string(parameter.units), std::string(parameter.meaning),
                              std::string(parameter.source), scenario.parameters.*parameter.member});
  }
  run.supplies = supplies_of(scenario);
  add_planned_stops(run, plans);
  add_planned_rounds(run, scenario, plans);
  for (auto const& path : input_files) run.input_files.push_back(input_file(path));
  return run;
}

}  // namespace brinecast::results
