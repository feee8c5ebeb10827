// Every line that a reader of weather can tell, exactly: where it is wrong, and what would be right. The files are made
// up, so that these tests need no data of others.

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <vector>

#include "records.hpp"
#include "sim/weather/weather.hpp"

using namespace brinecast::sim;
using namespace brinecast::tests;

namespace {

/// A wrong file and the line that its reader tells of it, after the file's name.
struct WrongFile {
  std::string content, told;
};

void check_told(std::vector<WrongFile> const& files) {
  for (auto const& wrong : files) {
    TemporaryFile const file("wrong", wrong.content);
    Problems problems;
    CHECK_FALSE(read_weather_file(file.path(), problems).has_value());
    CHECK(problems.text() == file.path().string() + ":" + wrong.told + "\n");
  }
}

/// Calls `row` for each hour of a year without a leap day: its date, and its hour from 1 to 24.
void for_each_hour(std::function<void(std::chrono::year_month_day, int)> const& row) {
  for (int day = 0; day < 365; ++day) {
    for (int hour = 1; hour <= 24; ++hour) row({date(2001, 1, 1) + std::chrono::days(day)}, hour);
  }
}

int month_of(std::chrono::year_month_day day) { return static_cast<int>(static_cast<unsigned>(day.month())); }
int day_of(std::chrono::year_month_day day) { return static_cast<int>(static_cast<unsigned>(day.day())); }

/// An hour's row of EPW; the format's field list has 35 fields.
std::string epw_row(int year, int month, int day, int hour, std::string const& rain = "0.5") {
  return fmt::format(
      "{},{},{},{},60,flags,12.5,7.5,70,99100,0,0,300,250,200,90,0,0,0,0,180,3.5,5,5,9,9,9,9,9,9,9,9,9,{},1\n", year,
      month, day, hour, rain);
}

std::string const epw_place = "LOCATION,Low Marsh,-,-,made up,0,33.5,-97.25,-6.0,210\n";
std::string const epw_header = epw_place +
                               "DESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\n"
                               "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1\nCOMMENTS 2\n"
                               "DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31\n";

std::string epw_year(std::string const& rain) {
  std::string text = epw_header;
  for_each_hour([&](auto day, int hour) { text += epw_row(1995, month_of(day), day_of(day), hour, rain); });
  return text;
}

std::string const tmy2_header = " 12839 LOW MARSH              XX   9 S 33 30 E 151 15    25\n";

/// An hour's row of TMY2; the fields that are read stand where table 3-2 of the manual puts them.
std::string tmy2_row(int year, int month, int day, int hour) {
  std::string row(142, '0');
  row[0] = ' ';
  row.replace(1, 8, fmt::format("{:2}{:2}{:2}{:2}", year, month, day, hour));
  row.replace(17, 4, " 250");
  row.replace(29, 4, "  90");
  row.replace(67, 4, " 125");
  row.replace(73, 4, "  75");
  row.replace(84, 4, " 991");
  row.replace(95, 3, " 35");
  return row + '\n';
}

std::string const tmy3_place = "722430,\"LOW MARSH\",XX,-6.0,33.500,-97.250,210\n";

/// `fields` with some replaced, as a row of the 71 columns of TMY3.
std::string tmy3_line(std::vector<std::pair<std::size_t, std::string>> const& given, std::string const& others) {
  std::vector<std::string> fields(71, others);
  for (auto const& [at, text] : given) fields[at] = text;
  return fmt::format("{}\n", fmt::join(fields, ","));
}

std::string const tmy3_header = tmy3_place + tmy3_line({{0, "Date (MM/DD/YYYY)"}, {31, "Dry-bulb (C)"}}, "column");

std::string tmy3_row(std::string const& day, std::string const& time, std::string const& warmth = "12.5") {
  return tmy3_line({{0, day}, {1, time}, {31, warmth}, {34, "7.5"}, {40, "991"}, {64, "2"}, {65, "6"}}, "0");
}

}  // namespace

TEST_CASE("what is wrong in a typical year is told with its line", "[sim][weather][hostile]") {
  check_told({
      {"LOCATION,Low Marsh,-,-,made up,0,33.5\n",
       "1: the line LOCATION does not give latitude, longitude, time zone and elevation; get the file again"},
      {"LOCATION,Low Marsh,-,-,made up,0,95,-97.25,-6.0,210\n",
       "1: the line LOCATION does not give latitude, longitude, time zone and elevation; get the file again"},
      {epw_place + "DESIGN CONDITIONS,0\n", "2: the file ends within its header; get it again from its source"},
      {epw_place + "DATA PERIODS,1,4,Data\n", "2: the file has 4 records an hour; hourly files are read"},
      {epw_header + "1995,1,1,1\n", "9: the row has 4 fields, EPW has 35; the file seems cut, get it again"},
      {epw_header + epw_row(1995, 2, 30, 1),
       "9: \"1995,2,30,1\" is not a year, month, day and hour from 1 to 24; the file seems damaged, get it again"},
      {epw_header + epw_row(1995, 1, 1, 25),
       "9: \"1995,1,1,25\" is not a year, month, day and hour from 1 to 24; the file seems damaged, get it again"},
      {epw_header + "1995,1,1.5,1" + epw_row(1995, 1, 1, 1).substr(10),
       "9: \"1995,1,1.5,1\" is not a year, month, day and hour from 1 to 24; the file seems damaged, get it again"},
      {epw_header + "1e300,1,1,1" + epw_row(1995, 1, 1, 1).substr(10),
       "9: \"1e300,1,1,1\" is not a year, month, day and hour from 1 to 24; the file seems damaged, get it again"},
      {epw_header + "1995,1,1,1,60,flags,warm" + epw_row(1995, 1, 1, 1).substr(24),
       "9: dry bulb temperature: \"warm\" is not a number; the file seems damaged, get it again"},
      {epw_header + epw_row(1995, 1, 1, 1),
       "9: the file ends after 1 of 8760 hours; it seems cut, get it again from its source"},
      {" 12839 LOW MARSH              XX   9 S 33 xx E 151 15    25\n",
       "1: the first line does not give a TMY2 station's place; get the file again from its source"},
      {" 12839 LOW MARSH              XX   9 S 93 30 E 151 15    25\n",
       "1: the first line does not give a TMY2 station's place; get the file again from its source"},
      {tmy2_header + tmy2_row(90, 1, 1, 1).substr(0, 100),
       "2: the row has 100 characters, TMY2 has 142; the file seems cut, get it again"},
      {tmy2_header + tmy2_row(90, 2, 29, 1),
       "2: \"90 229 1\" is not a year, month, day and hour; the file seems damaged, get it again"},
      {tmy2_header + tmy2_row(90, 1, 1, 1).replace(67, 4, "warm"),
       "2: \"warm\" is not a number; the file seems damaged, get it again"},
      {"722430,\"LOW MARSH\",XX,-6.0,95.000,-97.250,210\n",
       "1: the first line does not give a place on Earth; get the file again from its source"},
      {tmy3_place, "1: the file ends after its first line; get it again from its source"},
      {tmy3_place + "Date,Time\n", "2: line 2 should name the 71 columns of TMY3 and does not; get the file again"},
      {tmy3_header + "01/01/1990,01:00\n", "3: the row has 2 fields, TMY3 has 71; the file seems cut, get it again"},
      {tmy3_header + tmy3_row("13/01/1990", "01:00"),
       "3: \"13/01/1990 01:00\" is not a date and hour; TMY3 has for example 01/31/1999 24:00"},
      {tmy3_header + tmy3_row("01/01/1990", "01:00", "warm"),
       "3: a value of the row is not a number; the file seems damaged, get it again"},
  });
}

TEST_CASE("what is wrong in a daily archive is told with its line", "[sim][weather][hostile]") {
  std::string const january = ghcn_line(2023, 1, "PRCP", {1});
  std::string const by_element = "XX000012345,20230101,PRCP,0,,,7,\n";
  std::string const by_day = "STATION,DATE,PRCP,PRCP_ATTRIBUTES\n";
  check_told({
      {ghcn_line(2023, 1, "SNWD", {1}),
       "1: there is no value of PRCP, TMAX or TMIN; name a station that measures rain and temperature"},
      {january + "short\n",
       "2: the line is not 269 characters of GHCN-Daily (station, year, month, element, 31 values); the file seems cut "
       "or damaged, get it again"},
      {january + std::string(ghcn_line(2023, 2, "PRCP", {1})).replace(21, 5, "  wet"),
       "2: day 1: \"  wet\" is not a whole number; the file seems damaged, get it again"},
      {ghcn_line(1850, 1, "PRCP", {1}) + ghcn_line(2100, 1, "PRCP", {1}),
       "2: the days span more than 200 years; the file seems damaged, get it again"},
      {by_element + "YY000012345,20230102,PRCP,0,,,7,\n",
       "2: a second station YY000012345 follows XX000012345; give each station its own file"},
      {by_element + "XX000012345,20230230,PRCP,0,,,7,\n",
       "2: \"20230230\" and \"0\" are not a date and a whole number; the file seems damaged, get it again"},
      {by_element + "XX000012345,20230102,PRCP,wet,,,7,\n",
       "2: \"20230102\" and \"wet\" are not a date and a whole number; the file seems damaged, get it again"},
      {by_element + "XX000012345,20230102\n",
       "2: the row has 2 fields, GHCN-Daily by year has 8; the file seems cut, get it again"},
      {"XX000012345,18500101,PRCP,0,,,7,\nXX000012345,21000101,PRCP,0,,,7,\n",
       "2: the days span more than 200 years; the file seems damaged, get it again"},
      {"STATION,DATE,SNWD,NAME\n", "1: the table has no DATE or none of PRCP, TMAX, TMIN; get it again with these"},
      {by_day + "XX000012345,2023-01-01\n",
       "2: the row has 2 fields and the header 4; the file seems cut, get it again"},
      {by_day + "XX000012345,2023-01-01,1,\",,7\"\nYY000012345,2023-01-02,1,\",,7\"\n",
       "3: a second station YY000012345 follows XX000012345; give each station its own file"},
      {by_day + "XX000012345,1 January,1,\",,7\"\n", "2: \"1 January\" is not a date; write for example 2024-07-14"},
      {by_day + "XX000012345,1850-01-01,1,\",,7\"\nXX000012345,2100-01-01,1,\",,7\"\n",
       "3: the days span more than 200 years; the file seems damaged, get it again"},
  });
}

TEST_CASE("what is wrong in a plain table is told with its line", "[sim][weather][hostile]") {
  std::string const hours = "time,temperature [degC]\n";
  check_told({
      {"date,rainfall [mm]\n",
       "1: no column of the table is known; known are rain, high, low, temperature, dew_point, relative_humidity, "
       "wind, "
       "sun, diffuse_sun, pressure"},
      {"date,rain [mm]\n", "1: the table has a header and no rows"},
      {"date,rain [mm]\n2023-01/02,1\n", "2: \"2023-01/02\" is not a date; write for example 2031-07-14"},
      {"date,rain [mm]\nyesterday,1\n", "2: \"yesterday\" is not a date; write for example 2031-07-14"},
      {"date,rain [mm]\n1850-01-01,1\n2100-01-01,1\n", "3: the days span more than 200 years; check the dates"},
      {hours + "2023-01-01T15:30,5\n",
       "2: \"2023-01-01T15:30\" is not a whole hour; write for example 2031-07-14T15:00"},
      {hours + "2023-01-01T15:00 noon,5\n",
       "2: \"2023-01-01T15:00 noon\" is not a whole hour; write for example 2031-07-14T15:00"},
      {hours + "1850-01-01T15:00,5\n2100-01-01T15:00,5\n", "3: the days span more than 200 years; check the dates"},
      {std::string("date,rain [mm]\n2023-01-01,1\0\n", 29), " line 2 holds zero bytes; this is not a text file"},
  });
}

TEST_CASE("what is wrong in monthly climate figures is told with its line", "[sim][weather][hostile]") {
  std::string const header = "month,rain [mm],wet_days [d],high [degC],low [degC]\n";
  auto const year = [&](std::string const& july) {
    std::string text = header;
    for (int m = 1; m <= 12; ++m) text += m == 7 ? july : fmt::format("{},50,8,20,10\n", m);
    return text;
  };
  auto const with_extremes = [](std::string const& january) {
    std::string text = "month,rain [mm],wet_days [d],high [degC],low [degC],highest [degC],lowest [degC]\n";
    for (int m = 1; m <= 12; ++m) text += fmt::format("{},50,8,20,10,{}\n", m, m == 1 ? january : "30,5");
    return text;
  };
  check_told({
      {year("7,50,8,10,20\n"), " month 7: high is below low; exchange them"},
      {year("7,50,0,20,10\n"), " month 7: there is rain but no wet day; give the mean number of wet days"},
      {year("7,1,8,20,10\n"), " month 7: the wet days have less than 0.25 mm each; check the unit of rain"},
      {year("July,50,8,20,10\n7,50,8,20,10\n"), "8: column month: \"July\" is not a month; write 1 to 12"},
      {year("7,50,8,20,10\n7,50,8,20,10\n"), "9: column month: month 7 appears twice; keep one row"},
      {year("7,wet,8,20,10\n"), "8: column rain: \"wet\" is not a number; write for example 12.5"},
      {with_extremes("19,5"),
       " month 1: highest is below high, the mean of the days' highs; highest is the hottest of all "
       "years"},
      {with_extremes("30,11"),
       " month 1: lowest is above low, the mean of the days' lows; lowest is the coldest of all "
       "years"},
      {"month [1],rain [mm],wet_days [d],high [degC]\n", "1: column low is missing"},
      {"month,rain [mm],wet_days [d],high [degC],low [degC],rain_spread [kg]\n",
       "1: column rain_spread: [kg] does not measure a depth (kg is a mass); write for example rain_spread [mm]"},
  });
}

TEST_CASE("a typical year's rain counts only where it was measured, and what was odd about its rows is told",
          "[sim][weather][unit]") {
  TemporaryFile const dry("dry.epw", epw_year("0"));
  auto const dry_record = sound_file(dry.path());
  CHECK_FALSE(dry_record.hourly->has_rain());
  CHECK(dry_record.notes ==
        std::vector<std::string>{"the rain column (field 34) is 0 in every hour; it is taken as not measured"});

  std::string wet = epw_year("0.5");
  wet.erase(wet.find("1995,12,31,24"));  // no row for the last hour
  for (int hour = 1; hour <= 24; ++hour) wet += epw_row(1996, 2, 29, hour);
  wet += epw_row(1995, 1, 1, 1, "9");  // again
  TemporaryFile const rainy("rainy.epw", wet);
  auto const year = sound_file(rainy.path());
  CHECK(year.hourly->hours.size() == 8760);
  CHECK(year.hourly->hours[0].rain_m == Approx(0.0005));
  CHECK(year.hourly->hours[0].air_temperature_K == Approx(273.15 + 12.5));
  CHECK(year.notes == std::vector<std::string>{"1 hours come twice; the first row of each counts",
                                               "1 rows are out of order; each was put where its date says",
                                               "1 of 8760 hours have no row",
                                               "24 hours of a leap day were left out: a typical year has none"});
}

TEST_CASE("typical years of the second and third kind are read field by field", "[sim][weather][unit]") {
  std::string second = tmy2_header, third = tmy3_header;
  for_each_hour([&](auto day, int hour) {
    second += tmy2_row(90, month_of(day), day_of(day), hour);
    third += tmy3_row(fmt::format("{:02}/{:02}/1990", month_of(day), day_of(day)), fmt::format("{:02}:00", hour));
  });
  TemporaryFile const tmy2("year.tm2", second), tmy3("year.csv", third);
  auto const a = sound_file(tmy2.path()), b = sound_file(tmy3.path());
  CHECK(a.hourly->station.position->latitude_deg == Approx(-33.5));
  CHECK(a.hourly->station.position->longitude_deg == Approx(151.25));
  CHECK(b.hourly->station.position->latitude_deg == 33.5);
  for (auto const* const hour : {&a.hourly->hours[4000], &b.hourly->hours[4000]}) {
    CHECK(hour->air_temperature_K == Approx(273.15 + 12.5));
    CHECK(hour->dew_point_K == Approx(273.15 + 7.5));
    CHECK(hour->air_pressure_Pa == Approx(99'100.0));
  }
  CHECK(a.hourly->hours[4000].wind_speed_m_per_s == Approx(3.5));
  CHECK(a.hourly->hours[4000].global_irradiance_W_per_m2 == 250.0);
  CHECK(b.hourly->hours[4000].rain_m == Approx(0.002));
  CHECK(any_note_has(b.notes, "8760 rain amounts were gathered over several hours and are put into the last one"));
}

TEST_CASE("odd values of a daily archive are dropped and counted", "[sim][weather][unit]") {
  TemporaryFile const fixed("odd.dly", ghcn_line(2023, 1, "PRCP", {10, 20, 30'000}) +
                                           ghcn_line(2023, 1, "PRCP", {11, -9999}) +
                                           ghcn_line(2023, 1, "MDPR", {-9999, 500}));
  auto const file = sound_file(fixed.path());
  CHECK(file.daily->days[0].rain_m == Approx(0.0010));
  CHECK(std::isnan(file.daily->days[2].rain_m));
  CHECK(file.notes ==
        std::vector<std::string>{
            "1 values are outside what occurs on Earth and were dropped", "1 values come twice; the first counts",
            "1 amounts of rain cover several days (element MDPR) and are not used; their days count as missing"});

  TemporaryFile const by_element("odd1.csv",
                                 "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n"
                                 "XX000012345,20230101,PRCP,10,,,7,\nXX000012345,20230102,MDPR,500,,,7,\n");
  CHECK(any_note_has(sound_file(by_element.path()).notes, "1 amounts of rain cover several days"));
  TemporaryFile const by_day("odd2.csv", "STATION,DATE,PRCP,TMAX\nXX000012345,2023-01-01,10,\n");
  CHECK(sound_file(by_day.path()).notes ==
        std::vector<std::string>{
            "the table has no columns of flags, so that values which failed the archive's checks cannot be told"});
}

TEST_CASE("a plain table says which units it took and which rows it changed", "[sim][weather][unit]") {
  TemporaryFile const table("bare.csv",
                            "time,temperature,mood\n2023-01-01 02:00:00-06:00,5,fine\n"
                            "2023-01-01 01:00:00-06:00,4,\n2023-01-01 01:00:00-06:00,9,\n");
  auto const file = sound_file(table.path());
  CHECK(file.hourly->station.utc_offset_h == -6.0);
  CHECK(file.hourly->hours[1].air_temperature_K == Approx(277.15));
  CHECK(file.notes ==
        std::vector<std::string>{
            "column temperature has no unit in its header; taken as degC, write temperature [degC] to say so",
            "columns not read: mood", "1 hours come twice; the first row of each counts",
            "1 rows are out of order; each was put where its date says"});
  TemporaryFile const ends("ends.csv", "time_end,rain [mm]\n2023-01-02 00:00,1\n");
  CHECK(sound_file(ends.path()).hourly->hours[23].rain_m == Approx(0.001));  // of the day before
}

namespace {

/// `count` days from 2021-01-01 under a header; `row` is what follows each date.
std::string table_of_days(int count, std::string const& header, std::string const& row) {
  std::string text = header + "\n";
  for (int d = 0; d < count; ++d) {
    std::chrono::year_month_day const day{date(2021, 1, 1) + std::chrono::days(d)};
    text += fmt::format("{}-{:02}-{:02}{}\n", static_cast<int>(day.year()), month_of(day), day_of(day), row);
  }
  return text;
}

std::string table_of_hours(int days, std::string const& header, std::string const& row) {
  std::string text = header + "\n";
  for (int h = 0; h < 24 * days; ++h) {
    std::chrono::year_month_day const day{date(2021, 1, 1) + std::chrono::days(h / 24)};
    text += fmt::format("{}-{:02}-{:02}T{:02}:00{}\n", static_cast<int>(day.year()), month_of(day), day_of(day), h % 24,
                        row);
  }
  return text;
}

/// What a season of the year 2031 is told of its weather files, after the name of the file at fault.
std::string told_of_season(WeatherKind kind, std::string const& climate, std::string const& hourly,
                           std::string const& daily) {
  TemporaryFile const a("climate.csv", climate), b("hourly.csv", hourly), c("daily.csv", daily);
  auto scenario = valley_scenario();
  scenario.weather.kind = kind;
  scenario.weather.climate_file.clear();
  if (!climate.empty()) scenario.weather.climate_file = a.path();
  if (!hourly.empty()) scenario.weather.hourly_file = b.path();
  if (!daily.empty()) scenario.weather.daily_file = c.path();
  Problems problems;
  CHECK_FALSE(open_weather(scenario, problems));
  REQUIRE(problems.all().size() == 1);
  return problems.all().front().message;
}

}  // namespace

TEST_CASE("weather that cannot make the season says what it lacks", "[sim][weather][hostile]") {
  std::string const days = table_of_days(100, "date,rain [mm],high [degC],low [degC]", ",2,20,10");
  std::string const hours = table_of_hours(30, "time,temperature [degC]", ",15");
  auto const measured = WeatherKind::measured, generated = WeatherKind::generated;
  CHECK(told_of_season(measured, "", days, "") ==
        "this is a table of days, not an hourly record; name an hourly file or use another key");
  CHECK(told_of_season(measured, "", "", hours) ==
        "this is a table of hours, not a daily record; name a daily record or use another key");
  CHECK(told_of_season(measured, "", table_of_hours(1, "time,rain [mm]", ",0"), "") ==
        "the air temperature is missing, or has gaps of more than 60 days; name a file that has it");
  CHECK(told_of_season(measured, "", "", table_of_days(400, "date,rain [mm]", ",2")) ==
        "the record lacks temperatures that cannot be filled; name an hourly file as well");
  CHECK(told_of_season(measured, "", "", days) ==
        "the record has not every date of the season in any year; name a longer record");
  CHECK(told_of_season(measured, "", hours, "") ==
        "the record has not every date of the season in any year; name a longer record");
  CHECK(told_of_season(generated, hours, "", "") ==
        "the file has no rain to fit a generator to; name a daily record as climate_file and this file as hourly_file");
  CHECK(told_of_season(generated, table_of_days(400, "date,high [degC],low [degC]", ",20,10"), "", "") ==
        "the record has no rain to fit a generator to; name one that has");
  CHECK(told_of_season(generated, table_of_days(400, "date,rain [mm]", ",2"), "", "") ==
        "the record lacks temperatures that cannot be filled; name an hourly file as well");
  CHECK(told_of_season(generated, days, "", "") ==
        "the record has 100 days, a generator needs at least a year; name a longer record");
  CHECK(told_of_season(generated, days, days, "") ==
        "this is a table of days, not an hourly record; name an hourly file or use another key");
}
