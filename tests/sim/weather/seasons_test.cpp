// Seasons as the simulation meets them: addressable, bent by the what-ifs, everywhere on Earth.

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cmath>

#include "records.hpp"
#include "sim/weather/hours_of_day.hpp"
#include "sim/weather/measured_weather.hpp"
#include "sim/weather/sun_of_day.hpp"
#include "sim/weather/what_if.hpp"

using namespace brinecast::sim;
using namespace brinecast::tests;

namespace {

std::unique_ptr<WeatherSource> opened(Scenario const& scenario) {
  Problems problems;
  auto source = open_weather(scenario, problems);
  INFO(problems.text());
  REQUIRE(source);
  return source;
}

double rain_m(WeatherSeason const& season) {
  double sum = 0.0;
  for (auto const& hour : season) sum += hour.rain_m;
  return sum;
}

bool same(HourOfWeather const& a, HourOfWeather const& b) {
  return a.air_temperature_K == b.air_temperature_K && a.dew_point_K == b.dew_point_K && a.rain_m == b.rain_m &&
         a.wind_speed_m_per_s == b.wind_speed_m_per_s && a.global_irradiance_W_per_m2 == b.global_irradiance_W_per_m2;
}

void check_physical(WeatherSeason const& season) {
  for (auto const& hour : season) {
    REQUIRE(std::isfinite(hour.air_temperature_K));
    REQUIRE(hour.air_temperature_K > 180.0);
    REQUIRE(hour.air_temperature_K < 335.0);
    REQUIRE(hour.dew_point_K <= hour.air_temperature_K + 1e-9);
    REQUIRE(hour.wind_speed_m_per_s >= 0.0);
    REQUIRE(hour.rain_m >= 0.0);
    REQUIRE(hour.cos_zenith >= 0.0);
    REQUIRE(hour.cos_zenith <= 1.0);
    REQUIRE(hour.global_irradiance_W_per_m2 >= 0.0);
    REQUIRE(hour.diffuse_irradiance_W_per_m2 >= 0.0);
    REQUIRE(hour.diffuse_irradiance_W_per_m2 <= hour.global_irradiance_W_per_m2 + 1e-9);
    REQUIRE(hour.cloud_fraction >= 0.0);
    REQUIRE(hour.cloud_fraction <= 1.0);
  }
}

}  // namespace

TEST_CASE("any replicate can be asked first and is the same again", "[sim][weather][unit]") {
  auto const scenario = valley_scenario();
  auto const source = opened(scenario);
  auto const late = source->season(3, 1000, SiteId{0}, date(2031, 3, 1), 245);
  auto const early = source->season(3, 0, SiteId{0}, date(2031, 3, 1), 245);
  auto const again = opened(scenario)->season(3, 1000, SiteId{0}, date(2031, 3, 1), 245);
  REQUIRE(late.size() == 245 * 24);
  REQUIRE(std::equal(late.begin(), late.end(), again.begin(), again.end(), same));
  CHECK_FALSE(std::equal(late.begin(), late.end(), early.begin(), early.end(), same));
  CHECK_FALSE(same(late[3000], source->season(4, 1000, SiteId{0}, date(2031, 3, 1), 245)[3000]));
  check_physical(late);
}

TEST_CASE("seasons that start on different days agree where they overlap", "[sim][weather][unit]") {
  auto const source = opened(valley_scenario());
  auto const from_march = source->season(3, 5, SiteId{0}, date(2031, 3, 1), 200);
  auto const from_may = source->season(3, 5, SiteId{0}, date(2031, 5, 1), 100);
  std::size_t const offset = 24 * 61 + 24;  // the first day leans on the day before, which has nothing to forget
  std::size_t different = 0;
  for (std::size_t h = 24; h < from_may.size(); ++h) {
    if (std::fabs(from_march[offset - 24 + h].air_temperature_K - from_may[h].air_temperature_K) > 0.01) ++different;
    if (from_march[offset - 24 + h].rain_m != from_may[h].rain_m) ++different;
  }
  CHECK(different == 0);
}

TEST_CASE("the valley's seasons have the climate of its table", "[sim][weather][statistics]") {
  // July: 121 mm in 9.5 wet days with a spread of 87 mm: the mean of 100 seasons errs by 9 mm; band of 4 errors.
  auto const source = opened(valley_scenario());
  double rain = 0.0, warmth = 0.0, sun = 0.0, dew_point = 0.0;
  for (std::uint32_t r = 0; r < 100; ++r) {
    auto const july = source->season(1, r, SiteId{0}, date(2031, 7, 1), 31);
    rain += 1e3 * rain_m(july) / 100.0;
    for (auto const& hour : july) {
      warmth += hour.air_temperature_K / (100.0 * 744.0);
      sun += hour.global_irradiance_W_per_m2 / (100.0 * 744.0);
      dew_point += hour.dew_point_K / (100.0 * 744.0);
    }
  }
  CHECK(rain == Approx(121.1).margin(36.0));
  CHECK(warmth == Approx(273.15 + 29.55).margin(1.0));
  CHECK(sun == Approx(257.0).margin(13.0));
  CHECK(dew_point == Approx(273.15 + 22.7).margin(1.0));
}

TEST_CASE("storms give each day its rain, in hours and amounts that occur", "[sim][weather][statistics]") {
  SiteField const field({}, 1.0);
  double wet_hours = 0.0, peak_share = 0.0;
  constexpr std::uint32_t days = 2000;
  for (std::uint32_t d = 0; d < days; ++d) {
    auto const hours = storms_of_day(0.015, 298.0, field, {.seed = 1, .replicate = d}, date(2031, 7, 1));
    double sum = 0.0, peak = 0.0;
    for (double const hour : hours) {
      CHECK(hour >= 0.0);
      sum += hour;
      peak = std::max(peak, hour);
      wet_hours += hour > 0.0 ? 1.0 / days : 0.0;
    }
    REQUIRE(sum == Approx(0.015).epsilon(1e-12));
    peak_share += peak / sum / days;
  }
  // A few hours with rain on a wet summer day, much of it in one hour: assumption, no source.
  CHECK(wet_hours > 2.5);
  CHECK(wet_hours < 7.0);
  CHECK(peak_share > 0.4);
  CHECK(peak_share < 0.75);
}

TEST_CASE("levers bend the same weather", "[sim][weather][unit]") {
  auto scenario = valley_scenario();
  auto const plain = opened(scenario)->season(1, 2, SiteId{0}, date(2031, 1, 1), 365);
  scenario.weather.rain_factor = 1.5;
  scenario.weather.warming_K = 2.0;
  scenario.weather.storms = {{date(2031, 6, 10), 0.120, 6 * 3600.0}};
  scenario.weather.heat_waves = {{date(2031, 8, 1), 5, 6.0}};
  auto const bent = opened(scenario)->season(1, 2, SiteId{0}, date(2031, 1, 1), 365);
  CHECK(rain_m(bent) == Approx(1.5 * rain_m(plain) + 0.120).epsilon(1e-12));
  CHECK(bent[100].air_temperature_K == Approx(plain[100].air_temperature_K + 2.0));
  std::size_t const august = 24 * 212;
  CHECK(bent[august].air_temperature_K == Approx(plain[august].air_temperature_K + 8.0));
  CHECK(bent[august + 5 * 24].air_temperature_K == Approx(plain[august + 5 * 24].air_temperature_K + 2.0));
  std::size_t const storm = 24 * 160 + 12;
  CHECK(bent[storm].rain_m == Approx(1.5 * plain[storm].rain_m + 0.020));
  CHECK(bent[storm + 6].rain_m == Approx(1.5 * plain[storm + 6].rain_m));
  check_physical(bent);
}

TEST_CASE("polar night, the southern summer, leap days and frost are weather too", "[sim][weather][unit]") {
  auto scenario = valley_scenario();
  TemporaryFile const arctic("arctic.csv", [] {
    std::string text = "month,rain [mm],wet_days [d],high [degC],low [degC],sun [W/m2]\n";
    for (int m = 1; m <= 12; ++m)
      text +=
          std::to_string(m) + ",30,10," + (m > 4 && m < 10 ? "8,2" : "-12,-22") + (m > 3 && m < 10 ? ",150\n" : ",0\n");
    return text;
  }());
  scenario.weather.climate_file = arctic.path();
  scenario.sites = {{"far north", {25.0, 78.0}, 0.0}};
  scenario.season.utc_offset_h = 2.0;
  auto const night = opened(scenario)->season(1, 0, SiteId{0}, date(2032, 1, 1), 366);
  check_physical(night);
  double winter_sun = 0.0, summer_night_sun = 0.0;
  for (std::size_t h = 0; h < 24 * 20; ++h) winter_sun += night[h].global_irradiance_W_per_m2;
  for (std::size_t d = 170; d < 180; ++d) summer_night_sun += night[24 * d].global_irradiance_W_per_m2;
  CHECK(winter_sun == 0.0);
  CHECK(summer_night_sun > 0.0);
  CHECK(night[24 * 59].air_temperature_K < 273.15);  // 29 February

  DayOfSun const december = sun_of_day({151.2, -33.9}, 10.0, date(2031, 12, 21));
  DayOfSun const june = sun_of_day({151.2, -33.9}, 10.0, date(2031, 6, 21));
  CHECK(december.clear_sky_sum > 2.0 * june.clear_sky_sum);
  // Day lengths at 33.9 degrees: 14.3 h and 9.8 h between geometric rises and sets (spherical astronomy).
  CHECK(december.sunset_h - december.sunrise_h == Approx(14.27).margin(0.1));
  CHECK(june.sunset_h - june.sunrise_h == Approx(9.73).margin(0.1));
}

TEST_CASE("measured weather plays its own dates, and its years in turn where it has not", "[sim][weather][unit]") {
  auto scenario = valley_scenario();
  scenario.weather.kind = WeatherKind::measured;
  scenario.weather.daily_file = seattle_record();
  scenario.sites = {{"sound", {-122.3, 47.6}, 50.0}};
  scenario.season = {.first_day = date(2013, 3, 1), .days = 245, .utc_offset_h = -8.0, .holidays = {}};
  auto const own = opened(scenario);
  // Rain from 1 March to 31 October 2013: added up from the record itself.
  auto const record = sound_file(seattle_record());
  double expected = 0.0;
  for (std::size_t d = 0; d < 245; ++d) expected += record.daily->days[d + 366 + 59].rain_m;
  CHECK(rain_m(own->season(1, 0, SiteId{0}, date(2013, 3, 1), 245)) == Approx(expected).epsilon(1e-9));
  CHECK(rain_m(own->season(1, 7, SiteId{0}, date(2013, 3, 1), 245)) == Approx(expected).epsilon(1e-9));
  // A year that is not in the record: replicates walk over the four measured ones, resampled ones are drawn.
  auto const third = own->season(1, 1, SiteId{0}, date(2031, 3, 1), 245);
  CHECK(rain_m(third) == Approx(expected).epsilon(1e-9));
  CHECK(rain_m(own->season(1, 5, SiteId{0}, date(2031, 3, 1), 245)) == Approx(expected).epsilon(1e-9));
  check_physical(third);
  scenario.weather.kind = WeatherKind::resampled;
  auto const drawn = opened(scenario);
  std::vector<double> sums;
  for (std::uint32_t r = 0; r < 60; ++r) sums.push_back(rain_m(drawn->season(1, r, SiteId{0}, date(2031, 3, 1), 245)));
  std::sort(sums.begin(), sums.end());
  sums.erase(std::unique(sums.begin(), sums.end(), [](double a, double b) { return std::fabs(a - b) < 1e-9; }),
             sums.end());
  CHECK(sums.size() == 4);  // a year of four is missed by 60 draws in 1 of 8 million cases
}

TEST_CASE("a record that lacks a day of the season is refused", "[sim][weather][hostile]") {
  auto scenario = valley_scenario();
  scenario.weather.kind = WeatherKind::measured;
  scenario.season.first_day = date(2027, 3, 1);
  auto const told = [&](int first, int count) {
    std::string text = "date,high [degC],low [degC],rain [mm]\n";
    for (int d = first; d < first + count; ++d) {
      std::chrono::year_month_day const day{date(2027, 1, 1) + std::chrono::days{d}};
      text += fmt::format("2027-{:02}-{:02},20,10,1\n", static_cast<unsigned>(day.month()),
                          static_cast<unsigned>(day.day()));
    }
    TemporaryFile const file("short.csv", text);
    scenario.weather.daily_file = file.path();
    Problems problems;
    open_weather(scenario, problems);
    return problems.text();
  };
  std::string const wanted = "the record has not every date of the season in any year; name a longer record";
  scenario.season.days = 10;
  CHECK(told(58, 12) == "");
  CHECK_THAT(told(63, 1), Catch::Contains(wanted));
  CHECK_THAT(told(60, 12), Catch::Contains(wanted));
  CHECK_THAT(told(58, 9), Catch::Contains(wanted));
  scenario.season.first_day = date(2028, 2, 29);
  CHECK(told(0, 365) == "");  // the 28th stands for it
}

TEST_CASE("hours whose sun shines at night are told", "[sim][weather][hostile]") {
  auto scenario = valley_scenario();
  scenario.weather.kind = WeatherKind::measured;
  scenario.season = {.first_day = date(2027, 3, 2), .days = 5, .utc_offset_h = -6.0, .holidays = {}};
  auto const notes_with_noon_at = [&](int noon) {
    std::string text = "time,temperature [degC],rain [mm],sun [W/m2]\n";
    for (int h = 0; h < 24 * 10; ++h) {
      int const from_noon = std::min((h + 24 - noon) % 24, (noon + 24 - h % 24) % 24);
      text += fmt::format("2027-03-{:02}T{:02}:00,20,0,{}\n", 1 + h / 24, h % 24, std::max(0, 900 - 180 * from_noon));
    }
    TemporaryFile const file("hours.csv", text);
    scenario.weather.hourly_file = file.path();
    return opened(scenario)->notes();
  };
  CHECK_FALSE(any_note_has(notes_with_noon_at(12), "into the night"));
  CHECK_FALSE(any_note_has(notes_with_noon_at(13), "into the night"));
  CHECK(any_note_has(notes_with_noon_at(18), "of its sunlight falls into the night at UTC-6 h; check the clock"));
  CHECK(any_note_has(notes_with_noon_at(0), "of its sunlight falls into the night"));
}

TEST_CASE("an hourly file takes the rain of a daily record and keeps its own hours", "[sim][weather][unit]") {
  auto const hourly = open_data("tmy2_12839_miami.tm2");
  if (!hourly) return;
  auto scenario = valley_scenario();
  scenario.weather.kind = WeatherKind::measured;
  scenario.weather.hourly_file = *hourly;
  scenario.weather.daily_file = seattle_record();
  scenario.season = {.first_day = date(2014, 1, 1), .days = 365, .utc_offset_h = -5.0, .holidays = {}};
  auto const source = opened(scenario);
  CHECK(any_note_has(source->notes(), "has no rain; it is taken from the daily record"));
  auto const season = source->season(1, 0, SiteId{0}, date(2014, 1, 1), 365);
  CHECK(1e3 * rain_m(season) == Approx(1232.8).margin(0.05));  // 2014, in the table that came with the data
  check_physical(season);
}
