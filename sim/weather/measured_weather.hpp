#pragma once
// Seasons that were measured: the scenario's own dates where the record has them, else the record's years.

#include "sim/weather/record.hpp"
#include "sim/weather/site_field.hpp"
#include "sim/weather/weather.hpp"

namespace brinecast::sim {

/// Finds for each date of a season the day of a record that stands for it.
class YearsOfRecord {
 public:
  /// Days [first, first + count); a typical year stands for every year.
  YearsOfRecord(std::chrono::sys_days first, std::size_t count);

  /// Years in which the whole season (at most a year of it) lies within the record.
  [[nodiscard]] std::vector<int> starts(std::chrono::sys_days season_first, int days) const;
  /// Whether the record has every date of the season in some year.
  [[nodiscard]] bool covers(std::chrono::sys_days season_first, int days) const;
  /// Index of the record's day for `date` moved by `years`: 29 February becomes the 28th where there is none, and a
  /// date outside the record is taken from the nearest year that has it.
  [[nodiscard]] std::size_t day_for(std::chrono::sys_days date, int years) const;
  /// The season's own year, or the record's year nearest to it.
  [[nodiscard]] int nearest_year(std::chrono::sys_days season_first) const;
  [[nodiscard]] bool contains(std::chrono::sys_days season_first, int days) const;

 private:
  std::chrono::sys_days first_;
  std::size_t count_;
};

/// Reads and checks the scenario's files for weather of kind measured or resampled.
std::unique_ptr<WeatherSource> open_measured_weather(Scenario const& scenario, Problems& problems);

}  // namespace brinecast::sim
