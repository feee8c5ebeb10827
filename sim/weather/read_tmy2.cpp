#include <fmt/format.h>

#include <cmath>

#include "models/constants.hpp"
#include "sim/weather/readers.hpp"
#include "sim/weather/typical_year.hpp"

namespace brinecast::sim {

namespace {

constexpr std::size_t row_length = 142;

std::optional<int> whole(std::string const& line, std::size_t at, std::size_t length) {
  return whole_number(std::string_view(line).substr(at, length));
}

/// A field of the row: table 3-2 of the manual. Nines are missing.
struct Field {
  std::size_t at, length;
  double HourOfRecord::*member;
  int lowest, highest;
  double slope, offset;
};

constexpr std::array<Field, 6> fields{{
    {17, 4, &HourOfRecord::global_irradiance_W_per_m2, 0, 1415, 1.0, 0.0},
    {29, 4, &HourOfRecord::diffuse_irradiance_W_per_m2, 0, 1415, 1.0, 0.0},
    {67, 4, &HourOfRecord::air_temperature_K, -500, 500, 0.1, models::celsius_zero_K},
    {73, 4, &HourOfRecord::dew_point_K, -600, 300, 0.1, models::celsius_zero_K},
    {84, 4, &HourOfRecord::air_pressure_Pa, 700, 1100, 100.0, 0.0},
    {95, 3, &HourOfRecord::wind_speed_m_per_s, 0, 400, 0.1, 0.0},
}};

}  // namespace

bool looks_like_tmy2(std::string const& line) {
  // " 12839 MIAMI                  FL  -5 N 25 48 W  80 16     2"
  return line.size() >= 54 && line.size() <= 80 && whole(line, 1, 5) && whole(line, 33, 3) &&
         (line[37] == 'N' || line[37] == 'S') && (line[45] == 'E' || line[45] == 'W');
}

bool read_tmy2(Reading const& reading, std::string line, WeatherFile& file) {
  file.format = "TMY2";
  auto const degrees = whole(line, 39, 2), minutes = whole(line, 42, 2), longitude = whole(line, 47, 3),
             longitude_minutes = whole(line, 51, 2), elevation = whole(line, 53, line.size() - 53);
  double const north = (degrees.value_or(999) + minutes.value_or(0) / 60.0) * (line[37] == 'S' ? -1.0 : 1.0);
  double const east = (longitude.value_or(999) + longitude_minutes.value_or(0) / 60.0) * (line[45] == 'W' ? -1.0 : 1.0);
  double const zone = *whole(line, 33, 3);
  if (!minutes || !longitude_minutes || !elevation || std::fabs(north) > 90.0 || std::fabs(east) > 180.0 ||
      std::fabs(zone) > 14.0) {
    return reading.fault("the first line does not give a TMY2 station's place; get the file again from its source");
  }
  HourlyRecord record;
  record.typical_year = true;
  record.station = {.name = std::string(trimmed(std::string_view(line).substr(7, 22))),
                    .position = Position{east, north},
                    .elevation_m = static_cast<double>(*elevation),
                    .utc_offset_h = zone};
  TypicalYearBuilder builder;
  while (reading.lines.next(line)) {
    if (trimmed(line).empty()) continue;
    if (line.size() < row_length) {
      return reading.fault(fmt::format("the row has {} characters, TMY2 has {}; the file seems cut, get it again",
                                       line.size(), row_length));
    }
    auto const year = whole(line, 1, 2), month = whole(line, 3, 2), day = whole(line, 5, 2),
               end_hour = whole(line, 7, 2);
    if (!year || !month || !day || !end_hour || *end_hour < 1 || *end_hour > 24 ||
        !valid_day(1900 + *year, *month, *day)) {
      return reading.fault(fmt::format(
          "\"{}\" is not a year, month, day and hour; the file seems damaged, get it again", line.substr(1, 8)));
    }
    HourOfRecord* const hour = builder.hour({1900 + *year, *month, *day}, *end_hour - 1);
    if (hour == nullptr) continue;
    for (Field const& field : fields) {
      auto const value = whole(line, field.at, field.length);
      if (!value)
        return reading.fault(fmt::format("\"{}\" is not a number; the file seems damaged, get it again",
                                         line.substr(field.at, field.length)));
      if (*value >= field.lowest && *value <= field.highest) hour->*field.member = field.slope * *value + field.offset;
    }
  }
  if (!builder.finish(reading, record, file.notes)) return false;
  file.hourly = std::move(record);
  return true;
}

}  // namespace brinecast::sim
