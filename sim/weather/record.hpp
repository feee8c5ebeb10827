#pragma once
// What a weather file held, in SI and local standard time, before anything is filled or made up. NaN marks what is
// missing.

#include <array>
#include <chrono>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "sim/scenario/problems.hpp"
#include "sim/scenario/scenario.hpp"
#include "sim/weather/climate_table.hpp"
#include "sim/weather/day_of_weather.hpp"

namespace brinecast::sim {

/// Where a record was taken. What the file does not tell stays empty.
struct Station {
  std::string name;
  std::optional<Position> position;
  std::optional<double> elevation_m;
  std::optional<double> utc_offset_h;
};

/// Means over the hour that begins at the stamp; rain is its sum.
struct HourOfRecord {
  double air_temperature_K = missing;
  double dew_point_K = missing;
  double air_pressure_Pa = missing;
  double wind_speed_m_per_s = missing;
  double global_irradiance_W_per_m2 = missing;
  double diffuse_irradiance_W_per_m2 = missing;
  double rain_m = missing;
};

struct HourlyRecord {
  Station station;
  /// Typical years are laid over 2001, which has no leap day; the real years of their months are kept.
  bool typical_year = false;
  std::array<int, 12> real_year{};
  std::chrono::sys_days first_day{};
  std::vector<HourOfRecord> hours;  // whole days

  [[nodiscard]] std::size_t days() const { return hours.size() / 24; }
  [[nodiscard]] bool has_rain() const;
};

struct DayOfRecord {
  double rain_m = missing;
  double high_K = missing;
  double low_K = missing;
  double wind_speed_m_per_s = missing;
  double dew_point_K = missing;
  double global_irradiance_W_per_m2 = missing;
};

struct DailyRecord {
  Station station;
  std::chrono::sys_days first_day{};
  std::vector<DayOfRecord> days;

  [[nodiscard]] std::chrono::sys_days day(std::size_t index) const {
    return first_day + std::chrono::days(static_cast<int>(index));
  }
  [[nodiscard]] std::chrono::sys_days end() const { return day(days.size()); }
};

/// One of the three records, and what is to be told about it.
struct WeatherFile {
  std::string format;  // as people call it, "TMY3"
  std::optional<HourlyRecord> hourly;
  std::optional<DailyRecord> daily;
  std::optional<ClimateTable> climate;
  std::vector<std::string> notes;
};

/// Recognises the format by the content and reads the file; the first fault goes to `problems` and ends the reading.
/// Memory is bounded by two centuries of hours.
std::optional<WeatherFile> read_weather_file(std::filesystem::path const& path, Problems& problems);

}  // namespace brinecast::sim
