#include "tests/properties/random_scenario.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <map>
#include <numbers>
#include <string_view>

#include "models/parameters.hpp"
#include "sim/random/random.hpp"

namespace brinecast::tests {

namespace {

/// A run of draws that belong to one scenario.
class Dice {
 public:
  explicit Dice(std::uint64_t number) : number_(number) {}
  double share() { return sim::uniform_draw({.seed = number_, .purpose = sim::Purpose::pool_trait, .time = next_++}); }
  double between(double low, double high) { return low + (high - low) * share(); }
  bool chance(double p) { return share() < p; }
  int whole(int low, int high) { return std::min(high, low + static_cast<int>(share() * (high - low + 1))); }
  template <class List>
  auto const& of(List const& list) {
    return list[static_cast<std::size_t>(whole(0, static_cast<int>(std::size(list)) - 1))];
  }

 private:
  std::uint64_t number_;
  std::uint32_t next_ = 0;
};

/// Months of a climate that may be anything that the reader takes: desert, ice, monsoon or mild.
void write_climate(Dice& dice, std::filesystem::path const& path, bool south) {
  static constexpr std::array<double, 5> yearly_means_degC{-35.0, -5.0, 12.0, 24.0, 38.0};
  static constexpr std::array<double, 5> wettest_mm{0.0, 5.0, 60.0, 400.0, 2500.0};
  constexpr double hottest_degC = 56.0;  // the reader takes no more
  double const mean = dice.of(yearly_means_degC), swing = dice.between(0.0, 18.0), day = dice.between(0.0, 12.0);
  double const wettest = dice.of(wettest_mm), spread_K = dice.between(0.0, 8.0), wind = dice.between(0.0, 15.0);
  double const sun = dice.between(20.0, 330.0);
  std::ofstream file(path);
  file << "month,rain [mm],wet_days [d],high [degC],low [degC],temperature_spread [K],sun [W/m2],wind [m/s]\n";
  for (int month = 1; month <= 12; ++month) {
    double const season = std::cos((month - (south ? 1 : 7)) * std::numbers::pi / 6.0);  // 1 in midsummer
    double const rain = wettest * dice.share();
    double const wet_days = rain < 1.0 ? 0.0 : std::clamp(rain / dice.between(2.0, 40.0), 0.1, 28.0);
    file << fmt::format("{},{:.1f},{:.2f},{:.1f},{:.1f},{:.1f},{:.0f},{:.1f}\n", month, rain < 1.0 ? 0.0 : rain,
                        wet_days, std::min(hottest_degC, mean + swing * season + day),
                        std::min(hottest_degC, mean + swing * season - day), spread_K, sun * (0.55 + 0.45 * season),
                        wind);
  }
}

// Leap days, clock changes of both halves of the earth, years' ends, centuries, the polar night.
constexpr std::array<std::string_view, 12> first_days{"2028-02-20", "2000-02-27", "2100-02-25", "2027-03-10",
                                                      "2027-03-27", "2027-10-28", "2027-04-01", "2026-12-20",
                                                      "2027-06-10", "2027-11-25", "1801-01-01", "2199-11-30"};

/// A policy of the library with some of its values changed, each at most once.
std::string policy(Dice& dice, int index) {
  static constexpr std::array<std::string_view, 25> bases{"weekly",
                                                          "fortnightly",
                                                          "by_season",
                                                          "by_temperature",
                                                          "by_class",
                                                          "adaptive",
                                                          "storm_watch",
                                                          "heavy_use",
                                                          "remote_watch",
                                                          "owner_helps",
                                                          "strips",
                                                          "meters",
                                                          "salt_by_display",
                                                          "calendar_output",
                                                          "clean_by_calendar",
                                                          "clean_by_hours",
                                                          "clean_by_voltage",
                                                          "clean_by_saturation",
                                                          "clean_first",
                                                          "never_clean",
                                                          "new_cell_in_advance",
                                                          "closes_by_date",
                                                          "closes_by_temperature",
                                                          "bypass_only",
                                                          "power_first"};
  static constexpr std::array<std::string_view, 34> changes{"visits.interval = \"0.5 d\"",
                                                            "visits.interval = \"3 d\"",
                                                            "visits.interval = \"30 d\"",
                                                            "visits.triggers.rain = \"10 mm\"",
                                                            "visits.triggers.heat = \"25 degC\"",
                                                            "visits.triggers.bathers = 3",
                                                            "visits.triggers.warning = true",
                                                            "visits.triggers.shortest_gap = \"1 d\"",
                                                            "visits.adaptive.shortest = \"2 d\"",
                                                            "visits.remote.every = \"1 d\"",
                                                            "visits.remote.set_output = true",
                                                            "tests.free_chlorine.method = \"none\"",
                                                            "tests.salt.method = \"strip\"",
                                                            "tests.adaptive.steady_readings = 2",
                                                            "dosing.ph.largest_acid = \"20 mg/L\"",
                                                            "dosing.salt.check = \"unit_display\"",
                                                            "dosing.salt.target = \"4 g/L\"",
                                                            "dosing.salt.largest_raise = \"3 g/L\"",
                                                            "production.rule = \"stepped\"",
                                                            "production.rule = \"kept\"",
                                                            "production.learn_pump_hours = true",
                                                            "upkeep.backwash_every = \"3 d\"",
                                                            "upkeep.backwash_after_rain = \"5 mm\"",
                                                            "upkeep.debris_every = \"never\"",
                                                            "cell.clean_at = \"dusting\"",
                                                            "cell.clean_every = \"5 d\"",
                                                            "cell.clean_every_operating = \"50 h\"",
                                                            "cell.clean_at_voltage_rise = \"1 %\"",
                                                            "cell.warning_order = \"clean_first\"",
                                                            "cell.replace_after_operating = \"100 h\"",
                                                            "year.closes = true",
                                                            "year.how = \"lower_level\"",
                                                            "people.call_chance_per_day = 1.0",
                                                            "people.cancellations = true"};
  std::map<std::string, std::string, std::less<>> values;
  for (int i = dice.whole(0, 6); i > 0; --i) {
    std::string const change(dice.of(changes));
    values[change.substr(0, change.find(' '))] = change;
  }
  std::string text = fmt::format("[policies.p{}]\nbase = \"{}\"\n", index, dice.of(bases));
  for (auto const& [key, value] : values) text += value + "\n";
  return text;
}

/// Takes back what was drawn of parameters that stand the wrong way round, which the reader refuses.
void put_in_order(std::map<std::string_view, double>& values) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 4> rising{
      {{"cell_cold_stop_K", "cell_cold_full_K"},
       {"cell_salt_stop_low_kg_per_m3", "cell_salt_stop_high_kg_per_m3"},
       {"scale_visible_kg_per_m2", "scale_flakes_kg_per_m2"},
       {"scale_flakes_kg_per_m2", "scale_bridged_kg_per_m2"}}};
  models::Parameters const usual;
  auto const value_of = [&](std::string_view name) {
    if (auto const found = values.find(name); found != values.end()) return found->second;
    auto const table = models::parameter_table();
    return usual.*std::find_if(table.begin(), table.end(), [&](auto const& row) { return row.name == name; })->member;
  };
  for (bool ordered = false; !ordered;) {
    ordered = true;
    for (auto const& [lower, upper] : rising) {
      if (value_of(lower) < value_of(upper)) continue;
      ordered = false;
      values.erase(lower);
      values.erase(upper);
    }
  }
}

/// A few parameters anywhere in what is accepted of them.
std::string model(Dice& dice) {
  std::map<std::string_view, double> values;
  auto const table = models::parameter_table();
  for (int i = dice.whole(0, 3); i > 0; --i) {
    auto const& parameter = dice.of(table);
    if (std::isfinite(parameter.lower) && std::isfinite(parameter.upper)) {
      values[parameter.name] = dice.between(parameter.lower, parameter.upper);
    }
  }
  put_in_order(values);
  if (auto const year = values.find("cyanurate_constants_year"); year != values.end()) {
    year->second = year->second < 1997.0 ? 1974.0 : 2019.0;
  }
  std::string text = "[model]\n";
  for (auto const& parameter : table) {
    auto const found = values.find(parameter.name);
    if (found == values.end()) continue;
    text += parameter.units == "1"
                ? fmt::format("{} = {:.9e}\n", parameter.name, found->second)
                : fmt::format("{} = \"{:.9e} {}\"\n", parameter.name, found->second, parameter.units);
  }
  return text;
}

}  // namespace

std::string random_scenario(std::uint64_t number, std::filesystem::path const& folder) {
  Dice dice(number);
  static constexpr std::array<int, 8> sizes{1, 1, 2, 3, 8, 17, 33, 40};
  static constexpr std::array<int, 7> lengths_d{1, 2, 3, 9, 20, 33, 60};
  static constexpr std::array<double, 8> latitudes{0.0, 28.2, 51.5, -34.0, 78.2, -77.8, 66.6, 84.9};
  static constexpr std::array<double, 4> longitudes{-93.0, 0.0, 179.999, -179.999};
  static constexpr std::array<std::string_view, 3> weeks{
      R"(["monday", "tuesday", "wednesday", "thursday", "friday"])", R"(["sunday"])",
      R"(["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"])"};
  int const pools = dice.of(sizes);
  double const latitude = dice.of(latitudes), longitude = dice.of(longitudes);
  std::string_view const first_day = dice.of(first_days);
  write_climate(dice, folder / "climate.csv", latitude < 0.0);
  std::string text = fmt::format("name = \"Random {0}\"\nseed = {0}\nreplicates = {1}\npolicy_library = [\"{2}\"]\n",
                                 number, dice.whole(1, 3), BRINECAST_SOURCE_DIR "/scenarios/policies/library.toml");
  text += fmt::format("[season]\nfirst_day = {}\ndays = {}\nutc_offset = \"{} h\"\n", first_day, dice.of(lengths_d),
                      std::lround(longitude / 15.0) + dice.whole(-2, 2));
  text += fmt::format(
      "[weather]\nkind = \"generated\"\nclimate_file = \"climate.csv\"\nrain_factor = {}\nwarming = \"{:.1f} K\"\n",
      dice.chance(0.2) ? 20.0 : dice.between(0.0, 2.0), dice.chance(0.2) ? dice.between(-20.0, 20.0) : 0.0);
  if (dice.chance(0.3)) {
    text += fmt::format("[[weather.storms]]\nday = {}\nrain = \"{:.0f} mm\"\nduration = \"{} h\"\n", first_day,
                        dice.between(1.0, 1900.0), dice.whole(1, 24));
  }
  if (dice.chance(0.3)) {
    text += fmt::format("[[weather.heat_waves]]\nfirst_day = {}\ndays = {}\nwarming = \"{:.0f} K\"\n", first_day,
                        dice.whole(1, 9), dice.between(-30.0, 30.0));
  }
  // A quote, a bracket and a letter beyond ASCII in every pool's name.
  text += fmt::format(
      "[fleet]\ncount = {}\nname_prefix = \"é<\\\"\"\nradius = \"{:.0f} m\"\ncentre = {{ longitude = {}, latitude = {} "
      "}}\n",
      pools, dice.between(1.0, 30000.0), longitude, latitude);
  text += fmt::format(
      "[fill_water.works]\nsalt = \"{:.0f} mg/L\"\ncalcium = \"{:.0f} mg/L\"\nalkalinity = \"{:.0f} mg/L\"\nph = "
      "{:.2f}\ntemperature = \"{:.0f} degC\"\n",
      dice.between(0.0, 3000.0), dice.between(0.0, 900.0), dice.between(0.0, 500.0), dice.between(6.0, 9.5),
      dice.between(1.0, 40.0));
  text += fmt::format("[depot]\nlongitude = {}\nlatitude = {}\n", longitude, latitude);
  for (int i = dice.whole(1, 3); i > 0; --i) {
    text += fmt::format("[[technicians]]\nname = \"Technician {}\"\nshift_length = \"{} h\"\npayload = \"{:.0f} kg\"\n",
                        i, dice.whole(1, 10), dice.between(10.0, 900.0));
  }
  text += fmt::format("[roads]\nkind = \"straight_line\"\n[rounds]\nworking_days = {}\nplanning_time = \"0 s\"\n",
                      dice.of(weeks));
  text += fmt::format("[supplies]\ncells_in_stock = {}\n", dice.whole(0, 3));
  text += model(dice);
  for (int i = dice.whole(1, 3); i > 0; --i) text += policy(dice, i);
  auto const digits = std::to_string(pools).size();
  text += "[outputs]\ntrace_pools = [";
  for (int i = 1; i <= pools; ++i) text += fmt::format("\"é<\\\" {:0{}}\", ", i, digits);
  text += "]\n";
  return text;
}

}  // namespace brinecast::tests
