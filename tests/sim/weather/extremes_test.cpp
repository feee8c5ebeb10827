// The hottest and coldest days of generated months beside those of records.

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <iostream>

#include "models/constants.hpp"
#include "records.hpp"
#include "sim/weather/fit_generator.hpp"
#include "sim/weather/weather_report.hpp"
#include "sim/weather/weather_statistics.hpp"

using namespace brinecast::sim;
using namespace brinecast::tests;

namespace {

/// Monthly figures of a record, as a climate table would give them.
ClimateTable table_of(DaysOfWeather const& days) {
  struct Sums {
    double days = 0.0, wet = 0.0, rain = 0.0, high = 0.0, low = 0.0, high_wet = 0.0, low_wet = 0.0;
    double mean = 0.0, square = 0.0, wet_after_wet = 0.0;
  };
  std::array<Sums, 12> sums{};
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    DayOfWeather const& day = days.days[d];
    Sums& of = sums[day_in_year(days.day(d)).month];
    of.days += 1.0;
    of.rain += day.rain_m;
    of.high += day.highest_K();
    of.low += day.lowest_K();
    of.mean += day.mean_temperature_K;
    of.square += day.mean_temperature_K * day.mean_temperature_K;
    if (!day.wet()) continue;
    of.wet += 1.0;
    of.high_wet += day.highest_K();
    of.low_wet += day.lowest_K();
    of.wet_after_wet += d > 0 && days.days[d - 1].wet() ? 1.0 : 0.0;
  }
  double const persistence = temperature_autocorrelation(days, normal_temperature(days));
  ClimateTable table{};
  for (std::size_t m = 0; m < 12; ++m) {
    Sums const& of = sums[m];
    double const per_year = 30.44 / of.days;
    double const mean = of.mean / of.days;
    auto const when_wet = [&](double sum) { return of.wet >= 10.0 ? sum / of.wet : missing; };
    table[m] = {.rain_m = of.rain * per_year,
                .wet_days = of.wet * per_year,
                .high_K = of.high / of.days,
                .low_K = of.low / of.days,
                .rain_spread_m = missing,
                .wet_after_wet = when_wet(of.wet_after_wet),
                .rain_shape = 0.7,
                .rain_tail = 0.12,
                .high_wet_K = when_wet(of.high_wet),
                .low_wet_K = when_wet(of.low_wet),
                .highest_K = missing,
                .lowest_K = missing,
                .temperature_spread_K = std::sqrt(std::max(0.0, of.square / of.days - mean * mean)),
                .temperature_persistence = persistence,
                .sun_W_per_m2 = missing,
                .sun_wet_W_per_m2 = missing,
                .dew_point_K = missing,
                .wind_m_per_s = 3.0,
                .pressure_Pa = missing};
  }
  return table;
}

struct Extremes {
  std::array<double, 12> highest_K{}, lowest_K{};
  Extremes() { lowest_K.fill(1e9); }
};

Extremes extremes_of(DaysOfWeather const& days) {
  Extremes found;
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    std::size_t const m = day_in_year(days.day(d)).month;
    found.highest_K[m] = std::max(found.highest_K[m], days.days[d].highest_K());
    found.lowest_K[m] = std::min(found.lowest_K[m], days.days[d].lowest_K());
  }
  return found;
}

/// The mean over ten generated spans of the extremes of so many years.
Extremes expected_extremes(GeneratorModel const& model, int years) {
  constexpr std::uint32_t spans = 10;
  SiteField const one_site({}, 1.0);
  Extremes mean;
  mean.lowest_K.fill(0.0);
  for (std::uint32_t span = 0; span < spans; ++span) {
    Extremes const of =
        extremes_of(generate_days(model, one_site, {.seed = 11, .replicate = span}, date(2001, 1, 1), 365 * years));
    for (std::size_t m = 0; m < 12; ++m) {
      mean.highest_K[m] += of.highest_K[m] / spans;
      mean.lowest_K[m] += of.lowest_K[m] / spans;
    }
  }
  return mean;
}
/// Errors of generated extremes, K.
struct Errors {
  double count = 0.0, sum = 0.0, squares = 0.0, worst = 0.0;

  void add(double error) {
    count += 1.0;
    sum += error;
    squares += error * error;
    worst = std::max(worst, std::fabs(error));
  }
  [[nodiscard]] double mean() const { return sum / count; }
  [[nodiscard]] double root_mean_square() const { return std::sqrt(squares / count); }
  [[nodiscard]] std::string text() const {
    return fmt::format("mean {:+.1f} K, root mean square {:.1f} K, worst {:.1f} K", mean(), root_mean_square(), worst);
  }
};

struct ErrorsOfBoth {
  Errors highest, lowest;

  void add(Extremes const& made, Extremes const& record) {
    for (std::size_t m = 0; m < 12; ++m) {
      highest.add(made.highest_K[m] - record.highest_K[m]);
      lowest.add(made.lowest_K[m] - record.lowest_K[m]);
    }
  }
  void print(std::string const& title) const {
    std::cout << fmt::format("{}: highest {}; lowest {}\n", title, highest.text(), lowest.text());
  }
};

constexpr ClimatePlace valley{{-95.4, 30.0}, 30.0, -6.0};

ClimateTable valley_table() {
  return *sound_file(std::filesystem::path(BRINECAST_SOURCE) / "scenarios/valley/climate.csv").climate;
}

ClimateTable without_extremes(ClimateTable table) {
  for (auto& month : table) month.highest_K = month.lowest_K = missing;
  return table;
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return 0.5 * (values[(values.size() - 1) / 2] + values[values.size() / 2]);
}

}  // namespace

TEST_CASE("the valley's months become as hot and as cold as their record", "[sim][weather][statistics]") {
  // Highest and lowest of the months, degC: GHCN-Daily, USW00012960, 2005 to 2024, NOAA National Centers for
  // Environmental Information. The extreme of 20 years differs by 1 to 2 K from one 20 years to another.
  constexpr std::array<double, 12> highest{29.4, 30.6, 32.2, 33.9, 36.7, 41.7, 40.6, 42.8, 41.1, 37.2, 31.7, 29.4};
  constexpr std::array<double, 12> lowest{-7.7, -10.5, -2.7, 2.8, 5.6, 17.2, 18.9, 20.0, 12.2, 1.7, -1.0, -9.3};
  Extremes record;
  for (std::size_t m = 0; m < 12; ++m) {
    record.highest_K[m] = highest[m] + brinecast::models::celsius_zero_K;
    record.lowest_K[m] = lowest[m] + brinecast::models::celsius_zero_K;
  }
  ErrorsOfBoth given, spreads_alone;
  given.add(expected_extremes(generator_from_climate(valley_table(), valley), 20), record);
  given.print("the valley's table");
  CHECK(given.highest.worst < 3.5);
  CHECK(given.lowest.worst < 3.0);
  CHECK(std::fabs(given.highest.mean()) < 1.5);
  CHECK(std::fabs(given.lowest.mean()) < 1.0);
  spreads_alone.add(expected_extremes(generator_from_climate(without_extremes(valley_table()), valley), 20), record);
  spreads_alone.print("the same without highest and lowest");
  CHECK(spreads_alone.highest.worst < 8.0);
  CHECK(spreads_alone.lowest.worst < 5.0);
}

TEST_CASE("a table's months keep their mean highs and lows however far they reach", "[sim][weather][statistics]") {
  // 200 years: a month's mean errs by 0.1 to 0.3 K; the band of 0.8 K is about three errors.
  SiteField const one_site({}, 1.0);
  ClimateTable const table = valley_table();
  for (ClimateTable const& given : {table, without_extremes(table)}) {
    auto const days =
        generate_days(generator_from_climate(given, valley), one_site, {.seed = 3}, date(2001, 1, 1), 200 * 365);
    ClimateTable const made = table_of(days);
    for (std::size_t m = 0; m < 12; ++m) {
      INFO("month " << m + 1);
      CHECK(made[m].high_K == Approx(table[m].high_K).margin(0.8));
      CHECK(made[m].low_K == Approx(table[m].low_K).margin(0.8));
      CHECK(made[m].temperature_spread_K == Approx(table[m].temperature_spread_K).margin(0.4));
    }
  }
}

TEST_CASE("months generated from records reach as far as the records do", "[sim][weather][statistics]") {
  ErrorsOfBoth all_fitted, all_given, all_spreads;
  auto const paths = daily_records();
  for (auto const& path : paths) {
    auto const days = days_of_record(path);
    int const years = static_cast<int>(std::lround(static_cast<double>(days.days.size()) / 365.25));
    Extremes const record = extremes_of(days);
    ClimateTable const spreads = table_of(days);
    ClimateTable given = spreads;
    for (std::size_t m = 0; m < 12; ++m) {
      given[m].highest_K = record.highest_K[m];
      given[m].lowest_K = record.lowest_K[m];
    }
    ErrorsOfBoth fitted;
    Extremes const from_days = expected_extremes(generator_from_days(days), years);
    fitted.add(from_days, record);
    all_fitted.add(from_days, record);
    all_given.add(expected_extremes(generator_from_climate(given, valley), years), record);
    all_spreads.add(expected_extremes(generator_from_climate(spreads, valley), years), record);
    fitted.print(path.filename().string() + ", fitted");
    CHECK(fitted.highest.worst < 7.0);
    CHECK(fitted.lowest.worst < 7.0);
  }
  all_fitted.print("all records, fitted");
  all_given.print("all records, tables with highest and lowest");
  all_spreads.print("all records, tables without");
  if (paths.size() < 8) return;
  CHECK(all_fitted.highest.root_mean_square() < 2.0);
  CHECK(all_fitted.lowest.root_mean_square() < 1.9);
  CHECK(all_given.highest.root_mean_square() < 1.5);
  CHECK(all_given.lowest.root_mean_square() < 1.5);
  CHECK(all_spreads.highest.root_mean_square() < 3.6);
  CHECK(all_spreads.lowest.root_mean_square() < 3.0);
  CHECK(std::fabs(all_spreads.highest.mean()) < 1.2);
  CHECK(std::fabs(all_spreads.lowest.mean()) < 1.2);
}

TEST_CASE("what a table does not tell of its days is what the records have", "[sim][weather][published]") {
  // The eight daily records; seven are GHCN-Daily, NOAA National Centers for Environmental Information.
  auto const paths = daily_records();
  if (paths.size() < 8) return;
  constexpr auto temperature = static_cast<std::size_t>(Residual::mean_temperature);
  constexpr auto range = static_cast<std::size_t>(Residual::daily_range);
  std::array<std::vector<double>, Margin::count> quantiles;
  std::array<std::vector<double>, 2> log_ratios;  // dry, wet
  for (auto const& path : paths) {
    auto const days = days_of_record(path);
    auto const model = generator_from_days(days);
    ClimateTable const table = table_of(days);
    for (std::size_t m = 0; m < 12; ++m) {
      for (std::size_t k = 0; k < Margin::count; ++k) {
        quantiles[k].push_back(model.margins[temperature][m].at(0.5 * static_cast<double>(k) - 3.0));
      }
      for (std::size_t state = 0; state < 2; ++state) {
        double count = 0.0, sum = 0.0, squares = 0.0;
        for (std::size_t d = 0; d < days.days.size(); ++d) {
          if (day_in_year(days.day(d)).month != m || days.days[d].wet() != (state == 1)) continue;
          count += 1.0;
          sum += days.days[d].daily_range_K;
          squares += days.days[d].daily_range_K * days.days[d].daily_range_K;
        }
        if (count < 40.0) continue;
        double const mean = sum / count, spread = std::sqrt(squares / count - mean * mean);
        log_ratios[state].push_back(std::log(spread / std::sqrt(mean * table[m].temperature_spread_K)));
      }
    }
  }
  auto const model = generator_from_climate(without_extremes(valley_table()), valley);
  for (std::size_t k = 0; k < Margin::count; ++k) {
    double const score = 0.5 * static_cast<double>(k) - 3.0;
    CHECK(model.margins[temperature][0].at(score) == Approx(median(quantiles[k])).margin(0.02));
  }
  ClimateMonth const january = valley_table()[0];
  for (std::size_t state = 0; state < 2; ++state) {
    double sum = 0.0;
    for (double const x : log_ratios[state]) sum += x;
    double const ratio = std::exp(sum / static_cast<double>(log_ratios[state].size()));
    auto const& curve = (state == 1 ? model.wet_spread : model.dry_spread)[range];
    double const mean_K = (state == 1 ? model.wet_mean : model.dry_mean)[range].monthly_means()[0];
    CHECK(curve.monthly_means()[0] / std::sqrt(mean_K * january.temperature_spread_K) == Approx(ratio).epsilon(0.03));
  }
}

TEST_CASE("the verdicts see days that are too hot or too cold", "[sim][weather][statistics]") {
  auto const misfits = [](std::vector<Comparison> const& rows, std::string const& figure) {
    int count = 0;
    for (auto const& row : rows) count += row.figure == figure && !row.fits() ? 1 : 0;
    return count;
  };
  auto const years_of = [](GeneratorModel const& model, SeasonalCurve const& normal_K) {
    SiteField const one_site({}, 1.0);
    return years_of_days(generate_days(model, one_site, {.seed = 7}, date(2001, 1, 1), 200 * 365 + 49), normal_K);
  };
  // A record, and a generator fitted to it with the daily ranges twice as wide.
  auto const days = days_of_record(seattle_record());
  auto const normal_K = normal_temperature(days);
  auto wider = days;
  for (auto& day : wider.days) day.daily_range_K *= 2.0;
  auto const rows = compare_years(years_of_days(days, normal_K), years_of(generator_from_days(wider), normal_K), {});
  CHECK(misfits(rows, "highest temperature of the month, mean") > 3);
  CHECK(misfits(rows, "lowest temperature of the month, mean") > 3);
  // A table beside years that were made of its spreads alone: its autumn and winter are never so hot.
  ClimateTable const table = valley_table();
  auto const with = compare_with_climate(table, years_of(generator_from_climate(table, valley), normal_K));
  CHECK(with.size() == 84);
  CHECK(misfits(with, "highest temperature of 20 years") + misfits(with, "lowest temperature of 20 years") == 0);
  auto const without =
      compare_with_climate(table, years_of(generator_from_climate(without_extremes(table), valley), normal_K));
  CHECK(misfits(without, "highest temperature of 20 years") >= 2);
}

TEST_CASE("a table without extremes is told how far its years reach", "[sim][weather][unit]") {
  auto const note_of = [](std::string const& rest) {
    std::string text = "month,rain [mm],wet_days [d],high [degC],low [degC],temperature_spread [K]\n";
    for (int m = 1; m <= 12; ++m) text += std::to_string(m) + ",30,5," + rest + "\n";
    TemporaryFile const file("reach.csv", text);
    Problems problems;
    auto const report = report_weather_file(file.path(), {}, problems);
    REQUIRE(report);
    return report->comparison_note;
  };
  CHECK(note_of("30,20,2").find("degC, which lies within what was measured on Earth (-89.2 to 56.7 degC)") !=
        std::string::npos);
  CHECK(note_of("50,30,6").find("degC, which was NEVER measured on Earth") != std::string::npos);
}
