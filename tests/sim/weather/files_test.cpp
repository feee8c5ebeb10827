// Readers of weather files: what they take, what they tell, and that two formats of one place agree.

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <numeric>

#include "records.hpp"
#include "sim/weather/complete_hours.hpp"
#include "sim/weather/fill_gaps.hpp"

using namespace brinecast::sim;
using namespace brinecast::tests;

namespace {

double mean_of(HourlyRecord const& record, double HourOfRecord::*member) {
  double sum = 0.0;
  for (auto const& hour : record.hours) sum += hour.*member;
  return sum / static_cast<double>(record.hours.size());
}

double rain_sum_m(HourlyRecord const& record) {
  double sum = 0.0;
  for (auto const& hour : record.hours) sum += std::isnan(hour.rain_m) ? 0.0 : hour.rain_m;
  return sum;
}

}  // namespace

TEST_CASE("a typical year of the third kind gives its station, its means and its rain in true millimetres",
          "[sim][weather][published]") {
  // Figures: sums over the file's own columns, in the table that came with the data.
  auto const path = open_data("tmy3_722430_houston.csv");
  if (!path) return;
  auto const file = sound_file(*path);
  REQUIRE(file.hourly.has_value());
  HourlyRecord const& record = *file.hourly;
  CHECK(record.station.utc_offset_h == -6.0);
  CHECK(record.station.position->latitude_deg == 30.0);
  CHECK(record.hours.size() == 8760);
  CHECK(mean_of(record, &HourOfRecord::air_temperature_K) == Approx(273.15 + 20.36).margin(0.005));
  CHECK(8.76 * mean_of(record, &HourOfRecord::global_irradiance_W_per_m2) == Approx(1627).margin(0.5));
  CHECK(mean_of(record, &HourOfRecord::wind_speed_m_per_s) == Approx(3.44).margin(0.005));
  CHECK(rain_sum_m(record) == Approx(0.7046).margin(1e-6));
  CHECK(any_note_has(file.notes, "tenths of a millimetre"));
  CHECK(record.real_year[0] == 1987);
}

TEST_CASE("two formats of one typical year agree in every hour", "[sim][weather][published]") {
  auto const tmy3 = open_data("tmy3_725300_chicago_ohare.csv");
  auto const epw = open_data("epw_725300_chicago_ohare.epw");
  if (!tmy3 || !epw) return;
  auto const first = sound_file(*tmy3), second = sound_file(*epw);
  REQUIRE(first.hourly->hours.size() == second.hourly->hours.size());
  double largest_K = 0.0, largest_sun = 0.0;
  for (std::size_t h = 0; h < first.hourly->hours.size(); ++h) {
    auto const &a = first.hourly->hours[h], &b = second.hourly->hours[h];
    largest_K = std::max(largest_K, std::fabs(a.air_temperature_K - b.air_temperature_K));
    largest_sun = std::max(largest_sun, std::fabs(a.global_irradiance_W_per_m2 - b.global_irradiance_W_per_m2));
  }
  CHECK(largest_K < 1e-9);
  CHECK(largest_sun < 1e-9);
  CHECK(any_note_has(second.notes, "8041 of 8760"));  // hours with the missing code in the rain column
  CHECK_FALSE(second.hourly->has_rain());
}

TEST_CASE("a typical year of the second kind has no rain and the published means", "[sim][weather][published]") {
  auto const path = open_data("tmy2_12839_miami.tm2");
  if (!path) return;
  auto const file = sound_file(*path);
  CHECK(mean_of(*file.hourly, &HourOfRecord::air_temperature_K) == Approx(273.15 + 24.31).margin(0.005));
  CHECK(8.76 * mean_of(*file.hourly, &HourOfRecord::global_irradiance_W_per_m2) == Approx(1793).margin(0.5));
  CHECK(file.hourly->station.position->latitude_deg == Approx(25.8));
  CHECK(file.hourly->station.position->longitude_deg == Approx(-80.0 - 16.0 / 60.0));
  CHECK_FALSE(file.hourly->has_rain());
}

TEST_CASE("daily records of the archive give the published yearly rain and extremes", "[sim][weather][published]") {
  struct Expected {
    std::string file;
    double yearly_rain_mm, largest_day_mm;
  };
  for (auto const& expected : {Expected{"ghcnd_USW00023183_phoenix_2005_2024.dly", 159.5, 83.8},
                               Expected{"ghcnd_USW00012960_houston_bush_2005_2024.dly", 1287.4, 408.2},
                               Expected{"ghcnd_USW00012815_orlando_2005_2024.dly", 1259.5, 196.1}}) {
    auto const path = open_data(expected.file);
    if (!path) continue;
    auto const file = sound_file(*path);
    REQUIRE(file.daily.has_value());
    CHECK(file.daily->days.size() == 7305);
    double sum = 0.0, largest = 0.0;
    for (auto const& day : file.daily->days) {
      sum += day.rain_m;
      largest = std::max(largest, day.rain_m);
    }
    CHECK(1e3 * sum / 20.0 == Approx(expected.yearly_rain_mm).margin(0.06));
    CHECK(1e3 * largest == Approx(expected.largest_day_mm).margin(0.06));
  }
}

TEST_CASE("the archive's missing values, quality flags, traces, leap days and impossible days are told apart",
          "[sim][weather][unit]") {
  std::vector<int> rain(29, 0);
  rain[0] = 254;
  rain[28] = 100;  // 29 February 2024
  std::string text = ghcn_line(2024, 2, "PRCP", rain) + ghcn_line(2024, 2, "TMAX", std::vector<int>(29, 211)) +
                     ghcn_line(2024, 2, "TMIN", std::vector<int>(29, -9999)) +
                     ghcn_line(2024, 2, "TMIN", std::vector<int>(29, 105), " X ") +  // failed the checks
                     ghcn_line(2024, 2, "SNWD", std::vector<int>(29, 7));
  TemporaryFile const archive("flags.dly", text);
  auto const file = sound_file(archive.path());
  auto const& days = file.daily->days;
  REQUIRE(days.size() == 29);
  CHECK(days[0].rain_m == Approx(0.0254));
  CHECK(days[28].rain_m == Approx(0.0100));
  CHECK(days[5].high_K == Approx(273.15 + 21.1));
  CHECK(std::isnan(days[5].low_K));
  CHECK(any_note_has(file.notes, "29 values failed"));

  TemporaryFile const impossible("impossible.dly", ghcn_line(2023, 2, "PRCP", std::vector<int>(29, 5)));
  CHECK_THAT(fault_of(impossible.path()), Catch::Contains("2023-02-29"));
}

TEST_CASE("the three forms of a daily archive give the same days", "[sim][weather][unit]") {
  TemporaryFile const fixed("same.dly", ghcn_line(2023, 1, "PRCP", {0, 56, 3}) +
                                            ghcn_line(2023, 1, "TMAX", {111, 122, 133}) +
                                            ghcn_line(2023, 1, "TMIN", {-11, 22, 33}));
  TemporaryFile const by_element("same1.csv",
                                 "XX000012345,20230103,TMAX,133,,,7,\nXX000012345,20230101,PRCP,0,T,,7,\n"
                                 "XX000012345,20230101,TMAX,111,,,7,\nXX000012345,20230102,TMAX,122,,,7,\n"
                                 "XX000012345,20230102,PRCP,56,,,7,\nXX000012345,20230103,PRCP,3,,,7,\n"
                                 "XX000012345,20230101,TMIN,-11,,,7,\nXX000012345,20230102,TMIN,22,,,7,\n"
                                 "XX000012345,20230103,TMIN,33,,,7,0700\nXX000012345,20230104,TMIN,44,,I,7,\n");
  TemporaryFile const by_day("same2.csv",
                             "\"STATION\",\"DATE\",\"LATITUDE\",\"LONGITUDE\",\"ELEVATION\",\"NAME\",\"PRCP\",\"PRCP_"
                             "ATTRIBUTES\",\"TMAX\",\"TMAX_ATTRIBUTES\",\"TMIN\",\"TMIN_ATTRIBUTES\"\n"
                             "\"XX000012345\",\"2023-01-01\",\"-33.5\",\"151.2\",\"12.0\",\"A, B\",\"    "
                             "0\",\"T,,7\",\"  111\",\",,7\",\"  -11\",\",,7\"\n"
                             "\"XX000012345\",\"2023-01-02\",\"-33.5\",\"151.2\",\"12.0\",\"A, B\",\"   "
                             "56\",\",,7\",\"  122\",\",,7\",\"   22\",\",,7\"\n"
                             "\"XX000012345\",\"2023-01-03\",\"-33.5\",\"151.2\",\"12.0\",\"A, B\",\"    "
                             "3\",\",,7\",\"  133\",\",,7\",\"   33\",\",,7\"\n");
  auto const a = sound_file(fixed.path()), b = sound_file(by_element.path()), c = sound_file(by_day.path());
  for (std::size_t d = 0; d < 3; ++d) {
    for (auto const* const other : {&b, &c}) {
      CHECK(a.daily->days[d].rain_m == other->daily->days[d].rain_m);
      CHECK(a.daily->days[d].high_K == other->daily->days[d].high_K);
      CHECK(a.daily->days[d].low_K == other->daily->days[d].low_K);
    }
  }
  CHECK(std::isnan(b.daily->days[3].low_K));  // failed the archive's check
  CHECK(c.daily->station.position->latitude_deg == -33.5);
}

TEST_CASE("a plain table converts the unit of every header, and repeated and missing days are counted",
          "[sim][weather][unit]") {
  TemporaryFile const table("units.csv",
                            "date,rain [in],high [degF],low [degF],wind (mph)\n"
                            "2024-02-28,1.00,68,50,10\n2024-02-28,9,90,80,10\n2024-03-01,T,,41,NA\n");
  auto const file = sound_file(table.path());
  auto const& days = file.daily->days;
  REQUIRE(days.size() == 3);
  CHECK(days[0].rain_m == Approx(0.0254));
  CHECK(days[0].high_K == Approx(293.15));
  CHECK(days[0].wind_speed_m_per_s == Approx(4.4704));
  CHECK(std::isnan(days[1].rain_m));  // 29 February is not in the table
  CHECK(days[2].rain_m == 0.0);       // a trace
  CHECK(std::isnan(days[2].high_K));
  CHECK(any_note_has(file.notes, "1 days come twice"));
  CHECK(any_note_has(file.notes, "1 days between"));
}

TEST_CASE("hours of a plain table keep their place under a stamp at either end and any offset",
          "[sim][weather][unit]") {
  TemporaryFile const start("start.csv",
                            "time,temperature [degC],relative_humidity [%],rain "
                            "[mm]\n2023-06-30T23:00Z,20,50,1.5\n2023-07-01T00:00Z,21,100,0\n");
  TemporaryFile const end("end.csv",
                          "time_end,temperature [degC],rain [mm]\n2023-06-30 24:00,20,1.5\n2023-07-01 01:00,21,0\n");
  auto const a = sound_file(start.path()), b = sound_file(end.path());
  REQUIRE(a.hourly->hours.size() == 48);
  CHECK(a.hourly->hours[23].rain_m == Approx(0.0015));
  CHECK(b.hourly->hours[23].rain_m == Approx(0.0015));
  CHECK(b.hourly->hours[24].air_temperature_K == Approx(294.15));
  CHECK(a.hourly->station.utc_offset_h == 0.0);
  CHECK_FALSE(b.hourly->station.utc_offset_h.has_value());
  // Dew point at 20 degC and 50 %: 9.27 degC by Magnus with the coefficients of Alduchov and Eskridge.
  CHECK(a.hourly->hours[23].dew_point_K == Approx(273.15 + 9.27).margin(0.02));
  CHECK(a.hourly->hours[24].dew_point_K == Approx(294.15).margin(1e-6));
}

TEST_CASE("gaps are filled as stated and counted", "[sim][weather][unit]") {
  HourlyRecord record;
  record.first_day = date(2023, 1, 1);
  record.hours.resize(72);
  for (std::size_t h = 0; h < 72; ++h) {
    record.hours[h].air_temperature_K = 280.0 + static_cast<double>(h % 24);
    record.hours[h].global_irradiance_W_per_m2 = h % 24 == 12 ? 500.0 : 0.0;
    record.hours[h].rain_m = 0.001;
  }
  record.hours[30].air_temperature_K = record.hours[31].air_temperature_K = missing;
  record.hours[36].global_irradiance_W_per_m2 = missing;
  record.hours[40].rain_m = missing;
  for (std::size_t h = 50; h < 60; ++h) record.hours[h].air_temperature_K = missing;
  std::vector<std::string> notes;
  fill_gaps(record, notes);
  CHECK(record.hours[30].air_temperature_K == Approx(286.0));
  CHECK(record.hours[36].global_irradiance_W_per_m2 == 500.0);
  CHECK(record.hours[40].rain_m == 0.0);
  CHECK(record.hours[55].air_temperature_K == 287.0);
  CHECK(any_note_has(notes, "air temperature: 12 hours missing, 2 filled by a straight line, 10 by the same hour"));
  CHECK(any_note_has(notes, "rain: 1 hours missing"));
}

TEST_CASE("a daily record of the same months shows an hourly rain column wrong by ten, and what it misses",
          "[sim][weather][unit]") {
  DailyRecord daily;
  daily.first_day = date(1990, 1, 1);
  daily.days.resize(365);
  HourlyRecord hourly;
  hourly.typical_year = true;
  hourly.real_year.fill(1990);
  hourly.first_day = date(2001, 1, 1);
  hourly.hours.resize(8760);
  for (std::size_t d = 0; d < 365; ++d) {
    daily.days[d].rain_m = d % 4 == 0 ? 0.010 : 0.0;
    for (std::size_t h = 0; h < 24; ++h)
      hourly.hours[24 * d + h].rain_m = d % 4 == 0 && h < 8 ? 0.010 : 0.0;  // 80 % of it, ten times
  }
  std::vector<std::string> notes;
  check_rain(hourly, daily, notes);
  CHECK(hourly.hours[0].rain_m == Approx(0.001));
  CHECK(any_note_has(notes, "divided by 10"));
  CHECK(any_note_has(notes, "80 %"));
}
