#pragma once
// What a weather source contains, month by month, and how a fitted generator's seasons stand beside it.

#include "sim/weather/weather.hpp"
#include "sim/weather/weather_statistics.hpp"

namespace brinecast::sim {

/// Means over the years but for the extremes. Hours and days that a source does not have are not counted.
struct MonthSummary {
  double years = 0.0;  // that have this month whole
  double rain_m = 0.0;
  double wet_days = 0.0;
  double longest_dry_spell_d = 0.0;  // within the month, of all years
  double mean_temperature_K = 0.0;
  double lowest_K = 0.0, highest_K = 0.0;
  double global_irradiance_W_per_m2 = 0.0;
  double wind_speed_m_per_s = 0.0;
  double freezing_hours = 0.0;
};

struct WeatherReport {
  std::string source;              // "GHCN-Daily, USW00012960" or the scenario's name
  std::vector<std::string> notes;  // traps, gaps, estimates
  std::array<MonthSummary, 12> months{};
  MonthSummary year;
  std::vector<Comparison> comparison;  // of 200 generated seasons with the source; empty when it cannot be
  std::string comparison_note;         // why it is empty, or how the bands are made
};

/// Where a file was measured, for files that do not tell.
struct ReportPlace {
  std::optional<double> latitude_deg, longitude_deg, utc_offset_h;
};

std::optional<WeatherReport> report_weather_file(std::filesystem::path const& path, ReportPlace const& place,
                                                 Problems& problems);

/// The seasons that the scenario would play: those of its first 40 replicates at its first site.
std::optional<WeatherReport> report_scenario_weather(Scenario const& scenario, Problems& problems);

}  // namespace brinecast::sim
