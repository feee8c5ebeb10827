#include <fmt/format.h>

#include <cmath>
#include <cstdio>

#include "models/constants.hpp"
#include "sim/scenario/units.hpp"
#include "sim/weather/readers.hpp"
#include "sim/weather/record_builder.hpp"
#include "sim/weather/typical_year.hpp"

namespace brinecast::sim {

namespace {

constexpr std::size_t fields_of_row = 71;
// Places of the fields, counted from 0: table 1-4 of the manual.
constexpr std::size_t field_date = 0, field_time = 1, field_global = 4, field_diffuse = 10, field_dry_bulb = 31,
                      field_dew_point = 34, field_pressure = 40, field_wind = 46, field_rain = 64,
                      field_rain_hours = 65;

}  // namespace

bool looks_like_tmy3(std::string const& line) {
  std::vector<std::string> fields;
  split_fields(line, fields);
  return fields.size() == 7 && fields[0].size() == 6 && read_number(fields[0]) && read_number(fields[3]) &&
         read_number(fields[4]) && read_number(fields[5]) && read_number(fields[6]);
}

bool read_tmy3(Reading const& reading, std::string line, WeatherFile& file) {
  file.format = "TMY3";
  std::vector<std::string> fields;
  split_fields(line, fields);
  double const zone = *read_number(fields[3]), latitude = *read_number(fields[4]), longitude = *read_number(fields[5]);
  if (std::fabs(latitude) > 90.0 || std::fabs(longitude) > 180.0 || std::fabs(zone) > 14.0) {
    return reading.fault("the first line does not give a place on Earth; get the file again from its source");
  }
  HourlyRecord record;
  record.typical_year = true;
  record.station = {.name = fields[1],
                    .position = Position{longitude, latitude},
                    .elevation_m = read_number(fields[6]),
                    .utc_offset_h = zone};
  if (!reading.lines.next(line))
    return reading.fault("the file ends after its first line; get it again from its source");
  split_fields(line, fields);
  if (fields.size() != fields_of_row || !fields[field_dry_bulb].starts_with("Dry-bulb")) {
    return reading.fault(
        fmt::format("line 2 should name the {} columns of TMY3 and does not; get the file again", fields_of_row));
  }
  TypicalYearBuilder builder;
  int rain_of_several_hours = 0;
  while (reading.lines.next(line)) {
    if (trimmed(line).empty()) continue;
    split_fields(line, fields);
    if (fields.size() != fields_of_row) {
      return reading.fault(fmt::format("the row has {} fields, TMY3 has {}; the file seems cut, get it again",
                                       fields.size(), fields_of_row));
    }
    int month = 0, day = 0, year = 0, end_hour = 0;
    if (std::sscanf(fields[field_date].c_str(), "%2d/%2d/%4d", &month, &day, &year) != 3 ||
        std::sscanf(fields[field_time].c_str(), "%2d:00", &end_hour) != 1 || end_hour < 1 || end_hour > 24 ||
        !valid_day(year, month, day)) {
      return reading.fault(fmt::format("\"{} {}\" is not a date and hour; TMY3 has for example 01/31/1999 24:00",
                                       fields[field_date], fields[field_time]));
    }
    HourOfRecord* const hour = builder.hour({.year = year, .month = month, .day = day}, end_hour - 1);
    if (hour == nullptr) continue;
    // A value of -9900 is missing (manual, section 1); whatever cannot occur is treated alike.
    auto const value = [&](std::size_t field, double lowest, double highest, double& into, double slope,
                           double offset) {
      auto const number = read_number(fields[field]);
      if (!number) return false;
      if (*number >= lowest && *number <= highest) into = slope * *number + offset;
      return true;
    };
    bool const sound = value(field_global, 0.0, 1500.0, hour->global_irradiance_W_per_m2, 1.0, 0.0) &&
                       value(field_diffuse, 0.0, 1500.0, hour->diffuse_irradiance_W_per_m2, 1.0, 0.0) &&
                       value(field_dry_bulb, -90.0, 60.0, hour->air_temperature_K, 1.0, models::celsius_zero_K) &&
                       value(field_dew_point, -90.0, 40.0, hour->dew_point_K, 1.0, models::celsius_zero_K) &&
                       value(field_pressure, 450.0, 1100.0, hour->air_pressure_Pa, 100.0, 0.0) &&
                       value(field_wind, 0.0, 75.0, hour->wind_speed_m_per_s, 1.0, 0.0) &&
                       value(field_rain, 0.0, 4000.0, hour->rain_m, 1e-3, 0.0);
    if (!sound) return reading.fault("a value of the row is not a number; the file seems damaged, get it again");
    if (auto const hours = read_number(fields[field_rain_hours]); hours && *hours > 1.0 && hour->rain_m > 0.0)
      ++rain_of_several_hours;
  }
  if (!builder.finish(reading, record, file.notes)) return false;
  if (rain_of_several_hours > 0) {
    file.notes.push_back(fmt::format("{} rain amounts were gathered over several hours and are put into the last one",
                                     rain_of_several_hours));
  }
  scale_rain_in_tenths(record, "TMY3 column Lprecip depth (mm)", file.notes);
  file.hourly = std::move(record);
  return true;
}

}  // namespace brinecast::sim
