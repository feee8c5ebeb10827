#include "sim/weather/climate_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/scenario/csv.hpp"
#include "sim/scenario/limits.hpp"
#include "sim/scenario/units.hpp"
#include "sim/weather/day_of_weather.hpp"

namespace brinecast::sim {

namespace {

struct Column {
  std::string_view name;
  std::optional<Quantity> kind;  // empty: a plain number
  double ClimateMonth::*member;
  double lowest, highest;  // accepted, SI
  bool required = false;
};

// Limits: the wettest month on record has 9.3 m (Cherrapunji, July 1861), temperatures on record reach from 184 to 330
// K (World Meteorological Organization, from memory).
constexpr std::array<Column, 19> columns{{
    {"rain", Quantity::depth, &ClimateMonth::rain_m, 0.0, 9.3, true},
    {"wet_days", Quantity::duration, &ClimateMonth::wet_days, 0.0, 31.0 * 86'400.0, true},
    {"high", Quantity::temperature, &ClimateMonth::high_K, 184.0, 330.0, true},
    {"low", Quantity::temperature, &ClimateMonth::low_K, 184.0, 330.0, true},
    {"rain_spread", Quantity::depth, &ClimateMonth::rain_spread_m, 0.0, 5.0},
    {"wet_after_wet", Quantity::share, &ClimateMonth::wet_after_wet, 0.0, 1.0},
    {"rain_shape", std::nullopt, &ClimateMonth::rain_shape, 0.1, 8.0},
    {"rain_tail", std::nullopt, &ClimateMonth::rain_tail, 0.01, 0.35},
    {"high_wet", Quantity::temperature, &ClimateMonth::high_wet_K, 184.0, 330.0},
    {"low_wet", Quantity::temperature, &ClimateMonth::low_wet_K, 184.0, 330.0},
    {"highest", Quantity::temperature, &ClimateMonth::highest_K, 184.0, 330.0},
    {"lowest", Quantity::temperature, &ClimateMonth::lowest_K, 184.0, 330.0},
    {"temperature_spread", Quantity::temperature_change, &ClimateMonth::temperature_spread_K, 0.0, 20.0},
    {"temperature_persistence", std::nullopt, &ClimateMonth::temperature_persistence, 0.0, 0.97},
    {"sun", Quantity::irradiance, &ClimateMonth::sun_W_per_m2, 0.0, 500.0},
    {"sun_wet", Quantity::irradiance, &ClimateMonth::sun_wet_W_per_m2, 0.0, 500.0},
    {"dew_point", Quantity::temperature, &ClimateMonth::dew_point_K, 184.0, 310.0},
    {"wind", Quantity::speed, &ClimateMonth::wind_m_per_s, 0.0, 30.0},
    {"pressure", Quantity::pressure, &ClimateMonth::pressure_Pa, 45'000.0, 109'000.0},
}};

/// A column of the file, ready to read its cells.
struct Reading {
  std::size_t cell = 0;
  Column const* column = nullptr;
  UnitConversion conversion;
};

std::vector<std::string> known_names() {
  std::vector<std::string> names{"month"};
  for (auto const& column : columns) names.emplace_back(column.name);
  return names;
}

void check_months(ClimateTable const& table, std::string const& file, Problems& problems) {
  for (std::size_t m = 0; m < 12; ++m) {
    ClimateMonth const& month = table[m];
    auto const wrong = [&](std::string message) {
      problems.add({file, 0, 0, fmt::format("month {}", m + 1), std::move(message)});
    };
    if (month.high_K < month.low_K) wrong("high is below low; exchange them");
    if (month.highest_K < month.high_K)
      wrong("highest is below high, the mean of the days' highs; highest is the hottest of all years");
    if (month.lowest_K > month.low_K)
      wrong("lowest is above low, the mean of the days' lows; lowest is the coldest of all years");
    if (month.rain_m > 0.0 && month.wet_days < 0.03)
      wrong("there is rain but no wet day; give the mean number of wet days");
    if (month.wet_days > 0.0 && month.rain_m < month.wet_days * wet_day_rain_m) {
      wrong("the wet days have less than 0.25 mm each; check the unit of rain");
    }
  }
}

}  // namespace

std::optional<ClimateTable> read_climate_table(std::filesystem::path const& path, Problems& problems) {
  std::string const file = path.string();
  auto const fault = [&](int line, std::string place, std::string message) {
    problems.add({file, line, 0, std::move(place), std::move(message)});
  };
  auto const before = problems.all().size();
  auto const text = read_text_file(path, file, largest_climate_bytes, problems);
  if (!text) return std::nullopt;
  auto const csv = read_csv(*text, file, problems);
  if (!csv) return std::nullopt;

  std::vector<Reading> readings;
  std::optional<std::size_t> month_cell;
  for (std::size_t cell = 0; cell < csv->header.size(); ++cell) {
    ColumnHeader const header = split_column_header(csv->header[cell]);
    if (header.name == "month") {
      month_cell = cell;
      continue;
    }
    auto const column =
        std::find_if(columns.begin(), columns.end(), [&](Column const& c) { return c.name == header.name; });
    if (column == columns.end()) {
      std::string const near = nearest_word(header.name, known_names());
      fault(csv->header_line, "column " + header.name,
            near.empty() ? "unknown column; remove it or see the list of columns"
                         : "unknown column; did you mean " + near + "?");
      continue;
    }
    Reading reading{cell, &*column, {}};
    if (column->kind) {
      if (header.unit.empty()) {
        fault(csv->header_line, "column " + header.name,
              fmt::format("the header has no unit; write for example {} [{}]", header.name,
                          quantity_info(*column->kind).shown_unit_si));
        continue;
      }
      auto const unit = read_unit(header.unit, *column->kind);
      if (!unit.conversion) {
        fault(csv->header_line, "column " + header.name,
              fmt::format("[{}] does not measure {} ({}); write for example {} [{}]", header.unit.substr(0, 40),
                          quantity_info(*column->kind).phrase, unit.problem, header.name,
                          quantity_info(*column->kind).shown_unit_si));
        continue;
      }
      reading.conversion = *unit.conversion;
    }
    readings.push_back(reading);
  }
  if (!month_cell)
    fault(csv->header_line, "", "there is no column month; this is not a table of monthly climate figures");
  for (auto const& column : columns) {
    bool const found =
        std::any_of(readings.begin(), readings.end(), [&](auto const& r) { return r.column == &column; });
    if (column.required && !found && month_cell)
      fault(csv->header_line, "", fmt::format("column {} is missing", column.name));
  }
  if (problems.all().size() > before) return std::nullopt;

  ClimateTable table{};
  for (auto& month : table) {
    for (auto const& column : columns) month.*column.member = missing;
    month.rain_shape = 0.7;
    month.rain_tail = 0.12;
    month.temperature_spread_K = 3.0;
    month.temperature_persistence = 0.7;
    month.wind_m_per_s = 3.0;
  }
  std::array<int, 12> seen{};
  for (auto const& row : csv->rows) {
    auto const number = read_number(row.cells[*month_cell]);
    if (!number || *number != std::floor(*number) || *number < 1.0 || *number > 12.0) {
      fault(row.line, "column month", fmt::format("\"{}\" is not a month; write 1 to 12", row.cells[*month_cell]));
      continue;
    }
    auto const month = static_cast<std::size_t>(*number) - 1;
    if (seen[month]++ > 0)
      fault(row.line, "column month", fmt::format("month {} appears twice; keep one row", month + 1));
    for (auto const& reading : readings) {
      auto const value = read_number(row.cells[reading.cell]);
      std::string const place = fmt::format("column {}", reading.column->name);
      if (!value) {
        fault(row.line, place, fmt::format("\"{}\" is not a number; write for example 12.5", row.cells[reading.cell]));
        continue;
      }
      double const si = reading.conversion.slope * *value + reading.conversion.offset;
      if (!(si >= reading.column->lowest && si <= reading.column->highest)) {
        fault(row.line, place,
              fmt::format("{} is outside what occurs on Earth ({:.4g} to {:.4g} in the header's unit); check the unit",
                          row.cells[reading.cell],
                          (reading.column->lowest - reading.conversion.offset) / reading.conversion.slope,
                          (reading.column->highest - reading.conversion.offset) / reading.conversion.slope));
      }
      table[month].*(reading.column->member) = si;
    }
  }
  for (std::size_t m = 0; m < 12; ++m) {
    if (seen[m] == 0) fault(0, "", fmt::format("month {} is missing; give 12 rows", m + 1));
    table[m].wet_days /= 86'400.0;
  }
  if (problems.all().size() == before) check_months(table, file, problems);
  if (problems.all().size() > before) return std::nullopt;
  return table;
}

}  // namespace brinecast::sim
