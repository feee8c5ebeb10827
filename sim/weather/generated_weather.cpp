#include "sim/weather/generated_weather.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/weather/complete_days.hpp"
#include "sim/weather/complete_hours.hpp"
#include "sim/weather/fill_gaps.hpp"
#include "sim/weather/hours_of_day.hpp"
#include "sim/weather/what_if.hpp"

namespace brinecast::sim {

namespace {

class GeneratedWeather : public WeatherSource {
 public:
  GeneratedWeather(Scenario const& scenario, OpenedGenerator opened)
      : spec_(scenario.weather),
        sites_(scenario.sites),
        utc_offset_h_(scenario.season.utc_offset_h),
        field_(scenario.sites, scenario.weather.correlation_length_m),
        opened_(std::move(opened)) {}

  [[nodiscard]] WeatherSeason season(std::uint64_t seed, std::uint32_t replicate, SiteId site,
                                     std::chrono::sys_days first_day, int days) const override {
    GeneratedPlace const place{seed, replicate, site};
    Site const& where = sites_[index_of(site)];
    // A day more at both ends: the hours lean on the days before and after.
    auto const made = generate_days(opened_.model, field_, place, first_day - std::chrono::days(1), days + 2);
    WeatherSeason season = hours_of_days(made, {where.position, utc_offset_h_}, field_, place);
    move_to_height(season, where.elevation_m - opened_.place.elevation_m);
    bend_season(season, first_day, spec_);
    return season;
  }
  [[nodiscard]] std::vector<std::string> notes() const override { return opened_.notes; }

 private:
  WeatherSpec spec_;
  std::vector<Site> sites_;
  double utc_offset_h_;
  SiteField field_;
  OpenedGenerator opened_;
};

}  // namespace

std::optional<HourlyRecord> open_hours(std::filesystem::path const& path, DailyRecord const* daily, ClimatePlace& place,
                                       std::vector<std::string>& notes, Problems& problems) {
  auto const fault = [&](std::string message) {
    problems.add({path.string(), 0, 0, "", std::move(message)});
    return std::nullopt;
  };
  auto file = read_weather_file(path, problems);
  if (!file) return std::nullopt;
  if (!file->hourly)
    return fault(fmt::format("this is {}, not an hourly record; name an hourly file or use another key", file->format));
  HourlyRecord& record = *file->hourly;
  if (record.station.position) place.position = *record.station.position;
  place.elevation_m = record.station.elevation_m.value_or(place.elevation_m);
  place.utc_offset_h = record.station.utc_offset_h.value_or(place.utc_offset_h);
  fill_gaps(record, file->notes);
  if (std::any_of(record.hours.begin(), record.hours.end(),
                  [](HourOfRecord const& hour) { return std::isnan(hour.air_temperature_K); })) {
    return fault("the air temperature is missing, or has gaps of more than 60 days; name a file that has it");
  }
  if (daily != nullptr) check_rain(record, *daily, file->notes);
  complete_hours(record, place, file->notes);
  if (!record.has_rain()) {
    file->notes.push_back(
        daily != nullptr
            ? "the file has no rain; it is taken from the daily record"
            : "the file has no rain, so no rain will dilute the water; name a daily record of rain as well");
  }
  for (auto const& note : file->notes) notes.push_back(path.filename().string() + ": " + note);
  return std::move(record);
}

std::optional<OpenedGenerator> open_generator(Scenario const& scenario, Problems& problems) {
  WeatherSpec const& spec = scenario.weather;
  auto const fault = [&](std::string message) {
    problems.add({spec.climate_file.string(), 0, 0, "", std::move(message)});
    return std::nullopt;
  };
  Site const& site = scenario.sites.front();
  OpenedGenerator opened{{}, {site.position, site.elevation_m, scenario.season.utc_offset_h}, {}, {}, {}};
  auto file = read_weather_file(spec.climate_file, problems);
  if (!file) return std::nullopt;
  if (file->climate) {
    opened.climate = *file->climate;
    opened.model = generator_from_climate(*opened.climate, opened.place);
    return opened;
  }
  auto const keep_notes = [&] {
    for (auto const& note : file->notes) opened.notes.push_back(spec.climate_file.filename().string() + ": " + note);
  };
  if (file->hourly) {
    auto const record = open_hours(spec.climate_file, nullptr, opened.place, opened.notes, problems);
    if (!record) return std::nullopt;
    if (!record->has_rain())
      return fault(
          "the file has no rain to fit a generator to; name a daily record as climate_file and this file as "
          "hourly_file");
    opened.days = days_of_hours(*record, opened.place);
  } else {
    std::optional<HourlyRecord> companion;
    if (!spec.hourly_file.empty()) {
      companion = open_hours(spec.hourly_file, &*file->daily, opened.place, opened.notes, problems);
      if (!companion) return std::nullopt;
    }
    fill_gaps(*file->daily, file->notes);
    auto const& days = file->daily->days;
    if (std::none_of(days.begin(), days.end(), [](DayOfRecord const& day) { return !std::isnan(day.rain_m); })) {
      return fault("the record has no rain to fit a generator to; name one that has");
    }
    if (!companion && std::any_of(days.begin(), days.end(), [](DayOfRecord const& day) {
          return std::isnan(day.high_K) || std::isnan(day.low_K);
        })) {
      return fault("the record lacks temperatures that cannot be filled; name an hourly file as well");
    }
    opened.days = complete_days(*file->daily, companion ? &*companion : nullptr, opened.place, file->notes);
    keep_notes();
  }
  if (opened.days->days.size() < 365) {
    return fault(fmt::format("the record has {} days, a generator needs at least a year; name a longer record",
                             opened.days->days.size()));
  }
  opened.model = generator_from_days(*opened.days);
  if (opened.days->days.size() < 3 * 365) {
    opened.notes.push_back(spec.climate_file.filename().string() +
                           ": fewer than three years tell little of how years differ; a longer record plans better");
  }
  return opened;
}

std::unique_ptr<WeatherSource> open_generated_weather(Scenario const& scenario, Problems& problems) {
  auto opened = open_generator(scenario, problems);
  if (!opened) return nullptr;
  return std::make_unique<GeneratedWeather>(scenario, std::move(*opened));
}

}  // namespace brinecast::sim
