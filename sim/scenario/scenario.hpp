#pragma once
// What a user describes: a valid scenario, in SI units, immutable once read.

#include <algorithm>
#include <array>
#include <chrono>
#include <cstdint>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "models/parameters.hpp"
#include "sim/scenario/materials.hpp"
#include "sim/scenario/policy_spec.hpp"
#include "sim/scenario/water_bands.hpp"

namespace brinecast::sim {

enum class PoolId : std::uint32_t {};
enum class TechnicianId : std::uint32_t {};
enum class SiteId : std::uint32_t {};

template <class Id>
constexpr std::size_t index_of(Id id) {
  return static_cast<std::size_t>(id);
}

struct Position {
  double longitude_deg = 0.0;
  double latitude_deg = 0.0;
};

/// Simulated days in local standard time; a season never shifts its clock.
struct Season {
  std::chrono::sys_days first_day{};
  int days = 0;
  double utc_offset_h = 0.0;  // left out: by the fleet's longitude
  std::vector<std::chrono::sys_days> holidays;
};

/// A place with its own weather. A fleet without sites has one at its centre.
struct Site {
  std::string name;
  Position position;
  double elevation_m = 0.0;
};

struct NamedStorm {
  std::chrono::sys_days day{};
  double rain_m = 0.0;
  double duration_s = 0.0;
};

struct HeatWave {
  std::chrono::sys_days first_day{};
  int days = 0;
  double warming_K = 0.0;
};

enum class WeatherKind { generated, measured, resampled };

/// Where the weather comes from and how it is bent for a what-if.
struct WeatherSpec {
  WeatherKind kind = WeatherKind::generated;
  std::filesystem::path climate_file;  // generated: monthly climate figures, or a record to fit
  std::filesystem::path hourly_file;   // measured: TMY3, TMY2, EPW or plain CSV with units
  std::filesystem::path
      daily_file;  // measured or resampled: GHCN-Daily or CSV; also the rain of an hourly file without
  double rain_factor = 1.0;
  double warming_K = 0.0;
  std::vector<NamedStorm> storms;
  std::vector<HeatWave> heat_waves;
  double correlation_length_m = 30'000.0;  // between sites; distance at which the correlation falls to 1/e
};

enum class CoverKind { none, bubble, solid };

struct FillWater {
  std::string name;
  double salt_kg_per_m3 = 0.0;
  double calcium_mol_per_m3 = 0.0;
  double alkalinity_mol_per_m3 = 0.0;  // equivalents
  double ph = 7.8;
  double temperature_K = 288.15;
};

/// What a pool's water holds when the season starts.
struct StartingWater {
  double salt_kg_per_m3 = 3.2;
  double free_chlorine_kg_per_m3 = 0.003;  // as Cl2
  double ph = 7.5;
  double alkalinity_mol_per_m3 = 1.6;
  double calcium_mol_per_m3 = 2.5;
  double cyanuric_acid_mol_per_m3 = 0.39;
  double borate_mol_per_m3 = 0.0;
  double temperature_K = 293.15;
};

/// One pool as its list describes it. Traits that a list leaves out are drawn per pool from the distributions
/// documented in sim/scenario/pool_columns.cpp.
struct Pool {
  std::string name;
  std::string neighbourhood;
  std::string pool_class;  // the user's own grouping, e.g. "home" or "holiday let"
  SiteId site{};
  Position position;
  // Basin
  double water_volume_m3 = 50.0;  // at normal level
  double surface_area_m2 = 32.0;
  double catchment_area_m2 = 32.0;  // surface plus deck that drains in
  double freeboard_m = 0.08;        // rim above normal level
  double refill_below_m = 0.05;     // automatic refill starts this far below normal level
  bool automatic_refill = true;
  double leak_m3_per_s = 0.0;
  std::size_t fill_water = 0;  // index into Scenario::fill_waters
  CoverKind cover = CoverKind::none;
  double covered_share_of_day = 0.0;
  // Surroundings
  double sun_exposure = 1.0;   // share of open-sky sunlight that reaches the water
  double wind_exposure = 0.3;  // wind at the water over wind at the weather station's 10 m
  double solar_absorptance = 0.85;
  double debris_factor = 1.0;  // leaves and dust relative to an average yard
  double demand_factor = 1.0;  // chlorine demand of the water relative to an average pool
  // Equipment
  double pump_flow_m3_per_s = 0.003;
  double pump_hours_per_day = 10.0;
  double pump_start_hour = 8.0;
  double cell_rated_production_kg_per_s = 0.6 / 86400.0;  // as Cl2 at full output, 25 degC, clean, salt as rated
  double cell_plate_area_m2 = 0.06;
  double cell_age_h = 0.0;      // operating hours at season start
  double output_setting = 0.5;  // share of full output at season start
  double reversal_interval_s = 4.0 * 3600.0;
  double gas_exchange_factor = 1.5;  // agitation by returns, spillways, over a calm surface
  // People and rounds
  double bathers_per_day = 1.0;  // average over the season
  double owner_diligence = 0.3;  // chance that the owner does the weekly small chores or notices trouble, 0..1
  double gate_opens_s = 0.0;     // earliest and latest arrival, seconds after midnight
  double gate_closes_s = 86400.0;
  std::string skill;                 // key or skill that a technician must have, "" none
  std::string preferred_technician;  // "" any
  double fee_per_month = 0.0;
  double fee_per_visit = 0.0;
  StartingWater start;
};

struct Technician {
  std::string name;
  Position start;  // where the day begins, and where it ends
  Position end;
  double shift_start_s = 8.0 * 3600.0;
  double shift_length_s = 8.0 * 3600.0;
  double break_s = 1800.0;
  double overtime_limit_s = 3600.0;
  double payload_kg = 400.0;
  std::vector<std::string> skills;
};

enum class RoadKind { osm_extract, straight_line, matrix };

struct RoadSpec {
  RoadKind kind = RoadKind::straight_line;
  std::filesystem::path file;   // extract or matrix
  double detour_factor = 1.35;  // straight_line
  double straight_line_speed_m_per_s = 9.0;
  double speed_factor = 1.0;  // all speeds of an extract times this
  // Credit that an extract's licence asks for wherever its roads are shown; "" for invented roads.
  std::string attribution = "\u00a9 OpenStreetMap contributors, Open Database License (ODbL)";

  /// The credit, or "" when no roads of an extract are driven.
  [[nodiscard]] std::string credit() const { return kind == RoadKind::osm_extract ? attribution : std::string{}; }
};

/// Working weekdays and how call-outs and lateness are handled.
struct RoundsSpec {
  std::vector<std::chrono::weekday> working_days{std::chrono::Monday, std::chrono::Tuesday, std::chrono::Wednesday,
                                                 std::chrono::Thursday, std::chrono::Friday};  // at least one
  double stop_overhead_s = 240.0;  // parking, gate, paperwork
  double call_out_max_wait_s = 2 * 86400.0;
  double restocking_s = 900.0;         // loading the van again in the middle of a day
  double other_technician_cost = 3.0;  // money a visit by another than the preferred technician counts as, in planning
  double planning_time_s =
      5.0;  // search effort for a plan of 250 visits, in seconds of a reference core (counted in moves)
};

/// Money in the scenario's own currency.
struct Prices {
  std::string currency = "USD";
  double wage_per_h = 28.0;
  double overtime_factor = 1.5;
  double driving_per_km = 0.45;
  double salt_per_kg = 0.45;
  double acid_per_m3 = 2400.0;  // 31.45 % hydrochloric acid
  double bicarbonate_per_kg = 1.6;
  double calcium_chloride_per_kg = 1.9;
  double cyanuric_acid_per_kg = 7.0;
  double liquid_chlorine_per_m3 = 1300.0;  // 12.5 % available
  double cell_each = 650.0;
  double pump_energy_per_kWh = 0.0;  // 0 leaves electricity to the pool's owner
  double fill_water_per_m3 = 0.0;    // and so for water
  double test_strip_each = 0.4;
  double test_kit_each = 0.6;
  double freeze_repair_each = 1800.0;
  double remote_reading_per_day = 0.25;
};

/// Packs, lead times and stock. What vans usually carry: common practice, no source.
struct Supplies {
  std::array<MaterialSupply, material_count> materials = {{
      {.pack = 18.14, .lead_days = 7.0, .packs_per_order = 49.0, .usual_packs_on_van = 8},  // salt, 40 lb bags
      {.pack = 0.0568, .lead_days = 5.0},                                                   // acid, 15 US gal drums
      {.pack = 22.68},                                                                      // bicarbonate, 50 lb bags
      {.pack = 22.68},                                                                      // calcium chloride
      {.pack = 22.68},                                                                      // cyanuric acid
      {.pack = 0.0568},                                                                     // liquid chlorine
  }};
  double cell_lead_days = 14.0;
  int cells_in_stock = 6;
  double cell_warranty_h = 0.0;  // operating hours within which a dead cell is replaced free

  [[nodiscard]] MaterialSupply const& operator[](Material material) const { return materials[index_of(material)]; }
  [[nodiscard]] MaterialSupply& operator[](Material material) { return materials[index_of(material)]; }
};

struct OutputSpec {
  std::vector<std::string> trace_pools;  // hourly traces of these pools
  bool visit_log = true;
};

struct Scenario {
  std::filesystem::path path;
  std::string text;                                // as read, kept in every result
  std::vector<std::filesystem::path> input_files;  // all other files that it reads
  std::string name;
  Season season;
  std::vector<Site> sites;
  WeatherSpec weather;
  std::vector<FillWater> fill_waters;
  std::vector<Pool> pools;
  std::vector<Technician> technicians;
  RoadSpec roads;
  RoundsSpec rounds;
  Prices prices;
  Supplies supplies;
  WaterBands bands;
  models::Parameters parameters;
  std::vector<PolicySpec> policies;
  OutputSpec outputs;
  std::uint64_t seed = 1;
  int replicates = 20;

  /// Whether technicians work on that day: a working weekday that is no holiday.
  [[nodiscard]] bool is_working_day(std::chrono::sys_days day) const {
    auto const& weekdays = rounds.working_days;
    auto const& holidays = season.holidays;
    return std::find(weekdays.begin(), weekdays.end(), std::chrono::weekday{day}) != weekdays.end() &&
           std::find(holidays.begin(), holidays.end(), day) == holidays.end();
  }
};

}  // namespace brinecast::sim
