#include "sim/weather/measured_weather.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "models/sun/irradiance.hpp"
#include "sim/weather/complete_days.hpp"
#include "sim/weather/fill_gaps.hpp"
#include "sim/weather/generated_weather.hpp"
#include "sim/weather/hours_of_day.hpp"
#include "sim/weather/sun_of_day.hpp"
#include "sim/weather/what_if.hpp"

namespace brinecast::sim {

namespace {

using std::chrono::sys_days;

/// The same date `years` later; 29 February becomes the 28th where there is none.
sys_days moved_by_years(sys_days day, int years) {
  std::chrono::year_month_day date{day};
  date += std::chrono::years(years);
  return date.ok() ? sys_days{date} : sys_days{date.year() / date.month() / std::chrono::last};
}

/// Share of the sunlight of a record's first year that falls into the dark, an hour beside the day left out, since
/// hours are stamped at their start or end.
double share_of_sun_at_night(HourlyRecord const& record, Position const& position, double utc_offset_h) {
  double sum = 0.0, at_night = 0.0;
  for (std::size_t d = 0; d < std::min<std::size_t>(record.days(), 366); ++d) {
    DayOfSun const sun = sun_of_day(position, utc_offset_h, record.first_day + std::chrono::days(static_cast<int>(d)));
    for (std::size_t h = 0; h < 24; ++h) {
      double const global_W_per_m2 = record.hours[24 * d + h].global_irradiance_W_per_m2;
      sum += global_W_per_m2;
      bool dark = true;
      for (std::size_t const near : {(h + 23) % 24, h, (h + 1) % 24})
        dark = dark && sun.hours[near].daylit_share == 0.0;
      if (dark) at_night += global_W_per_m2;
    }
  }
  return sum > 0.0 ? at_night / sum : 0.0;
}

class MeasuredWeather : public WeatherSource {
 public:
  struct Parts {
    std::optional<HourlyRecord> hours;  // whole
    std::optional<DaysOfWeather> days;  // whole; only their rain counts where there are hours
    double utc_offset_h = 0.0;          // of the hours
    double elevation_m = 0.0;
    std::vector<std::string> notes;
  };

  MeasuredWeather(Scenario const& scenario, Parts parts)
      : spec_(scenario.weather),
        sites_(scenario.sites),
        utc_offset_h_(scenario.season.utc_offset_h),
        field_(scenario.sites, scenario.weather.correlation_length_m),
        parts_(std::move(parts)) {
    if (parts_.hours) hour_years_.emplace(parts_.hours->first_day, parts_.hours->days());
    if (parts_.days) day_years_.emplace(parts_.days->first_day, parts_.days->days.size());
  }

  [[nodiscard]] WeatherSeason season(std::uint64_t seed, std::uint32_t replicate, SiteId site, sys_days first_day,
                                     int days) const override {
    GeneratedPlace const place{seed, replicate, site};
    int const years = years_moved(place, first_day, days);
    WeatherSeason made =
        parts_.hours ? season_of_hours(place, first_day, days, years) : season_of_days(place, first_day, days, years);
    move_to_height(made, sites_[index_of(site)].elevation_m - parts_.elevation_m);
    bend_season(made, first_day, spec_);
    return made;
  }
  [[nodiscard]] std::vector<std::string> notes() const override { return parts_.notes; }

 private:
  /// How many years later than the season the measured year lies.
  [[nodiscard]] int years_moved(GeneratedPlace const& place, sys_days first_day, int days) const {
    YearsOfRecord const& record = day_years_ ? *day_years_ : *hour_years_;
    bool const own_dates = spec_.kind == WeatherKind::measured && record.contains(first_day, days);
    if (own_dates) return 0;
    int const year = static_cast<int>(std::chrono::year_month_day{first_day}.year());
    auto const starts = record.starts(first_day, days);
    if (starts.empty()) return record.nearest_year(first_day) - year;
    std::size_t chosen = place.replicate % starts.size();
    if (spec_.kind == WeatherKind::resampled) {
      double const u =
          uniform_draw({.seed = place.seed, .replicate = place.replicate, .purpose = Purpose::weather_year});
      chosen = static_cast<std::size_t>(u * static_cast<double>(starts.size()));
    }
    return starts[chosen] - year;
  }

  [[nodiscard]] WeatherSeason season_of_days(GeneratedPlace const& place, sys_days first_day, int days,
                                             int years) const {
    DaysOfWeather taken{first_day - std::chrono::days(1), {}};
    for (int d = -1; d <= days; ++d) {
      taken.days.push_back(parts_.days->days[day_years_->day_for(first_day + std::chrono::days(d), years)]);
    }
    return hours_of_days(taken, {sites_[index_of(place.site)].position, utc_offset_h_}, field_, place);
  }

  [[nodiscard]] WeatherSeason season_of_hours(GeneratedPlace const& place, sys_days first_day, int days,
                                              int years) const {
    HourlyRecord const& record = *parts_.hours;
    auto const& position = sites_[index_of(place.site)].position;
    // The station's clock may be another than the scenario's.
    auto const later = static_cast<std::ptrdiff_t>(std::lround(parts_.utc_offset_h - utc_offset_h_));
    WeatherSeason made;
    made.reserve(24 * static_cast<std::size_t>(days));
    for (int d = 0; d < days; ++d) {
      auto const date = first_day + std::chrono::days(d);
      DayOfSun const sun = sun_of_day(position, utc_offset_h_, date);
      std::size_t const first_hour = 24 * hour_years_->day_for(date, years);
      std::array<double, 24> rain{};
      for (std::size_t h = 0; h < 24; ++h) {
        auto const count = std::ssize(record.hours);
        auto const at = static_cast<std::size_t>((static_cast<std::ptrdiff_t>(first_hour + h) + later + count) % count);
        HourOfRecord const& from = record.hours[at];
        HourOfSun const& in_sky = sun.hours[h];
        double const clear = in_sky.clear_sky_W_per_m2;
        // Near the horizon the ratio to a clear sky says nothing: the last cover stands through the night.
        double const last_cover = made.empty() ? 0.5 : made.back().cloud_fraction;
        made.push_back({.air_temperature_K = from.air_temperature_K,
                        .dew_point_K = from.dew_point_K,
                        .air_pressure_Pa = from.air_pressure_Pa,
                        .wind_speed_m_per_s = from.wind_speed_m_per_s,
                        .global_irradiance_W_per_m2 = from.global_irradiance_W_per_m2,
                        .diffuse_irradiance_W_per_m2 = from.diffuse_irradiance_W_per_m2,
                        .cos_zenith = in_sky.cos_zenith,
                        .cloud_fraction = clear > 50.0 ? models::cloud_fraction_from_transmission(
                                                             from.global_irradiance_W_per_m2 / clear)
                                                       : last_cover,
                        .rain_m = std::isnan(from.rain_m) ? 0.0 : from.rain_m});
        rain[h] = made.back().rain_m;
      }
      if (parts_.days) set_rain(made, rain, place, date, years);
    }
    return made;
  }

  /// The daily record's rain, in the hours in which the hourly file has rain that day, or in storms.
  void set_rain(WeatherSeason& season, std::array<double, 24> rain, GeneratedPlace const& place, sys_days date,
                int years) const {
    DayOfWeather const& day = parts_.days->days[day_years_->day_for(date, years)];
    double sum = 0.0;
    for (double const hour : rain) sum += hour;
    if (sum > 0.0) {
      for (double& hour : rain) hour *= day.rain_m / sum;
    } else {
      rain = storms_of_day(day.rain_m, day.mean_temperature_K, field_, place, date);
    }
    for (std::size_t h = 0; h < 24; ++h) season[season.size() - 24 + h].rain_m = rain[h];
  }

  WeatherSpec spec_;
  std::vector<Site> sites_;
  double utc_offset_h_;
  SiteField field_;
  Parts parts_;
  std::optional<YearsOfRecord> hour_years_, day_years_;
};

}  // namespace

YearsOfRecord::YearsOfRecord(sys_days first, std::size_t count) : first_(first), count_(count) {}

bool YearsOfRecord::contains(sys_days season_first, int days) const {
  auto const offset = (season_first - first_).count();
  return offset >= 0 && offset + days <= static_cast<std::ptrdiff_t>(count_);
}

int YearsOfRecord::nearest_year(sys_days season_first) const {
  int const wanted = static_cast<int>(std::chrono::year_month_day{season_first}.year());
  int const from = static_cast<int>(std::chrono::year_month_day{first_}.year());
  int const to =
      static_cast<int>(std::chrono::year_month_day{first_ + std::chrono::days(static_cast<int>(count_) - 1)}.year());
  return std::clamp(wanted, from, to);
}

std::vector<int> YearsOfRecord::starts(sys_days season_first, int days) const {
  std::vector<int> found;
  int const wanted = static_cast<int>(std::chrono::year_month_day{season_first}.year());
  int const from = static_cast<int>(std::chrono::year_month_day{first_}.year());
  for (int year = from; year <= from + static_cast<int>(count_ / 365) + 1; ++year) {
    auto const start = moved_by_years(season_first, year - wanted);
    // A season of several years needs only its first to lie within: the record is taken again from where it begins.
    if (contains(start, std::min(days, 365))) found.push_back(year);
  }
  return found;
}

std::size_t YearsOfRecord::day_for(sys_days date, int years) const {
  for (int distance = 0; distance < 400; ++distance) {
    for (int const sign : {1, -1}) {
      auto const offset = (moved_by_years(date, years + sign * distance) - first_).count();
      if (offset >= 0 && offset < static_cast<std::ptrdiff_t>(count_)) return static_cast<std::size_t>(offset);
    }
  }
  return 0;
}

bool YearsOfRecord::covers(sys_days season_first, int days) const {
  for (int d = 0; d < std::min(days, 366); ++d) {
    auto const date = season_first + std::chrono::days(d);
    std::chrono::year_month_day const wanted{date};
    auto const found = std::chrono::year_month_day{first_ + std::chrono::days(static_cast<int>(day_for(date, 0)))};
    bool const leap_day = wanted.month() == std::chrono::February && wanted.day() == std::chrono::day{29};
    auto const day = leap_day && found.day() != wanted.day() ? std::chrono::day{28} : wanted.day();
    if (found.month() != wanted.month() || found.day() != day) return false;
  }
  return true;
}

std::unique_ptr<WeatherSource> open_measured_weather(Scenario const& scenario, Problems& problems) {
  WeatherSpec const& spec = scenario.weather;
  auto const wrong_kind = [&](std::filesystem::path const& path, std::string message) {
    problems.add({path.string(), 0, 0, "", std::move(message)});
    return nullptr;
  };
  MeasuredWeather::Parts parts;
  Site const& site = scenario.sites.front();
  ClimatePlace place{site.position, site.elevation_m, scenario.season.utc_offset_h};

  std::optional<WeatherFile> daily;
  if (!spec.daily_file.empty()) {
    daily = read_weather_file(spec.daily_file, problems);
    if (!daily) return nullptr;
    if (!daily->daily)
      return wrong_kind(
          spec.daily_file,
          fmt::format("this is {}, not a daily record; name a daily record or use another key", daily->format));
  }
  if (!spec.hourly_file.empty()) {
    parts.hours = open_hours(spec.hourly_file, daily ? &*daily->daily : nullptr, place, parts.notes, problems);
    if (!parts.hours) return nullptr;
  }
  if (parts.hours) {
    constexpr double most_at_night = 0.01;  // twilight and faults of instruments; assumption, no source
    double const at_night = share_of_sun_at_night(*parts.hours, place.position, place.utc_offset_h);
    if (at_night > most_at_night) {
      parts.notes.push_back(
          fmt::format("{}: {:.0f} % of its sunlight falls into the night at UTC{:+g} h; check the "
                      "clock of the file and utc_offset",
                      spec.hourly_file.filename().string(), 100.0 * at_night, place.utc_offset_h));
    }
  }
  parts.utc_offset_h = place.utc_offset_h;
  parts.elevation_m = place.elevation_m;
  if (daily) {
    DailyRecord& record = *daily->daily;
    fill_gaps(record, daily->notes);
    bool const cold = std::any_of(record.days.begin(), record.days.end(), [](DayOfRecord const& day) {
      return std::isnan(day.high_K) || std::isnan(day.low_K);
    });
    if (cold && !parts.hours)
      return wrong_kind(spec.daily_file,
                        "the record lacks temperatures that cannot be filled; name an hourly file as well");
    HourlyRecord const* const companion = parts.hours ? &*parts.hours : nullptr;
    // Beside measured hours only the rain of the days counts, so that nothing else needs to be told.
    std::vector<std::string> completion;
    bool const own_hours = spec.kind == WeatherKind::measured && companion != nullptr;
    parts.days = complete_days(record, companion, place, completion);
    if (!own_hours) {
      daily->notes.insert(daily->notes.end(), completion.begin(), completion.end());
      parts.hours.reset();
    }
    for (auto const& note : daily->notes) parts.notes.push_back(spec.daily_file.filename().string() + ": " + note);
  }
  Season const& season = scenario.season;
  for (auto const& [first, count, path] : {std::tuple{parts.days ? parts.days->first_day : sys_days{},
                                                      parts.days ? parts.days->days.size() : 0, spec.daily_file},
                                           std::tuple{parts.hours ? parts.hours->first_day : sys_days{},
                                                      parts.hours ? parts.hours->days() : 0, spec.hourly_file}}) {
    if (count > 0 && !YearsOfRecord(first, count).covers(season.first_day, season.days)) {
      return wrong_kind(path, "the record has not every date of the season in any year; name a longer record");
    }
  }
  return std::make_unique<MeasuredWeather>(scenario, std::move(parts));
}

}  // namespace brinecast::sim
