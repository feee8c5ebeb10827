// Comma separated values, one row an hour or a day, with a unit in each header: `rain [mm]` or `rain (mm)`.
// Columns, of which the first and one other are needed:
//   date              daily: 2031-07-14, 2031/07/14 or 20310714
//   time, time_end    hourly: 2031-07-14T15:00 or with a blank, the start or the end of the hour, in standard time all
//   year;
//                     Z or an offset such as -06:00 may follow
//   rain, high, low, temperature (hourly), dew_point or relative_humidity (hourly), wind, sun, diffuse_sun (hourly),
//   pressure (hourly); precipitation, temp_max and temp_min are taken for rain, high and low
// Empty cells, NA, NaN, M and numbers of nines below zero (-999, -9999) are missing; T in rain is a trace, 0.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "models/constants.hpp"
#include "sim/scenario/units.hpp"
#include "sim/weather/readers.hpp"
#include "sim/weather/record_builder.hpp"

namespace brinecast::sim {

namespace {

struct Column {
  std::string_view name;
  Quantity kind;
  std::string_view usual_unit;  // taken, with a note, when the header gives none
  double HourOfRecord::*hourly;
  double DayOfRecord::*daily;
  double lowest, highest;  // accepted, SI; records of the World Meteorological Organization, from memory
};

constexpr std::array<Column, 11> columns{{
    {"rain", Quantity::depth, "mm", &HourOfRecord::rain_m, &DayOfRecord::rain_m, 0.0, 1.9},
    {"precipitation", Quantity::depth, "mm", &HourOfRecord::rain_m, &DayOfRecord::rain_m, 0.0, 1.9},
    {"high", Quantity::temperature, "degC", nullptr, &DayOfRecord::high_K, 183.0, 331.0},
    {"temp_max", Quantity::temperature, "degC", nullptr, &DayOfRecord::high_K, 183.0, 331.0},
    {"low", Quantity::temperature, "degC", nullptr, &DayOfRecord::low_K, 183.0, 331.0},
    {"temp_min", Quantity::temperature, "degC", nullptr, &DayOfRecord::low_K, 183.0, 331.0},
    {"temperature", Quantity::temperature, "degC", &HourOfRecord::air_temperature_K, nullptr, 183.0, 331.0},
    {"dew_point", Quantity::temperature, "degC", &HourOfRecord::dew_point_K, &DayOfRecord::dew_point_K, 170.0, 310.0},
    {"wind", Quantity::speed, "m/s", &HourOfRecord::wind_speed_m_per_s, &DayOfRecord::wind_speed_m_per_s, 0.0, 115.0},
    {"sun", Quantity::irradiance, "W/m2", &HourOfRecord::global_irradiance_W_per_m2,
     &DayOfRecord::global_irradiance_W_per_m2, -20.0, 1600.0},
    {"diffuse_sun", Quantity::irradiance, "W/m2", &HourOfRecord::diffuse_irradiance_W_per_m2, nullptr, -20.0, 1600.0},
}};
constexpr Column pressure{"pressure", Quantity::pressure, "hPa",    &HourOfRecord::air_pressure_Pa,
                          nullptr,    45'000.0,           109'000.0};
constexpr Column humidity{"relative_humidity", Quantity::share, "%", nullptr, nullptr, 0.0, 1.1};

Column const* find_column(std::string_view name) {
  for (auto const& column : columns) {
    if (column.name == name) return &column;
  }
  for (auto const* const column : {&pressure, &humidity}) {
    if (column->name == name) return column;
  }
  return nullptr;
}

struct Header {
  std::string name, unit;
};

Header split_header(std::string_view cell) {
  auto const open = cell.find_first_of("[(");
  if (open == std::string_view::npos || (cell.back() != ']' && cell.back() != ')')) return {std::string(cell), ""};
  return {std::string(trimmed(cell.substr(0, open))),
          std::string(trimmed(cell.substr(open + 1, cell.size() - open - 2)))};
}

struct ReadColumn {
  std::size_t cell = 0;
  Column const* column = nullptr;
  std::string unit;
  UnitConversion conversion;
};

struct Stamp {
  std::chrono::sys_days day{};
  int hour = 0;
  std::optional<double> utc_offset_h;
};

std::optional<Stamp> read_stamp(std::string const& text, bool hourly) {
  int year = 0, month = 0, day = 0, used = 0;
  char first = 0, second = 0;
  if (std::sscanf(text.c_str(), "%4d%c%2d%c%2d%n", &year, &first, &month, &second, &day, &used) == 5 && used > 0) {
    if ((first != '-' && first != '/') || first != second) return std::nullopt;
  } else if (used = 0; std::sscanf(text.c_str(), "%4d%2d%2d%n", &year, &month, &day, &used) != 3 || used != 8) {
    return std::nullopt;
  }
  auto const date = valid_day(year, month, day);
  if (!date) return std::nullopt;
  Stamp stamp{*date, 0, {}};
  auto const rest = std::string_view(text).substr(static_cast<std::size_t>(used));
  if (!hourly)
    return rest.empty() || rest.substr(0, 6) == "T00:00" || rest.substr(0, 6) == " 00:00" ? std::optional(stamp)
                                                                                          : std::nullopt;
  int minute = 0, hour_used = 0;
  std::string const clock(rest.empty() ? rest : rest.substr(1));
  if (rest.empty() || (rest[0] != 'T' && rest[0] != ' ') ||
      std::sscanf(clock.c_str(), "%2d:%2d%n", &stamp.hour, &minute, &hour_used) != 2 || stamp.hour < 0 ||
      stamp.hour > 24 || minute != 0) {
    return std::nullopt;
  }
  std::string zone = clock.substr(static_cast<std::size_t>(hour_used));
  if (zone.starts_with(":00")) zone.erase(0, 3);
  int zone_hour = 0, zone_minute = 0;
  char sign = 0;
  if (zone == "Z") {
    stamp.utc_offset_h = 0.0;
  } else if (std::sscanf(zone.c_str(), "%c%2d:%2d", &sign, &zone_hour, &zone_minute) == 3 &&
             (sign == '+' || sign == '-')) {
    stamp.utc_offset_h = (sign == '-' ? -1.0 : 1.0) * (zone_hour + zone_minute / 60.0);
  } else if (!zone.empty()) {
    return std::nullopt;
  }
  return stamp;
}

bool is_missing(std::string const& cell) {
  if (cell.empty() || cell == "NA" || cell == "NaN" || cell == "nan" || cell == "M") return true;
  auto const number = read_number(cell);
  return number && (*number == -999.0 || *number == -9999.0 || *number == -99999.0);
}

/// Dew point from relative humidity: Magnus formula with the coefficients of Alduchov and Eskridge 1996 (from memory).
double dew_point_K(double air_temperature_K, double relative_humidity) {
  double const t = air_temperature_K - models::celsius_zero_K;
  double const a = std::log(std::clamp(relative_humidity, 0.01, 1.0)) + 17.625 * t / (243.04 + t);
  return 243.04 * a / (17.625 - a) + models::celsius_zero_K;
}

/// The columns of the header; empty after a fault.
std::vector<ReadColumn> read_header(Reading const& reading, std::vector<std::string> const& cells, bool hourly,
                                    WeatherFile& file) {
  std::vector<ReadColumn> found;
  std::string ignored;
  for (std::size_t cell = 1; cell < cells.size(); ++cell) {
    Header header = split_header(cells[cell]);
    Column const* const column = find_column(header.name);
    if (column == nullptr || (hourly ? column->hourly == nullptr && column != &humidity : column->daily == nullptr)) {
      ignored += (ignored.empty() ? "" : ", ") + header.name;
      continue;
    }
    if (header.unit.empty()) {
      header.unit = column->usual_unit;
      file.notes.push_back(fmt::format("column {} has no unit in its header; taken as {}, write {} [{}] to say so",
                                       header.name, header.unit, header.name, header.unit));
    }
    auto const unit = read_unit(header.unit, column->kind);
    if (!unit.conversion) {
      reading.fault(fmt::format("column {}: [{}] does not measure {} ({}); write for example {} [{}]", header.name,
                                header.unit.substr(0, 40), quantity_info(column->kind).phrase, unit.problem,
                                header.name, column->usual_unit));
      return {};
    }
    found.push_back({cell, column, header.unit, *unit.conversion});
  }
  if (!ignored.empty()) file.notes.push_back("columns not read: " + ignored);
  if (found.empty())
    reading.fault(
        "no column of the table is known; known are rain, high, low, temperature, dew_point, relative_humidity, wind, "
        "sun, diffuse_sun, pressure");
  return found;
}

}  // namespace

bool looks_like_plain_csv(std::string const& line) {
  std::string const first(trimmed(line.substr(0, line.find(','))));
  return line.find(',') != std::string::npos && (first == "date" || first == "time" || first == "time_end");
}

bool read_plain_csv(Reading const& reading, std::string line, WeatherFile& file) {
  std::vector<std::string> fields;
  split_fields(line, fields);
  bool const hourly = fields[0] != "date", stamped_at_end = fields[0] == "time_end";
  file.format = hourly ? "a table of hours" : "a table of days";
  std::size_t const width = fields.size();
  auto const found = read_header(reading, fields, hourly, file);
  if (found.empty()) return false;
  HourlyBuilder hours;
  DailyBuilder days;
  std::optional<double> utc_offset_h;
  int repeated_days = 0;
  while (reading.lines.next(line)) {
    if (trimmed(line).empty() || line.front() == '#') continue;
    split_fields(line, fields);
    if (fields.size() != width) {
      return reading.fault(
          fmt::format("the row has {} fields and the header {}; the file seems cut or its separators are mixed",
                      fields.size(), width));
    }
    auto stamp = read_stamp(fields[0], hourly);
    if (!stamp) {
      return reading.fault(
          hourly ? fmt::format("\"{}\" is not a whole hour; write for example 2031-07-14T15:00", fields[0])
                 : fmt::format("\"{}\" is not a date; write for example 2031-07-14", fields[0]));
    }
    if (stamp->utc_offset_h) {
      if (utc_offset_h && *utc_offset_h != *stamp->utc_offset_h) {
        return reading.fault(
            fmt::format("the offset from universal time changes at \"{}\"; write standard time all year", fields[0]));
      }
      utc_offset_h = stamp->utc_offset_h;
    }
    HourOfRecord* hour = nullptr;
    DayOfRecord* day = nullptr;
    if (hourly) {
      int const start = stamp->hour - (stamped_at_end ? 1 : 0);  // from -1, of the day before, to 24, of the next
      auto const date = stamp->day + std::chrono::days(start < 0 ? -1 : start / 24);
      if (!hours.reaches(date)) return reading.fault("the days span more than 200 years; check the dates");
      hour = hours.hour(date, (start + 24) % 24);
      if (hour == nullptr) continue;
    } else {
      day = days.day(stamp->day);
      if (day == nullptr) return reading.fault("the days span more than 200 years; check the dates");
      if (!(std::isnan(day->rain_m) && std::isnan(day->high_K) && std::isnan(day->low_K))) {
        ++repeated_days;
        continue;
      }
    }
    double relative_humidity = missing;
    for (ReadColumn const& column : found) {
      std::string const& cell = fields[column.cell];
      if (is_missing(cell)) continue;
      auto number = read_number(cell);
      if (!number && cell == "T" && column.column->kind == Quantity::depth) number = 0.0;
      if (!number)
        return reading.fault(
            fmt::format("column {}: \"{}\" is not a number; leave unknown cells empty", column.column->name, cell));
      double const si = column.conversion.slope * *number + column.conversion.offset;
      if (!(si >= column.column->lowest && si <= column.column->highest)) {
        return reading.fault(fmt::format("column {}: {} {} does not occur on Earth; check the unit in the header",
                                         column.column->name, cell, column.unit));
      }
      if (column.column == &humidity) {
        relative_humidity = si;
      } else if (hourly) {
        hour->*column.column->hourly = column.column->kind == Quantity::irradiance ? std::max(0.0, si) : si;
      } else {
        day->*column.column->daily = column.column->kind == Quantity::irradiance ? std::max(0.0, si) : si;
      }
    }
    if (hourly && !std::isnan(relative_humidity) && std::isnan(hour->dew_point_K)) {
      hour->dew_point_K = dew_point_K(hour->air_temperature_K, relative_humidity);
    }
    if (day != nullptr && day->high_K < day->low_K) {
      return reading.fault("the day's highest temperature is below its lowest; check the columns");
    }
  }
  if (hours.empty() && days.empty()) return reading.fault("the table has a header and no rows");
  if (hourly) {
    HourlyRecord record;
    record.station = {
        .name = reading.path.stem().string(), .position = {}, .elevation_m = {}, .utc_offset_h = utc_offset_h};
    hours.finish(record, file.notes);
    file.hourly = std::move(record);
  } else {
    DailyRecord record;
    record.station.name = reading.path.stem().string();
    days.finish(record, file.notes);
    if (repeated_days > 0)
      file.notes.push_back(fmt::format("{} days come twice; the first row of each counts", repeated_days));
    file.daily = std::move(record);
  }
  return true;
}

}  // namespace brinecast::sim
