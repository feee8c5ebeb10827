// Seasons and reports of records that are made up: what a record gives counts before what is estimated.

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>

#include "records.hpp"
#include "sim/weather/complete_hours.hpp"
#include "sim/weather/measured_weather.hpp"
#include "sim/weather/weather_report.hpp"

using namespace brinecast::sim;
using namespace brinecast::tests;

namespace {

/// A table of `count` days from `first`, each followed by `row`.
std::string table_of_days(std::chrono::sys_days first, int count, std::string const& header,
                          std::function<std::string(int)> const& row) {
  std::string text = header + "\n";
  for (int d = 0; d < count; ++d) {
    std::chrono::year_month_day const day{first + std::chrono::days(d)};
    text += fmt::format("{}-{:02}-{:02}{}\n", static_cast<int>(day.year()), static_cast<unsigned>(day.month()),
                        static_cast<unsigned>(day.day()), row(d));
  }
  return text;
}

/// A table of the hours of `days` days from 2021-01-01: a fixed warmth by the hour, rain from 06:00 to 08:00 every
/// fourth day.
std::string table_of_hours(int days) {
  std::string text = "time,temperature [degC],rain [mm]\n";
  for (int h = 0; h < 24 * days; ++h) {
    std::chrono::year_month_day const day{date(2021, 1, 1) + std::chrono::days(h / 24)};
    bool const wet = h / 24 % 4 == 0 && (h % 24 == 6 || h % 24 == 7);
    text +=
        fmt::format("{}-{:02}-{:02}T{:02}:00,{},{}\n", static_cast<int>(day.year()), static_cast<unsigned>(day.month()),
                    static_cast<unsigned>(day.day()), h % 24, 10 + h % 24 / 2, wet ? (h % 24 == 6 ? 1 : 3) : 0);
  }
  return text;
}

WeatherSeason season_of(Scenario const& scenario, std::vector<std::string>* notes = nullptr) {
  Problems problems;
  auto const source = open_weather(scenario, problems);
  INFO(problems.text());
  REQUIRE(source);
  if (notes != nullptr) *notes = source->notes();
  return source->season(1, 0, SiteId{0}, scenario.season.first_day, scenario.season.days);
}

double rain_of_day_m(WeatherSeason const& season, std::size_t day) {
  double sum = 0.0;
  for (std::size_t h = 24 * day; h < 24 * day + 24; ++h) sum += season[h].rain_m;
  return sum;
}

WeatherReport report_of(std::filesystem::path const& path, ReportPlace const& place = {}) {
  Problems problems;
  auto report = report_weather_file(path, place, problems);
  INFO(problems.text());
  REQUIRE(report.has_value());
  return *report;
}

}  // namespace

TEST_CASE("a year that begins in February plays its dates in any season", "[sim][weather][unit]") {
  TemporaryFile const file("february.csv", table_of_days(date(2021, 2, 1), 365, "date,rain [mm],high [degC],low [degC]",
                                                         [](int d) { return fmt::format(",{},20,10", d % 50); }));
  auto scenario = valley_scenario();
  scenario.weather = {};
  scenario.weather.kind = WeatherKind::measured;
  scenario.weather.daily_file = file.path();
  auto const season = season_of(scenario);
  // 1 February 2031 is day 0 of the record, 1 January 2031 its day 334.
  CHECK(rain_of_day_m(season, 31 + 7) == Approx(0.007));
  CHECK(rain_of_day_m(season, 0) == Approx(334 % 50 * 1e-3));
}

TEST_CASE("measured hours keep their shape and take the amount of the daily record", "[sim][weather][unit]") {
  TemporaryFile const hours("hours.csv", table_of_hours(365));
  TemporaryFile const days("days.csv", table_of_days(date(2021, 1, 1), 365, "date,rain [mm],high [degC],low [degC]",
                                                     [](int d) { return d % 4 == 0 ? ",4.2,21,10" : ",0,21,10"; }));
  auto scenario = valley_scenario();
  scenario.weather = {};
  scenario.weather.kind = WeatherKind::measured;
  scenario.weather.hourly_file = hours.path();
  scenario.weather.daily_file = days.path();
  scenario.season.first_day = date(2021, 1, 1);
  auto const season = season_of(scenario);
  CHECK(season[6].rain_m == Approx(0.0042 / 4));
  CHECK(season[7].rain_m == Approx(0.0042 * 3 / 4));
  CHECK(rain_of_day_m(season, 1) == 0.0);
  CHECK(season[24 * 10 + 20].air_temperature_K == Approx(273.15 + 20.0));
}

TEST_CASE("hours measured in another unit than their header says show beside a daily record", "[sim][weather][unit]") {
  HourlyRecord hours;
  hours.first_day = date(2021, 1, 1);
  hours.hours.resize(24 * 730);
  for (std::size_t h = 0; h < hours.hours.size(); ++h) hours.hours[h].rain_m = h % 96 == 6 ? 0.254 : 0.0;
  DailyRecord days;
  days.first_day = date(2015, 1, 1);
  days.days.resize(730);
  for (std::size_t d = 0; d < days.days.size(); ++d) days.days[d].rain_m = d % 4 == 0 ? 0.010 : 0.0;
  days.days[1].rain_m = missing;
  std::vector<std::string> notes;
  check_rain(hours, days, notes);
  CHECK(hours.hours[6].rain_m == Approx(0.010));
  REQUIRE(notes.size() == 1);
  CHECK_THAT(notes[0], Catch::Contains("in a mean year") && Catch::Contains("it was divided by 25.4"));
}

TEST_CASE("sun and dew point of a daily record count, and days without rain values are dry", "[sim][weather][unit]") {
  auto const table = [](double sun_W_per_m2) {
    return table_of_days(date(2021, 1, 1), 365, "date,rain [mm],high [degC],low [degC],dew_point [degC],sun [W/m2]",
                         [=](int d) { return fmt::format(",{},20,10,5,{}", d < 90 ? "" : "3", sun_W_per_m2); });
  };
  auto scenario = valley_scenario();
  scenario.weather = {};
  scenario.weather.kind = WeatherKind::measured;
  scenario.season.first_day = date(2021, 1, 1);
  std::vector<std::string> notes;
  TemporaryFile const dim("dim.csv", table(60.0)), bright("bright.csv", table(120.0));
  scenario.weather.daily_file = dim.path();
  auto const dull = season_of(scenario, &notes);
  scenario.weather.daily_file = bright.path();
  auto const sunny = season_of(scenario);
  double dull_sum = 0.0, sunny_sum = 0.0, dew_point_K = 0.0;
  for (std::size_t h = 0; h < 24 * 300; ++h) {
    dull_sum += dull[h].global_irradiance_W_per_m2 / 7200.0;
    sunny_sum += sunny[h].global_irradiance_W_per_m2 / 7200.0;
    dew_point_K += dull[h].dew_point_K / 7200.0;
  }
  CHECK(dull_sum == Approx(60.0).epsilon(0.05));
  CHECK(sunny_sum == Approx(120.0).epsilon(0.05));
  CHECK(dew_point_K == Approx(278.15).margin(1.0));
  CHECK(any_note_has(notes, "60 left"));  // of 90 days, those further than 30 from the next value
  CHECK(any_note_has(notes, "days not measured, taken as dry"));
  CHECK(rain_of_day_m(dull, 10) == 0.0);
  CHECK(rain_of_day_m(dull, 70) == Approx(0.003));
}

TEST_CASE("a generator is fitted to hours alone, and says how little a year or two tell", "[sim][weather][unit]") {
  TemporaryFile const hours("hours.csv", table_of_hours(400));
  auto scenario = valley_scenario();
  scenario.weather.climate_file = hours.path();
  std::vector<std::string> notes;
  auto const season = season_of(scenario, &notes);
  CHECK(any_note_has(notes, "fewer than three years tell little of how years differ"));
  double mean_K = 0.0;
  for (auto const& hour : season) mean_K += hour.air_temperature_K / static_cast<double>(season.size());
  CHECK(mean_K == Approx(273.15 + 15.5).margin(1.5));
}

TEST_CASE("a report of a file adds up its months and says why nothing stands beside it", "[sim][weather][unit]") {
  auto const row = [](int d) { return d % 4 == 0 ? ",4,20,10" : ",0,20,10"; };
  std::string const header = "date,rain [mm],high [degC],low [degC]";
  TemporaryFile const days("days.csv", table_of_days(date(2021, 1, 1), 400, header, row));
  auto const daily = report_of(days.path(), {.latitude_deg = 34.0, .longitude_deg = -95.0, .utc_offset_h = -6.0});
  CHECK(daily.source == "a table of days, " + days.path().stem().string());
  CHECK(daily.months[5].rain_m == Approx(0.032));  // 8 wet days from 2021-06-02, day 152, to 2021-06-30, day 180
  CHECK(daily.year.highest_K == Approx(293.15).margin(0.5));
  CHECK_FALSE(any_note_has(daily.notes, "reckoned for"));
  CHECK_FALSE(daily.comparison.empty());

  TemporaryFile const part("part.csv", table_of_days(date(2021, 3, 1), 380, header, row));
  auto const broken = report_of(part.path());
  CHECK(broken.comparison.empty());
  CHECK(broken.comparison_note == "no whole calendar year to compare with");
  CHECK(any_note_has(broken.notes, "the sun is reckoned for 35 degrees north; give --latitude and --longitude"));

  TemporaryFile const few("few.csv", table_of_days(date(2021, 3, 1), 60, header, row));
  CHECK(report_of(few.path()).comparison_note ==
        "the record has 60 days, a generator needs at least a year; name a longer record");

  TemporaryFile const hours("hours.csv", table_of_hours(365));
  auto const hourly = report_of(hours.path());
  CHECK(hourly.comparison_note ==
        "a single year tells nothing of how years differ: no generator is fitted to it alone");
  CHECK(hourly.months[0].wet_days == Approx(8.0));
  CHECK(hourly.months[0].rain_m == Approx(0.032));

  auto const climate = report_of(valley_scenario().weather.climate_file,
                                 {.latitude_deg = 30.0, .longitude_deg = -95.0, .utc_offset_h = -6.0});
  CHECK(climate.source == "monthly climate figures");
  CHECK_FALSE(climate.comparison.empty());
  CHECK(climate.months[6].rain_m == Approx(0.121).margin(0.055));  // of 40 seasons: 4 errors of 14 mm
}
