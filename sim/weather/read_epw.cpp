#include <fmt/format.h>

#include <cmath>

#include "models/constants.hpp"
#include "sim/scenario/units.hpp"
#include "sim/weather/readers.hpp"
#include "sim/weather/typical_year.hpp"

namespace brinecast::sim {

namespace {

constexpr std::size_t header_lines = 8;
constexpr std::size_t least_fields = 32;  // of 35; older files end after the days since the last snow

/// A field of the row, counted from 0, with the values that count (the format's missing codes lie outside).
struct Field {
  std::size_t index;
  std::string_view name;
  double HourOfRecord::*member;
  double lowest, highest, slope, offset;
};

constexpr std::array<Field, 6> fields_read{{
    {6, "dry bulb temperature", &HourOfRecord::air_temperature_K, -70.0, 70.0, 1.0, models::celsius_zero_K},
    {7, "dew point temperature", &HourOfRecord::dew_point_K, -70.0, 70.0, 1.0, models::celsius_zero_K},
    {9, "atmospheric pressure", &HourOfRecord::air_pressure_Pa, 31'000.0, 120'000.0, 1.0, 0.0},
    {13, "global horizontal radiation", &HourOfRecord::global_irradiance_W_per_m2, 0.0, 1500.0, 1.0, 0.0},
    {15, "diffuse horizontal radiation", &HourOfRecord::diffuse_irradiance_W_per_m2, 0.0, 1500.0, 1.0, 0.0},
    {21, "wind speed", &HourOfRecord::wind_speed_m_per_s, 0.0, 40.0, 1.0, 0.0},
}};
constexpr std::size_t rain_field = 33;

}  // namespace

bool looks_like_epw(std::string const& line) { return line.starts_with("LOCATION,"); }

bool read_epw(Reading const& reading, std::string line, WeatherFile& file) {
  file.format = "EPW";
  std::vector<std::string> fields;
  split_fields(line, fields);
  HourlyRecord record;
  record.typical_year = true;
  std::optional<double> latitude, longitude, zone, elevation;
  if (fields.size() >= 10) {
    latitude = read_number(fields[6]);
    longitude = read_number(fields[7]);
    zone = read_number(fields[8]);
    elevation = read_number(fields[9]);
  }
  if (!latitude || !longitude || !zone || !elevation || std::fabs(*latitude) > 90.0 || std::fabs(*longitude) > 180.0 ||
      std::fabs(*zone) > 14.0) {
    return reading.fault(
        "the line LOCATION does not give latitude, longitude, time zone and elevation; get the file again");
  }
  record.station = {
      .name = fields[1], .position = Position{*longitude, *latitude}, .elevation_m = elevation, .utc_offset_h = zone};
  for (std::size_t header = 1; header < header_lines; ++header) {
    if (!reading.lines.next(line))
      return reading.fault("the file ends within its header; get it again from its source");
    if (!line.starts_with("DATA PERIODS,")) continue;
    split_fields(line, fields);
    if (fields.size() > 2 && fields[2] != "1") {
      return reading.fault(fmt::format("the file has {} records an hour; hourly files are read", fields[2]));
    }
  }
  TypicalYearBuilder builder;
  std::size_t rain_given = 0, rain_missing = 0;
  double rain_sum_m = 0.0;
  while (reading.lines.next(line)) {
    if (trimmed(line).empty()) continue;
    split_fields(line, fields);
    if (fields.size() < least_fields) {
      return reading.fault(
          fmt::format("the row has {} fields, EPW has 35; the file seems cut, get it again", fields.size()));
    }
    auto const year = whole_number(fields[0]), month = whole_number(fields[1]), day = whole_number(fields[2]),
               end_hour = whole_number(fields[3]);
    if (!year || !month || !day || !end_hour || *end_hour < 1 || *end_hour > 24 || !valid_day(*year, *month, *day)) {
      return reading.fault(fmt::format(
          "\"{},{},{},{}\" is not a year, month, day and hour from 1 to 24; the file seems damaged, get it again",
          fields[0], fields[1], fields[2], fields[3]));
    }
    HourOfRecord* const hour = builder.hour({*year, *month, *day}, *end_hour - 1);
    if (hour == nullptr) continue;
    for (Field const& field : fields_read) {
      auto const value = read_number(fields[field.index]);
      if (!value)
        return reading.fault(fmt::format("{}: \"{}\" is not a number; the file seems damaged, get it again", field.name,
                                         fields[field.index]));
      if (*value >= field.lowest && *value <= field.highest) hour->*field.member = field.slope * *value + field.offset;
    }
    auto const rain = fields.size() > rain_field ? read_number(fields[rain_field]) : std::nullopt;
    if (rain && *rain >= 0.0 && *rain < 999.0) {
      ++rain_given;
      rain_sum_m += *rain * 1e-3;
      hour->rain_m = *rain * 1e-3;
    } else {
      ++rain_missing;
    }
  }
  if (!builder.finish(reading, record, file.notes)) return false;
  // A column that is mostly missing would pass its gaps off as dry hours.
  if (rain_given > 0 && rain_missing * 10 > rain_given) {
    for (auto& hour : record.hours) hour.rain_m = missing;
    file.notes.push_back(
        fmt::format("the rain column (field 34) is missing (999) in {} of {} hours; the {:.0f} mm of the others are no "
                    "year's rain and are not used",
                    rain_missing, rain_missing + rain_given, rain_sum_m * 1e3));
  } else if (rain_given > 0 && rain_sum_m <= 0.0) {
    for (auto& hour : record.hours) hour.rain_m = missing;
    file.notes.push_back("the rain column (field 34) is 0 in every hour; it is taken as not measured");
  } else if (rain_given > 0) {
    scale_rain_in_tenths(record, "EPW field 34", file.notes);
  }
  file.hourly = std::move(record);
  return true;
}

}  // namespace brinecast::sim
