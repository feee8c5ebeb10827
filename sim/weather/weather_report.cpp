#include "sim/weather/weather_report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "models/constants.hpp"
#include "sim/weather/generated_weather.hpp"

namespace brinecast::sim {

namespace {

using std::chrono::sys_days;

/// Adds up hours and makes means of them.
class Summing {
 public:
  void add(WeatherSeason const& season, sys_days first_day) {
    int dry_spell = 0, dry_of_year = 0;
    std::size_t previous_month = 12;
    for (std::size_t d = 0; d < season.size() / 24; ++d) {
      std::size_t const m = day_in_year(first_day + std::chrono::days(static_cast<int>(d))).month;
      if (m != previous_month) dry_spell = 0;
      previous_month = m;
      Sums& sums = sums_[m];
      double rain = 0.0;
      for (std::size_t h = 24 * d; h < 24 * d + 24; ++h) {
        HourOfWeather const& hour = season[h];
        rain += hour.rain_m;
        sums.temperature += hour.air_temperature_K;
        sums.sun += hour.global_irradiance_W_per_m2;
        sums.wind += hour.wind_speed_m_per_s;
        sums.lowest = std::min(sums.lowest, hour.air_temperature_K);
        sums.highest = std::max(sums.highest, hour.air_temperature_K);
        sums.freezing += hour.air_temperature_K < models::celsius_zero_K ? 1.0 : 0.0;
      }
      sums.days += 1.0;
      sums.rain += rain;
      bool const wet = rain >= wet_day_rain_m;
      sums.wet += wet ? 1.0 : 0.0;
      dry_spell = wet ? 0 : dry_spell + 1;
      dry_of_year = wet ? 0 : dry_of_year + 1;
      sums.dry_spell = std::max(sums.dry_spell, dry_spell);
      longest_dry_spell_ = std::max(longest_dry_spell_, dry_of_year);
    }
  }

  void finish(WeatherReport& report) const {
    constexpr std::array<double, 12> lengths{31, 28.2425, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    Sums all;
    double season_length_d = 0.0;
    for (std::size_t m = 0; m < 12; ++m) {
      report.months[m] = means_of(sums_[m], lengths[m]);
      if (sums_[m].days > 0.0) season_length_d += lengths[m];
      all.add(sums_[m]);
    }
    report.year = means_of(all, season_length_d);
    report.year.longest_dry_spell_d = longest_dry_spell_;
  }

 private:
  struct Sums {
    double days = 0.0, rain = 0.0, wet = 0.0, temperature = 0.0, sun = 0.0, wind = 0.0, freezing = 0.0;
    double lowest = 1e9, highest = 0.0;
    int dry_spell = 0;

    void add(Sums const& other) {
      days += other.days;
      rain += other.rain;
      wet += other.wet;
      temperature += other.temperature;
      sun += other.sun;
      wind += other.wind;
      freezing += other.freezing;
      lowest = std::min(lowest, other.lowest);
      highest = std::max(highest, other.highest);
    }
  };

  static MonthSummary means_of(Sums const& sums, double length_d) {
    if (sums.days <= 0.0) return {};
    double const years = sums.days / length_d, hours = 24.0 * sums.days;
    return {.years = years,
            .rain_m = sums.rain / years,
            .wet_days = sums.wet / years,
            .longest_dry_spell_d = static_cast<double>(sums.dry_spell),
            .mean_temperature_K = sums.temperature / hours,
            .lowest_K = sums.lowest,
            .highest_K = sums.highest,
            .global_irradiance_W_per_m2 = sums.sun / hours,
            .wind_speed_m_per_s = sums.wind / hours,
            .freezing_hours = sums.freezing / years};
  }

  std::array<Sums, 12> sums_{};
  int longest_dry_spell_ = 0;
};

/// 200 whole years; bands need no site.
std::vector<YearOfDays> generated_years(GeneratorModel const& model, SeasonalCurve const& normal_K) {
  constexpr std::uint32_t seasons = 200;
  SiteField const one_site({}, 1.0);
  std::vector<YearOfDays> years;
  for (std::uint32_t r = 0; r < seasons; ++r) {
    auto const days =
        generate_days(model, one_site, {.seed = 1, .replicate = r}, sys_days{std::chrono::year{2001} / 1 / 1}, 365);
    years.push_back(years_of_days(days, normal_K).front());
  }
  return years;
}

/// The hottest and the coldest day of generated years, for a table that has none of its own.
std::string reach_of(std::vector<YearOfDays> const& years) {
  // 10 July 1913, Furnace Creek, and 21 July 1983, Vostok: World Meteorological Organization, archive of weather
  // extremes.
  constexpr double hottest_on_Earth_degC = 56.7, coldest_on_Earth_degC = -89.2;
  double highest_K = 0.0, lowest_K = 1e9;
  for (auto const& year : years) {
    highest_K = std::max(highest_K, year.highest_K);
    lowest_K = std::min(lowest_K, year.lowest_K);
  }
  double const highest = highest_K - models::celsius_zero_K, lowest = lowest_K - models::celsius_zero_K;
  bool const possible = highest <= hottest_on_Earth_degC && lowest >= coldest_on_Earth_degC;
  return fmt::format(
      "; the 200 years reach from {:.1f} to {:.1f} degC, which {} ({:.1f} to {:.1f} degC); give the table the columns "
      "highest and lowest, and each month's are set beside them",
      lowest, highest, possible ? "lies within what was measured on Earth" : "was NEVER measured on Earth",
      coldest_on_Earth_degC, hottest_on_Earth_degC);
}

void compare(OpenedGenerator const& opened, WeatherReport& report) {
  if (opened.days) {
    SeasonalCurve const normal_K = normal_temperature(*opened.days);
    auto const source = years_of_days(*opened.days, normal_K);
    if (source.empty()) {
      report.comparison_note = "no whole calendar year to compare with";
      return;
    }
    report.comparison = compare_years(source, generated_years(opened.model, normal_K), {});
    report.comparison_note = fmt::format(
        "200 generated years beside the source's {}; bands: two standard errors for monthly rain, else 3.3 standard "
        "errors of the "
        "figure over as many years (by resampling), which a right generator leaves in 1 of 1000 cases",
        source.size());
  } else if (opened.climate) {
    std::array<double, 12> means{};
    bool has_extremes = true;
    for (std::size_t m = 0; m < 12; ++m) {
      ClimateMonth const& month = (*opened.climate)[m];
      means[m] = 0.5 * (month.high_K + month.low_K);
      has_extremes = has_extremes && !std::isnan(month.highest_K) && !std::isnan(month.lowest_K);
    }
    auto const years = generated_years(opened.model, SeasonalCurve(means));
    report.comparison = compare_with_climate(*opened.climate, years);
    report.comparison_note =
        "200 generated years beside the monthly figures; bands: 3.3 standard errors of the mean of the 200 years, for "
        "the highest and lowest of 20 years 3.3 standard deviations from one 20 years to another";
    if (!has_extremes) report.comparison_note += reach_of(years);
  }
}

}  // namespace

std::optional<WeatherReport> report_weather_file(std::filesystem::path const& path, ReportPlace const& place,
                                                 Problems& problems) {
  auto const file = read_weather_file(path, problems);
  if (!file) return std::nullopt;
  WeatherReport report;
  // A scenario that plays the file as it is: its own first day, at its own station.
  Scenario scenario;
  Site site;
  Station station;
  std::size_t days = 365;
  scenario.season.first_day = sys_days{std::chrono::year{2001} / 1 / 1};
  if (file->hourly) {
    station = file->hourly->station;
    scenario.weather.hourly_file = path;
    scenario.season.first_day = file->hourly->first_day;
    days = file->hourly->days();
  } else if (file->daily) {
    station = file->daily->station;
    scenario.weather.daily_file = path;
    scenario.season.first_day = file->daily->first_day;
    days = file->daily->days.size();
  }
  constexpr double assumed_latitude_deg = 35.0;
  if (!station.position && !place.latitude_deg) {
    report.notes.push_back(
        fmt::format("the file does not tell where it is from: the sun is reckoned for {:.0f} degrees north; give "
                    "--latitude and --longitude",
                    assumed_latitude_deg));
  }
  site.position = station.position.value_or(Position{0.0, assumed_latitude_deg});
  site.position.latitude_deg = place.latitude_deg.value_or(site.position.latitude_deg);
  site.position.longitude_deg = place.longitude_deg.value_or(site.position.longitude_deg);
  site.elevation_m = station.elevation_m.value_or(0.0);
  scenario.sites = {site};
  scenario.season.utc_offset_h =
      place.utc_offset_h.value_or(station.utc_offset_h.value_or(std::round(site.position.longitude_deg / 15.0)));
  scenario.season.days = static_cast<int>(days);
  scenario.weather.climate_file = path;
  scenario.weather.kind = file->climate ? WeatherKind::generated : WeatherKind::measured;
  auto const source = open_weather(scenario, problems);
  if (!source) return std::nullopt;
  report.source = file->format + (station.name.empty() ? "" : ", " + station.name);
  for (auto const& note : source->notes()) report.notes.push_back(note);
  Summing summing;
  for (std::uint32_t replicate = 0; replicate < (file->climate ? 40U : 1U); ++replicate) {
    summing.add(source->season(1, replicate, SiteId{0}, scenario.season.first_day, scenario.season.days),
                scenario.season.first_day);
  }
  summing.finish(report);
  bool const one_year = file->hourly && file->hourly->days() < 2 * 365;
  if (one_year) {
    report.comparison_note = "a single year tells nothing of how years differ: no generator is fitted to it alone";
  } else {
    Problems why_not;
    scenario.weather.hourly_file.clear();
    auto const opened = open_generator(scenario, why_not);
    if (opened) {
      compare(*opened, report);
    } else {
      report.comparison_note = why_not.all().front().message;
    }
  }
  return report;
}

std::optional<WeatherReport> report_scenario_weather(Scenario const& scenario, Problems& problems) {
  auto const source = open_weather(scenario, problems);
  if (!source) return std::nullopt;
  WeatherReport report;
  report.source = scenario.name;
  report.notes = source->notes();
  Summing summing;
  for (std::uint32_t replicate = 0; replicate < 40; ++replicate) {
    summing.add(source->season(scenario.seed, replicate, SiteId{0}, scenario.season.first_day, scenario.season.days),
                scenario.season.first_day);
  }
  summing.finish(report);
  if (scenario.weather.kind == WeatherKind::generated) {
    auto const opened = open_generator(scenario, problems);
    if (!opened) return std::nullopt;
    compare(*opened, report);
  } else {
    report.comparison_note = "measured weather is played as it was: no generator stands beside it";
  }
  return report;
}

}  // namespace brinecast::sim
