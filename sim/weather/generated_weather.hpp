#pragma once
// Seasons that a generator makes.

#include "sim/weather/fit_generator.hpp"
#include "sim/weather/record.hpp"
#include "sim/weather/weather.hpp"

namespace brinecast::sim {

/// A generator and what it was made from: monthly figures or measured days.
struct OpenedGenerator {
  GeneratorModel model;
  ClimatePlace place;
  std::optional<ClimateTable> climate;
  std::optional<DaysOfWeather> days;
  std::vector<std::string> notes;
};

/// Reads the scenario's climate_file (monthly figures, or a record of at least a year to fit; sun, humidity and wind
/// that a daily record lacks are taken from hourly_file where there is one) and makes the generator. Empty with the
/// fault in `problems`.
std::optional<OpenedGenerator> open_generator(Scenario const& scenario, Problems& problems);

std::unique_ptr<WeatherSource> open_generated_weather(Scenario const& scenario, Problems& problems);

/// The hourly file of the scenario as a whole record (gaps filled and completed), its place taken over into `place`.
/// Empty with the fault in `problems`.
std::optional<HourlyRecord> open_hours(std::filesystem::path const& path, DailyRecord const* daily, ClimatePlace& place,
                                       std::vector<std::string>& notes, Problems& problems);

}  // namespace brinecast::sim
