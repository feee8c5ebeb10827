#pragma once
// What a result file says about the run it came from, apart from the results: names, places, plans, prices, provenance.

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "sim/rounds/plan.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::results {

struct PolicyEntry {
  std::string name, comment;
  double visit_interval_d = 0.0;
  int plan_period_days = 0;  // working days after which the plan of rounds repeats
};

struct PoolEntry {
  std::string name, neighbourhood, pool_class, site;
  double longitude_deg = 0.0, latitude_deg = 0.0, water_volume_m3 = 0.0;
};

struct TechnicianEntry {
  std::string name;
  double start_longitude_deg = 0.0, start_latitude_deg = 0.0, end_longitude_deg = 0.0, end_latitude_deg = 0.0;
  double shift_start_s = 0.0, shift_length_s = 0.0, break_s = 0.0, overtime_limit_s = 0.0, payload_kg = 0.0;
};

struct ParameterEntry {
  std::string name, units, meaning, source;
  double value = 0.0;
};

/// A material or part that is bought. Amounts are in `units`: kg, m3 or pieces.
struct SupplyEntry {
  std::string name, units, pack;
  double pack_size = 0.0;         // in `units`
  double packs_per_pallet = 0.0;  // 0: not sold by the pallet
  double mass_per_unit_kg = 1.0;  // kg a unit weighs in the van
  double lead_time_d = 0.0;
  double price = 0.0;     // currency a unit
  double in_stock = 0.0;  // in `units`, at season start
};

struct PlannedStopEntry {
  std::uint32_t policy = 0, day = 0, technician = 0, position = 0, pool = 0;
  std::int32_t arrival_s = 0, start_s = 0, leave_s = 0;  // seconds after midnight
};

/// One technician's planned working day. Its line on the map is the next `route_points` of the run's route points.
struct PlannedRoundEntry {
  std::uint32_t policy = 0, day = 0, technician = 0, route_points = 0;
  std::int32_t leave_start_s = 0, reach_end_s = 0;  // seconds after midnight
  std::int32_t driving_s = 0, driving_m = 0, overtime_s = 0;
  double load_kg = 0.0;
};

struct RoutePointEntry {
  double longitude_deg = 0.0, latitude_deg = 0.0;
};

struct InputFileEntry {
  std::string path, sha256;
  std::string text;  // the content of a small text file, else empty
};

/// A limit of the water that counts as good; root attribute `band_` + name.
struct BandEntry {
  std::string_view name;
  double sim::WaterBands::*member;
};
std::span<BandEntry const> band_table();

struct RunDescription {
  std::string program_version, vector_target;
  std::string scenario_name, scenario_path, scenario_text, scenario_sha256, currency;
  std::string road_attribution;  // credit wherever road shapes are shown, may be ""
  std::string route_lines;       // what the lines of rounds follow: "roads", or "straight" from stop to stop
  sim::WaterBands bands;
  std::uint64_t seed = 0;
  std::uint32_t replicates = 0;
  std::chrono::sys_days first_day{};
  int days = 0;
  double utc_offset_h = 0.0;
  std::vector<PolicyEntry> policies;
  std::vector<PoolEntry> pools;
  std::vector<TechnicianEntry> technicians;
  std::vector<std::uint32_t> trace_pools;  // indices of pools with hourly traces
  std::vector<std::uint8_t> working_days;  // [day], 1 where technicians drive
  std::vector<ParameterEntry> parameters;
  std::vector<SupplyEntry> supplies;
  std::vector<PlannedStopEntry> planned_stops;
  std::vector<PlannedRoundEntry> planned_rounds;
  std::vector<RoutePointEntry> route_points;
  std::vector<InputFileEntry> input_files;

  [[nodiscard]] std::size_t tasks() const { return policies.size() * replicates; }
};

/// First days of the season's calendar months; the first entry is the season's first day.
std::vector<std::chrono::sys_days> month_starts(RunDescription const& run);

/// Month index of each day of the season, [day].
std::vector<std::size_t> month_of_days(RunDescription const& run);

/// Most stops of all plans together whose drives are drawn along the roads; the lines of larger fleets are straight,
/// which keeps the file small and their search short.
inline constexpr std::size_t most_stops_on_roads = 20000;

/// Describes a run of `scenario` with one plan of rounds a policy (none: no plans known). `input_files` are the files
/// the scenario was read from besides its own text; each is digested, and small ones are kept whole. Lines of rounds
/// are thinned to 5 m and rounded to 1e-5 degrees. Throws std::runtime_error when a file cannot be read.
RunDescription describe(sim::Scenario const& scenario, std::vector<sim::RoundsPlan> const& plans,
                        std::vector<std::filesystem::path> const& input_files, std::string vector_target);

/// As JSON text and back; the first line of a journal. Throws std::runtime_error on text of another form.
std::string to_text(RunDescription const& run);
RunDescription run_from_text(std::string const& text);

/// The first difference that forbids to mix the tasks of two runs in one file, as "what: found A, expected B", or "".
std::string first_difference(RunDescription const& found, RunDescription const& expected);

}  // namespace brinecast::results
