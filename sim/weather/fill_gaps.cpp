#include "sim/weather/fill_gaps.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace brinecast::sim {

namespace {

/// A gap [first, end) in a series.
struct Gap {
  std::size_t first, end;
};

std::vector<Gap> gaps_of(std::vector<double> const& values) {
  std::vector<Gap> gaps;
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (!std::isnan(values[i])) continue;
    std::size_t end = i;
    while (end < values.size() && std::isnan(values[end])) ++end;
    gaps.push_back({i, end});
    i = end;
  }
  return gaps;
}

struct FillRule {
  std::size_t longest_line = 0;    // steps that a straight line may bridge
  std::vector<int> nearest_steps;  // then: distances at which to look for a value, in order, before and after
};

/// Counts of what was filled and how.
struct Filled {
  std::size_t by_line = 0, by_nearest = 0, left = 0;
};

Filled fill(std::vector<double>& values, FillRule const& rule) {
  Filled filled;
  std::vector<double> const given = values;
  auto const count = static_cast<std::ptrdiff_t>(values.size());
  for (Gap const& gap : gaps_of(given)) {
    std::size_t const length = gap.end - gap.first;
    if (length <= rule.longest_line && gap.first > 0 && gap.end < values.size()) {
      double const from = given[gap.first - 1], to = given[gap.end];
      for (std::size_t i = gap.first; i < gap.end; ++i) {
        values[i] = from + (to - from) * static_cast<double>(i - gap.first + 1) / static_cast<double>(length + 1);
      }
      filled.by_line += length;
      continue;
    }
    for (std::size_t i = gap.first; i < gap.end; ++i) {
      for (int const step : rule.nearest_steps) {
        auto const at = static_cast<std::ptrdiff_t>(i) + step;
        if (at < 0 || at >= count || std::isnan(given[static_cast<std::size_t>(at)])) continue;
        values[i] = given[static_cast<std::size_t>(at)];
        break;
      }
      ++(std::isnan(values[i]) ? filled.left : filled.by_nearest);
    }
  }
  return filled;
}

template <class Row>
struct Column {
  std::string_view name;
  double Row::*member;
  FillRule rule;
};

template <class Row>
void fill_columns(std::vector<Row>& rows, std::vector<Column<Row>> const& columns, std::string_view step_name,
                  std::string_view nearest_name, std::vector<std::string>& notes) {
  std::vector<double> values(rows.size());
  for (auto const& column : columns) {
    std::transform(rows.begin(), rows.end(), values.begin(), [&](Row const& row) { return row.*column.member; });
    if (std::all_of(values.begin(), values.end(), [](double v) { return std::isnan(v); })) continue;
    Filled const filled = fill(values, column.rule);
    if (filled.by_line + filled.by_nearest + filled.left == 0) continue;
    for (std::size_t i = 0; i < rows.size(); ++i) rows[i].*column.member = values[i];
    std::string note =
        fmt::format("{}: {} {} missing", column.name, filled.by_line + filled.by_nearest + filled.left, step_name);
    if (filled.by_line > 0) note += fmt::format(", {} filled by a straight line", filled.by_line);
    if (filled.by_nearest > 0) note += fmt::format(", {} by {}", filled.by_nearest, nearest_name);
    if (filled.left > 0) note += fmt::format(", {} left", filled.left);
    notes.push_back(std::move(note));
  }
}

}  // namespace

void fill_gaps(HourlyRecord& record, std::vector<std::string>& notes) {
  std::vector<int> days;
  for (int distance = 1; distance <= 60; ++distance) {
    days.push_back(-24 * distance);
    days.push_back(24 * distance);
  }
  FillRule const slow{6, days}, sun{0, days};
  using Hour = HourOfRecord;
  fill_columns<Hour>(record.hours,
                     {{"air temperature", &Hour::air_temperature_K, slow},
                      {"dew point", &Hour::dew_point_K, slow},
                      {"air pressure", &Hour::air_pressure_Pa, slow},
                      {"wind", &Hour::wind_speed_m_per_s, slow},
                      {"global irradiance", &Hour::global_irradiance_W_per_m2, sun},
                      {"diffuse irradiance", &Hour::diffuse_irradiance_W_per_m2, sun}},
                     "hours", "the same hour of the nearest day", notes);
  if (!record.has_rain()) return;
  std::size_t dry = 0;
  for (auto& hour : record.hours) {
    if (!std::isnan(hour.rain_m)) continue;
    hour.rain_m = 0.0;
    ++dry;
  }
  if (dry > 0) notes.push_back(fmt::format("rain: {} hours missing, taken as dry", dry));
}

void fill_gaps(DailyRecord& record, std::vector<std::string>& notes) {
  std::vector<int> years;
  auto const add = [&](int distance) {
    years.push_back(-distance);
    years.push_back(distance);
  };
  // The same date within a day: four years hold one leap day.
  for (int year = 1; year <= 200; ++year) {
    int const distance = static_cast<int>(std::lround(365.2425 * year));
    if (distance < static_cast<int>(record.days.size())) add(distance);
  }
  // A record of one year has only its neighbouring days.
  for (int distance = 1; distance <= 30; ++distance) add(distance);
  FillRule const slow{5, years}, rain{0, years};
  using Day = DayOfRecord;
  fill_columns<Day>(record.days,
                    {{"rain", &Day::rain_m, rain},
                     {"highest temperature", &Day::high_K, slow},
                     {"lowest temperature", &Day::low_K, slow},
                     {"wind", &Day::wind_speed_m_per_s, slow},
                     {"dew point", &Day::dew_point_K, slow},
                     {"global irradiance", &Day::global_irradiance_W_per_m2, rain}},
                    "days", "the same date of the nearest year", notes);
}

}  // namespace brinecast::sim
