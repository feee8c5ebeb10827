#include "sim/scenario/read_scenario.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <set>
#include <system_error>

#include "sim/scenario/csv.hpp"
#include "sim/scenario/earth.hpp"
#include "sim/scenario/limits.hpp"
#include "sim/scenario/read_policy.hpp"
#include "sim/scenario/read_pools.hpp"
#include "sim/scenario/shown_text.hpp"
#include "sim/scenario/table_reader.hpp"

namespace brinecast::sim {

namespace {

constexpr std::string_view data_variable = "${BRINECAST_DATA}";

/// Reads the sections of one scenario file into a Scenario.
class ScenarioReader {
 public:
  ScenarioReader(toml::table const& table, Scenario& scenario, Problems& problems)
      : root_(table, "", scenario.path.generic_string(), problems), scenario_(scenario), problems_(problems) {}

  void read() {
    root_.read_text("name", scenario_.name);
    if (scenario_.name.empty()) scenario_.name = printable(scenario_.path.stem().string());
    root_.read_seed("seed", scenario_.seed);
    root_.read_integer("replicates", scenario_.replicates, 1, most_replicates);
    read_season();
    read_sites();
    read_weather();
    read_fill_waters();
    read_technicians();
    read_roads();
    read_rounds();
    read_prices();
    read_supplies();
    read_bands();
    read_model();
    read_fleet();
    check_distances();
    settle_clock();
    read_policy_tables();
    read_outputs();
    root_.finish();
  }

 private:
  void read_season() {
    if (!root_.require("season", "[season] with first_day = 2027-03-01 and last_day = 2027-10-31")) return;
    auto season = root_.subtable("season");
    if (!season) return;
    Season& target = scenario_.season;
    bool const begins =
        season->require("first_day", "first_day = 2027-03-01") && season->read_date("first_day", target.first_day);
    std::chrono::sys_days last_day{};
    if (season->has("days")) {
      season->read_integer("days", target.days, 1, longest_season_days);
      if (season->has("last_day")) season->complain("days", "last_day is given too; keep one of the two");
    } else if (season->require("last_day", "last_day = 2027-10-31") && season->read_date("last_day", last_day) &&
               begins) {
      auto const days = (last_day - target.first_day).count() + 1;
      if (days < 1) {
        season->complain("last_day", "the season ends before it begins; write a day after first_day");
      } else if (days > longest_season_days) {
        season->complain("last_day", "the season is longer than 31 years; write an earlier day");
      } else {
        target.days = static_cast<int>(days);
      }
    }
    double offset_s = 0.0;
    season->read_quantity("utc_offset", offset_s, Quantity::duration, {-14 * 3600.0, 14 * 3600.0});
    target.utc_offset_h = offset_s / 3600.0;
    season->read_dates("holidays", target.holidays);
    std::sort(target.holidays.begin(), target.holidays.end());
    season->finish();
  }

  static bool read_coordinates(TableReader& table, Position& target) {
    bool const east = table.require("longitude", "longitude = -117.3021") &&
                      table.read_number("longitude", target.longitude_deg, {-180.0, 180.0});
    bool const north = table.require("latitude", "latitude = 34.1765") &&
                       table.read_number("latitude", target.latitude_deg, {-90.0, 90.0});
    return east && north;
  }

  /// Names refer to things: each thing has one, and no two share it.
  static void read_unique_name(TableReader& table, std::string& name, std::set<std::string>& taken) {
    if (!table.require("name", "name = \"Mara Quell\"") || !table.read_text("name", name)) return;
    if (auto const problem = name_problem(name); !problem.empty()) {
      table.complain("name", problem);
    } else if (!taken.insert(name).second) {
      table.complain("name", fmt::format("\"{}\" is taken already; give each its own name", name));
    }
  }

  void read_sites() {
    std::set<std::string> names;
    auto tables = root_.subtables("sites");
    if (tables.size() > most_sites) {
      root_.complain("sites", fmt::format("there are {} sites, more than the {} accepted; write fewer", tables.size(),
                                          most_sites));
      return;
    }
    for (auto& table : tables) {
      Site site;
      read_unique_name(table, site.name, names);
      read_coordinates(table, site.position);
      table.read_quantity("elevation", site.elevation_m, Quantity::length, {-450.0, 6000.0});
      table.finish();
      scenario_.sites.push_back(site);
    }
  }

  /// The regular file that a key names.
  bool read_file(TableReader& table, std::string_view key, std::filesystem::path& target) {
    std::string written;
    if (!table.read_text(key, written, "folder/file.csv")) return false;
    if (written.empty()) {
      table.complain(key, "the path is empty; name a file");
      return false;
    }
    ResolvedPath const resolved = resolve_path(written, scenario_.path);
    if (!resolved.path) {
      table.complain(key, resolved.problem);
      return false;
    }
    std::error_code error;
    auto const status = std::filesystem::status(*resolved.path, error);
    if (!std::filesystem::is_regular_file(status)) {
      std::string const shown = resolved.path->generic_string();
      std::string_view const remedy = written.substr(0, data_variable.size()) == data_variable
                                          ? "check BRINECAST_DATA and the path"
                                          : "check the path, which starts in the scenario's folder";
      table.complain(key, std::filesystem::exists(status) ? fmt::format("\"{}\" is not a regular file; name one", shown)
                                                          : fmt::format("there is no file \"{}\"; {}", shown, remedy));
      return false;
    }
    target = *resolved.path;
    auto& files = scenario_.input_files;
    if (std::find(files.begin(), files.end(), target) == files.end()) files.push_back(target);
    return true;
  }

  /// Whether no day of a span falls into the season; a season that is itself faulty excludes nothing.
  [[nodiscard]] bool outside_season(std::chrono::sys_days first_day, int days) const {
    Season const& season = scenario_.season;
    return season.days > 0 && (first_day + std::chrono::days{days} <= season.first_day ||
                               first_day >= season.first_day + std::chrono::days{season.days});
  }

  void read_weather() {
    if (!root_.require("weather", "[weather] with kind = \"generated\" and climate_file = \"climate.csv\"")) return;
    auto weather = root_.subtable("weather");
    if (!weather) return;
    WeatherSpec& target = scenario_.weather;
    bool const has_kind = weather->require("kind", "kind = \"generated\"") &&
                          weather->read_choice<WeatherKind>("kind", target.kind,
                                                            {{"generated", WeatherKind::generated},
                                                             {"measured", WeatherKind::measured},
                                                             {"resampled", WeatherKind::resampled}});
    read_file(*weather, "climate_file", target.climate_file);
    read_file(*weather, "hourly_file", target.hourly_file);
    read_file(*weather, "daily_file", target.daily_file);
    if (has_kind && target.kind == WeatherKind::generated) {
      weather->require("climate_file", "climate_file = \"climate.csv\"");
    }
    if (has_kind && target.kind == WeatherKind::measured && target.daily_file.empty()) {
      weather->require("hourly_file", "hourly_file = \"year.csv\"");
    }
    if (has_kind && target.kind == WeatherKind::resampled) weather->require("daily_file", "daily_file = \"days.csv\"");
    weather->read_number("rain_factor", target.rain_factor, {0.0, 100.0});
    weather->read_quantity("warming", target.warming_K, Quantity::temperature_change, {-30.0, 30.0});
    weather->read_quantity("correlation_length", target.correlation_length_m, Quantity::distance, {1.0, 1e7});
    for (auto& table : weather->subtables("storms")) {
      NamedStorm storm;
      if (table.require("day", "day = 2027-07-14") && table.read_date("day", storm.day) &&
          outside_season(storm.day, 1)) {
        table.complain("day", "the storm lies outside the season and would never come; write a day of the season");
      }
      if (table.require("rain", "rain = \"60 mm\""))
        table.read_quantity("rain", storm.rain_m, Quantity::depth, {0.0, 2.0});
      if (table.require("duration", "duration = \"6 h\"")) {
        table.read_quantity("duration", storm.duration_s, Quantity::duration, {3600.0, 86400.0});
      }
      table.finish();
      target.storms.push_back(storm);
    }
    for (auto& table : weather->subtables("heat_waves")) {
      HeatWave wave;
      bool const dated =
          table.require("first_day", "first_day = 2027-07-14") && table.read_date("first_day", wave.first_day);
      if (table.require("days", "days = 5")) table.read_integer("days", wave.days, 1, 366);
      if (table.require("warming", "warming = \"5 K\"")) {
        table.read_quantity("warming", wave.warming_K, Quantity::temperature_change, {-30.0, 30.0});
      }
      if (dated && wave.days > 0 && outside_season(wave.first_day, wave.days)) {
        table.complain("first_day",
                       "the heat wave lies outside the season and would never come; write a day of the season");
      }
      table.finish();
      target.heat_waves.push_back(wave);
    }
    weather->finish();
  }

  void read_fill_waters() {
    auto waters = root_.subtable("fill_water");
    if (waters) {
      for (auto& [name, table] : waters->named_subtables()) {
        FillWater water;
        water.name = name;
        if (auto const problem = name_problem(name); !problem.empty()) waters->complain(name, problem);
        table.read_quantity("salt", water.salt_kg_per_m3, Quantity::concentration, {0.0, 40.0});
        table.read_quantity("calcium", water.calcium_mol_per_m3, Quantity::calcium, {0.0, 25.0});
        table.read_quantity("alkalinity", water.alkalinity_mol_per_m3, Quantity::alkalinity, {0.0, 20.0});
        table.read_number("ph", water.ph, {5.0, 10.5});
        table.read_quantity("temperature", water.temperature_K, Quantity::temperature, {273.15, 323.15});
        table.finish();
        scenario_.fill_waters.push_back(water);
      }
    }
    // common practice, no source: a mains water of middling hardness.
    if (scenario_.fill_waters.empty()) {
      scenario_.fill_waters.push_back({.name = "mains",
                                       .salt_kg_per_m3 = 0.1,
                                       .calcium_mol_per_m3 = 1.5,
                                       .alkalinity_mol_per_m3 = 2.0,
                                       .ph = 7.8,
                                       .temperature_K = 288.15});
    }
  }

  static bool read_place(TableReader& table, std::string_view key, Position& target) {
    auto place = table.subtable(key);
    if (!place) return false;
    bool const right = read_coordinates(*place, target);
    place->finish();
    return right;
  }

  void read_technicians() {
    Position depot;
    bool const has_depot = root_.has("depot");
    if (has_depot) read_place(root_, "depot", depot);
    root_.require("technicians", "[[technicians]] with name = \"Mara Quell\"");
    std::set<std::string> names;
    auto tables = root_.subtables("technicians");
    if (tables.size() > most_technicians) {
      root_.complain("technicians", fmt::format("there are {} technicians, more than the {} accepted; write fewer",
                                                tables.size(), most_technicians));
      return;
    }
    if (tables.empty() && root_.has("technicians")) {
      root_.complain("technicians", "nobody is listed; write a [[technicians]] table for each");
    }
    for (auto& table : tables) {
      Technician technician;
      technician.start = depot;
      read_unique_name(table, technician.name, names);
      if (!has_depot)
        table.require("start", "start = { longitude = -117.3021, latitude = 34.1765 }, or a [depot] for all");
      read_place(table, "start", technician.start);
      technician.end = technician.start;
      read_place(table, "end", technician.end);
      table.read_time_of_day("shift_start", technician.shift_start_s);
      table.read_quantity("shift_length", technician.shift_length_s, Quantity::duration, {1800.0, 24 * 3600.0});
      table.read_quantity("break", technician.break_s, Quantity::duration, {0.0, 4 * 3600.0});
      table.read_quantity("overtime_limit", technician.overtime_limit_s, Quantity::duration, {0.0, 12 * 3600.0});
      table.read_quantity("payload", technician.payload_kg, Quantity::mass, {1.0, 20'000.0});
      table.read_texts("skills", technician.skills);
      if (technician.break_s >= technician.shift_length_s) {
        table.complain("break", "the break is as long as the shift, and nobody would work; shorten it");
      }
      if (technician.shift_start_s + technician.shift_length_s + technician.overtime_limit_s > 86400.0) {
        table.complain(
            "", "shift_start, shift_length and overtime_limit reach past midnight; shorten them or start earlier");
      }
      table.finish();
      scenario_.technicians.push_back(technician);
    }
    std::set<std::string> skills;
    for (auto const& technician : scenario_.technicians) {
      skills.insert(technician.skills.begin(), technician.skills.end());
    }
    if (skills.size() > most_skills) {
      root_.complain(
          "technicians",
          fmt::format("there are {} different skills, more than the {} accepted; give keys that go together one name",
                      skills.size(), most_skills));
    }
  }

  void read_roads() {
    auto roads = root_.subtable("roads");
    if (!roads) return;
    RoadSpec& target = scenario_.roads;
    bool const has_kind = roads->require("kind", "kind = \"straight_line\"") &&
                          roads->read_choice<RoadKind>("kind", target.kind,
                                                       {{"osm_extract", RoadKind::osm_extract},
                                                        {"straight_line", RoadKind::straight_line},
                                                        {"matrix", RoadKind::matrix}});
    read_file(*roads, "file", target.file);
    if (has_kind && target.kind == RoadKind::osm_extract) roads->require("file", "file = \"town.osm.pbf\"");
    if (has_kind && target.kind == RoadKind::matrix) roads->require("file", "file = \"travel_times.csv\"");
    roads->read_number("detour_factor", target.detour_factor, {1.0, 10.0});
    roads->read_quantity("straight_line_speed", target.straight_line_speed_m_per_s, Quantity::speed, {0.5, 50.0});
    roads->read_number("speed_factor", target.speed_factor, {0.1, 10.0});
    roads->read_text("attribution", target.attribution);
    roads->finish();
  }

  void read_rounds() {
    RoundsSpec& target = scenario_.rounds;
    auto rounds = root_.subtable("rounds");
    if (!rounds) return;
    rounds->read_weekdays("working_days", target.working_days);
    if (target.working_days.empty())
      rounds->complain("working_days", "nobody works on any day; list at least one weekday");
    rounds->read_quantity("stop_overhead", target.stop_overhead_s, Quantity::duration, {0.0, 3600.0});
    rounds->read_quantity("call_out_max_wait", target.call_out_max_wait_s, Quantity::duration, {0.0, 60 * 86400.0});
    rounds->read_quantity("restocking", target.restocking_s, Quantity::duration, {0.0, 4 * 3600.0});
    rounds->read_number("other_technician_cost", target.other_technician_cost, {0.0, 1e6});
    rounds->read_quantity("planning_time", target.planning_time_s, Quantity::duration, {0.0, 3600.0});
    rounds->finish();
  }

  void read_prices() {
    auto prices = root_.subtable("prices");
    if (!prices) return;
    struct Price {
      std::string_view key;
      double Prices::*member;
      double written_per_kept;  // the kept price is this times the written one
    };
    static constexpr std::array<Price, 16> table{{
        {"wage_per_hour", &Prices::wage_per_h, 1},
        {"overtime_factor", &Prices::overtime_factor, 1},
        {"driving_per_km", &Prices::driving_per_km, 1},
        {"salt_per_kg", &Prices::salt_per_kg, 1},
        {"acid_per_litre", &Prices::acid_per_m3, 1000},
        {"bicarbonate_per_kg", &Prices::bicarbonate_per_kg, 1},
        {"calcium_chloride_per_kg", &Prices::calcium_chloride_per_kg, 1},
        {"cyanuric_acid_per_kg", &Prices::cyanuric_acid_per_kg, 1},
        {"liquid_chlorine_per_litre", &Prices::liquid_chlorine_per_m3, 1000},
        {"cell_each", &Prices::cell_each, 1},
        {"pump_energy_per_kWh", &Prices::pump_energy_per_kWh, 1},
        {"fill_water_per_m3", &Prices::fill_water_per_m3, 1},
        {"test_strip_each", &Prices::test_strip_each, 1},
        {"test_kit_each", &Prices::test_kit_each, 1},
        {"freeze_repair_each", &Prices::freeze_repair_each, 1},
        {"remote_reading_per_day", &Prices::remote_reading_per_day, 1},
    }};
    prices->read_text("currency", scenario_.prices.currency);
    for (auto const& price : table) {
      double written = scenario_.prices.*price.member / price.written_per_kept;
      if (prices->read_number(price.key, written, {0.0, 1e6})) {
        scenario_.prices.*price.member = written * price.written_per_kept;
      }
    }
    if (scenario_.prices.overtime_factor < 1.0) {
      prices->complain("overtime_factor", "overtime would be cheaper than the shift; write a factor of at least 1");
    }
    prices->finish();
  }

  static void read_lead_time(TableReader& supplies, std::string_view key, double& days) {
    double lead_s = 0.0;
    if (supplies.read_quantity(key, lead_s, Quantity::duration, {0.0, 366 * 86400.0})) days = lead_s / 86400.0;
  }

  /// The keys of one material: NAME_bag or NAME_drum, NAME_in_stock, NAME_reorder_at, NAME_on_van.
  static void read_material(TableReader& supplies, std::string const& name, std::string const& pack,
                            MaterialSupply& target, Quantity kind, Limits pack_limits) {
    supplies.read_quantity(name + "_" + pack, target.pack, kind, pack_limits);
    auto const read_packs = [&](std::string const& key, std::optional<int>& packs) {
      int count = 20;  // a message shows it as its example
      if (supplies.read_integer(key, count, 0, 1'000'000)) packs = count;
    };
    read_packs(name + "_in_stock", target.packs_in_stock);
    read_packs(name + "_reorder_at", target.reorder_at);
    read_packs(name + "_on_van", target.packs_on_van);
    if (target.reorder_at && !target.packs_in_stock) {
      supplies.complain(name + "_reorder_at",
                        fmt::format("without {0}_in_stock the depot never runs out and nothing is ordered; write "
                                    "{0}_in_stock as well, or leave this out",
                                    name));
    } else if (target.reorder_at && *target.reorder_at >= std::max(1, *target.packs_in_stock)) {
      supplies.complain(name + "_reorder_at",
                        fmt::format("orders restore {0}_in_stock, {1}, and so must go out below it; write a number "
                                    "under {1}",
                                    name, *target.packs_in_stock));
    }
  }

  /// A van loaded as stated must not weigh more than any technician's payload.
  void check_van_loads(TableReader& supplies) {
    double load_kg = 0.0;
    for (std::size_t m = 0; m < material_count; ++m) {
      MaterialSupply const& supply = scenario_.supplies.materials[m];
      if (supply.limited()) load_kg += supply.van_packs() * supply.pack * kg_per_bought(static_cast<Material>(m));
    }
    for (Technician const& technician : scenario_.technicians) {
      if (load_kg <= technician.payload_kg) continue;
      supplies.complain("", fmt::format("a loaded van would carry {:.0f} kg, more than the payload of {}, {:.0f} kg; "
                                        "write fewer packs in salt_on_van and its like, or a larger payload",
                                        load_kg, technician.name, technician.payload_kg));
      return;
    }
  }

  void read_supplies() {
    auto supplies = root_.subtable("supplies");
    if (!supplies) return;
    Supplies& target = scenario_.supplies;
    read_lead_time(*supplies, "cell_lead_time", target.cell_lead_days);
    double other_lead_days = target[Material::bicarbonate].lead_days;
    read_lead_time(*supplies, "other_lead_time", other_lead_days);
    for (Material const material :
         {Material::bicarbonate, Material::calcium_chloride, Material::cyanuric_acid, Material::liquid_chlorine}) {
      target[material].lead_days = other_lead_days;
    }
    read_lead_time(*supplies, "salt_lead_time", target[Material::salt].lead_days);
    read_lead_time(*supplies, "acid_lead_time", target[Material::acid].lead_days);
    supplies->read_number("salt_pallet_bags", target[Material::salt].packs_per_order, {1.0, 1000.0});
    Limits const bag{0.1, 2000.0}, drum{0.0005, 2.0};
    read_material(*supplies, "salt", "bag", target[Material::salt], Quantity::mass, bag);
    read_material(*supplies, "acid", "drum", target[Material::acid], Quantity::chemical_volume, drum);
    read_material(*supplies, "bicarbonate", "bag", target[Material::bicarbonate], Quantity::mass, bag);
    read_material(*supplies, "calcium", "bag", target[Material::calcium_chloride], Quantity::mass, bag);
    read_material(*supplies, "cyanuric", "bag", target[Material::cyanuric_acid], Quantity::mass, bag);
    read_material(*supplies, "liquid_chlorine", "drum", target[Material::liquid_chlorine], Quantity::chemical_volume,
                  drum);
    check_van_loads(*supplies);
    supplies->read_integer("cells_in_stock", target.cells_in_stock, 0, 1'000'000);
    double warranty_s = target.cell_warranty_h * 3600.0;
    if (supplies->read_quantity("cell_warranty", warranty_s, Quantity::duration, {0.0, 1e9})) {
      target.cell_warranty_h = warranty_s / 3600.0;
    }
    supplies->finish();
  }

  void read_bands() {
    auto bands = root_.subtable("bands");
    if (!bands) return;
    WaterBands& target = scenario_.bands;
    auto const in_order = [&](std::string_view key, double low, double high) {
      if (low > high) bands->complain(key, "the lower end of the band is above its upper end; swap them");
    };
    Limits const chlorine{0.0, 0.05};
    bands->read_quantity("free_chlorine_low", target.free_chlorine_low_kg_per_m3, Quantity::concentration, chlorine);
    bands->read_quantity("free_chlorine_high", target.free_chlorine_high_kg_per_m3, Quantity::concentration, chlorine);
    in_order("free_chlorine_low", target.free_chlorine_low_kg_per_m3, target.free_chlorine_high_kg_per_m3);
    bands->read_number("ph_low", target.ph_low, {5.0, 10.0});
    bands->read_number("ph_high", target.ph_high, {5.0, 10.0});
    in_order("ph_low", target.ph_low, target.ph_high);
    bands->read_number("saturation_index_low", target.saturation_index_low, {-5.0, 5.0});
    bands->read_number("saturation_index_high", target.saturation_index_high, {-5.0, 5.0});
    in_order("saturation_index_low", target.saturation_index_low, target.saturation_index_high);
    bands->read_quantity("salt_low", target.salt_low_kg_per_m3, Quantity::concentration, {0.0, 40.0});
    bands->read_quantity("salt_high", target.salt_high_kg_per_m3, Quantity::concentration, {0.0, 40.0});
    in_order("salt_low", target.salt_low_kg_per_m3, target.salt_high_kg_per_m3);
    bands->finish();
  }

  void read_model() {
    auto model = root_.subtable("model");
    if (!model) return;
    for (auto const& parameter : models::parameter_table()) {
      model->read_in_unit(parameter.name, scenario_.parameters.*parameter.member, parameter.units,
                          {parameter.lower, parameter.upper});
    }
    check_model(*model);
    model->finish();
  }

  /// What the equations rely on beyond each parameter's own limits.
  void check_model(TableReader& model) {
    models::Parameters const& p = scenario_.parameters;
    auto const row_of = [](std::string_view name) -> models::ParameterInfo const& {
      auto const table = models::parameter_table();
      return *std::find_if(table.begin(), table.end(), [&](auto const& row) { return row.name == name; });
    };
    auto const must_rise = [&](std::string_view lower, std::string_view upper) {
      double const low = p.*row_of(lower).member, high = p.*row_of(upper).member;
      if (low < high) return;
      bool const lower_stated = model.has(lower);
      model.complain(lower_stated ? lower : upper,
                     fmt::format("{0} {1:g} {4} must be less than {2} {3:g} {4}; write {5}", lower, low, upper, high,
                                 row_of(lower).units,
                                 lower_stated ? fmt::format("less than {:g} {}", high, row_of(lower).units)
                                              : fmt::format("more than {:g} {}", low, row_of(lower).units)));
    };
    must_rise("cell_cold_stop_K", "cell_cold_full_K");
    must_rise("cell_salt_stop_low_kg_per_m3", "cell_salt_stop_high_kg_per_m3");
    must_rise("scale_visible_kg_per_m2", "scale_flakes_kg_per_m2");
    must_rise("scale_flakes_kg_per_m2", "scale_bridged_kg_per_m2");
    if (p.cyanurate_constants_year != 1974.0 && p.cyanurate_constants_year != 2019.0) {
      model.complain("cyanurate_constants_year",
                     fmt::format("there are no constants of {:g}; write 1974 or 2019", p.cyanurate_constants_year));
    }
  }

  void read_fleet() {
    if (!root_.require("fleet", "[fleet] with pools = \"pools.csv\"")) return;
    auto fleet = root_.subtable("fleet");
    if (!fleet) return;
    FleetTraits const traits = read_fleet_traits(fleet->subtable("traits"), scenario_);
    double elevation_m = 0.0;
    fleet->read_quantity("elevation", elevation_m, Quantity::length, {-450.0, 6000.0});
    if (fleet->has("elevation") && !scenario_.sites.empty()) {
      fleet->complain("elevation", "the sites have their own elevations; remove this one");
    }
    std::filesystem::path list;
    if (fleet->has("count")) {
      if (fleet->has("pools")) {
        fleet->complain("count", "the fleet has a list of pools too; keep one of the two");
      } else {
        generate_fleet(*fleet, traits);
      }
    } else if (fleet->require("pools", "pools = \"pools.csv\", or count = 200 for a generated fleet") &&
               read_file(*fleet, "pools", list)) {
      std::string const shown = list.generic_string();
      if (auto const text = read_text_file(list, shown, largest_pool_list_bytes, problems_)) {
        scenario_.pools = read_pool_list(*text, shown, scenario_, traits, problems_);
      }
    }
    fleet->finish();
    if (scenario_.sites.empty() && !scenario_.pools.empty()) {
      scenario_.sites.push_back({.name = "fleet", .position = middle_of(scenario_.pools), .elevation_m = elevation_m});
    }
  }

  /// A lost sign puts a depot or a site on another continent.
  void check_distances() {
    if (scenario_.pools.empty() || !problems_.empty()) return;  // a position that was not read lies anywhere
    Position const middle = middle_of(scenario_.pools);
    std::set<std::pair<double, double>> told;  // a depot serves many
    auto const check = [&](std::string_view key, std::string const& what, Position place) {
      double const away_m = great_circle_m(place, middle);
      if (away_m <= farthest_from_fleet_m || !told.insert({place.longitude_deg, place.latitude_deg}).second) return;
      root_.complain(key,
                     fmt::format("{} lies {:.0f} km from the middle of the fleet; check the signs of longitude and "
                                 "latitude",
                                 what, away_m / 1000.0));
    };
    for (auto const& site : scenario_.sites) check("sites", fmt::format("\"{}\"", site.name), site.position);
    for (auto const& technician : scenario_.technicians) {
      check("technicians", fmt::format("the start of \"{}\"", technician.name), technician.start);
      check("technicians", fmt::format("the end of \"{}\"", technician.name), technician.end);
    }
  }

  /// Standard time by the fleet's longitude where the scenario states none; the sun must not shine at night.
  void settle_clock() {
    auto season = root_.subtable("season");
    if (!season || scenario_.pools.empty() || !problems_.empty()) return;
    constexpr double degrees_an_hour = 15.0;
    // Standard times keep within 3.1 h of the sun's where people live; from memory.
    constexpr double farthest_from_sun_h = 4.0;
    constexpr double polar_circle_deg = 66.5;  // beyond, clocks follow other places' than the sun's
    Position const middle = middle_of(scenario_.pools);
    double const by_longitude_h = middle.longitude_deg / degrees_an_hour;
    double& offset_h = scenario_.season.utc_offset_h;
    if (!season->has("utc_offset")) {
      offset_h = std::round(by_longitude_h) + 0.0;  // no -0
    } else if (std::fabs(middle.latitude_deg) < polar_circle_deg &&
               std::fabs(std::remainder(offset_h - by_longitude_h, 24.0)) > farthest_from_sun_h) {
      season->complain("utc_offset",
                       fmt::format("with {:g} h the sun would stand highest {:.0f} h from noon; by its longitude the "
                                   "fleet has \"{:g} h\"",
                                   offset_h, std::fabs(std::remainder(offset_h - by_longitude_h, 24.0)),
                                   std::round(by_longitude_h) + 0.0));
    }
  }

  void generate_fleet(TableReader& fleet, FleetTraits const& traits) {
    GeneratedFleet generated;
    bool right = fleet.read_integer("count", generated.count, 1, static_cast<int>(most_pools));
    fleet.read_text("name_prefix", generated.name_prefix);
    right = fleet.require("centre", "centre = { longitude = -117.3021, latitude = 34.1765 }") &&
            read_place(fleet, "centre", generated.centre) && right;
    if (fleet.has("radius")) {
      right = fleet.read_quantity("radius", generated.radius_m, Quantity::distance, {1.0, 500'000.0}) && right;
    }
    if (right && std::fabs(generated.centre.latitude_deg) > 85.0) {
      fleet.complain("centre", "a generated fleet lies between 85 degrees south and north; write another latitude");
      right = false;
    }
    if (right) scenario_.pools = generate_pools(generated, scenario_, traits);
  }

  /// South of the equator the seasons for closing and opening lie half a year later, which exchanges them.
  [[nodiscard]] PolicySpec policy_defaults() const {
    PolicySpec defaults;
    if (middle_of(scenario_.pools).latitude_deg < 0.0) {
      std::swap(defaults.year.closing_season, defaults.year.opening_season);
    }
    return defaults;
  }

  void read_policy_tables() {
    scenario_.policies = read_policies(root_, scenario_.path.parent_path(), scenario_.input_files, policy_defaults());
    if (scenario_.policies.size() > most_policies) {
      root_.complain("policies", fmt::format("there are {} policies, more than the {} accepted; write fewer",
                                             scenario_.policies.size(), most_policies));
    }
  }

  void read_outputs() {
    auto outputs = root_.subtable("outputs");
    if (!outputs) return;
    outputs->read_flag("visit_log", scenario_.outputs.visit_log);
    outputs->read_texts("trace_pools", scenario_.outputs.trace_pools);
    std::vector<std::string> names;
    for (auto const& pool : scenario_.pools) names.push_back(pool.name);
    if (scenario_.outputs.trace_pools.size() > most_trace_pools) {
      outputs->complain("trace_pools", fmt::format("{} pools are listed, more than the {} accepted; list fewer",
                                                   scenario_.outputs.trace_pools.size(), most_trace_pools));
      return;
    }
    std::set<std::string> traced;
    for (auto const& name : scenario_.outputs.trace_pools) {
      if (!traced.insert(name).second) {
        outputs->complain("trace_pools", fmt::format("\"{}\" is listed twice; write each pool once", name));
      }
      if (names.empty() || std::find(names.begin(), names.end(), name) != names.end()) continue;
      std::string const near = nearest_word(name, names);
      outputs->complain("trace_pools", fmt::format("no pool is called \"{}\"{}", name,
                                                   near.empty() ? "; write a name of the fleet"
                                                                : fmt::format("; did you mean \"{}\"?", near)));
    }
    outputs->finish();
  }

  TableReader root_;
  Scenario& scenario_;
  Problems& problems_;
};

}  // namespace

ResolvedPath resolve_path(std::string_view written, std::filesystem::path const& scenario_path) {
  std::filesystem::path const folder = scenario_path.parent_path();
  if (written.substr(0, data_variable.size()) != data_variable) {
    std::filesystem::path const path{std::string(written)};
    return {(path.is_absolute() ? path : folder / path).lexically_normal(), {}};
  }
  std::string_view below = written.substr(data_variable.size());
  while (!below.empty() && below.front() == '/') below.remove_prefix(1);
  char const* const variable = std::getenv("BRINECAST_DATA");
  if (variable != nullptr && *variable != '\0') return {std::filesystem::path(variable) / std::string(below), {}};
  std::error_code error;
  std::filesystem::path above = std::filesystem::absolute(folder, error).lexically_normal();
  while (!error && above.has_relative_path()) {
    above = above.parent_path();
    std::filesystem::path const data = above / "shared" / "data";
    if (std::filesystem::is_directory(data, error)) return {data / std::string(below), {}};
    error.clear();
  }
  return {{},
          "BRINECAST_DATA is not set and no folder shared/data stands beside the scenario's folders; set it to the "
          "folder that holds the data"};
}

std::optional<Scenario> read_scenario_text(std::string_view text, std::filesystem::path const& path,
                                           Problems& problems) {
  std::string const shown = path.generic_string();
  std::size_t const earlier = problems.all().size();
  if (text.size() > largest_scenario_bytes) {
    problems.add({shown, 0, 0, "",
                  fmt::format("the scenario has {} bytes, more than the {} accepted; move pools to a list", text.size(),
                              largest_scenario_bytes)});
    return std::nullopt;
  }
  toml::parse_result const parsed = toml::parse(text, shown);
  if (!parsed) {
    auto const& begin = parsed.error().source().begin;
    std::string_view fault = parsed.error().description();
    constexpr std::string_view opening = "Error while parsing ";
    if (fault.substr(0, opening.size()) == opening) fault.remove_prefix(opening.size());
    problems.add({shown, static_cast<int>(begin.line), static_cast<int>(begin.column), "",
                  fmt::format("this is not valid TOML ({}); toml.io describes the format", fault)});
    return std::nullopt;
  }
  std::optional<Scenario> scenario(std::in_place);
  scenario->path = path;
  scenario->text = text;
  ScenarioReader(parsed.table(), *scenario, problems).read();
  if (problems.all().size() > earlier) scenario.reset();
  return scenario;
}

std::optional<Scenario> read_scenario(std::filesystem::path const& path, Problems& problems) {
  auto const text = read_text_file(path, path.generic_string(), largest_scenario_bytes, problems);
  if (!text) return std::nullopt;
  return read_scenario_text(*text, path, problems);
}

}  // namespace brinecast::sim
