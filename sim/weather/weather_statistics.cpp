#include "sim/weather/weather_statistics.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <span>

#include "models/constants.hpp"

namespace brinecast::sim {

namespace {

constexpr std::size_t wettest_kept = 40;

/// Some of the years, by index.
using Sample = std::vector<YearOfDays const*>;

double mean_of(Sample const& years, auto const& value) {
  double sum = 0.0;
  for (auto const* year : years) sum += value(*year);
  return sum / static_cast<double>(years.size());
}

double spread_of(Sample const& years, auto const& value) {
  if (years.size() < 2) return missing;
  double const mean = mean_of(years, value);
  double sum = 0.0;
  for (auto const* year : years) {
    double const x = value(*year) - mean;
    sum += x * x;
  }
  return std::sqrt(sum / static_cast<double>(years.size() - 1));
}

/// The rain exceeded on the given share of all days.
double rain_exceeded_m(Sample const& years, double share_of_days) {
  std::vector<double> wettest;
  double days = 0.0;
  for (auto const* year : years) {
    wettest.insert(wettest.end(), year->wettest_days_m.begin(), year->wettest_days_m.end());
    days += year->days;
  }
  auto const rank = static_cast<std::size_t>(share_of_days * days);
  if (rank >= wettest.size()) return 0.0;
  std::nth_element(wettest.begin(), wettest.begin() + static_cast<std::ptrdiff_t>(rank), wettest.end(),
                   std::greater<>());
  return wettest[rank];
}

double rain_of_year(YearOfDays const& year) {
  double sum = 0.0;
  for (double const month : year.rain_m) sum += month;
  return sum;
}

/// How a figure is computed, and on which scale its error is symmetric.
struct Figure {
  std::string name, units;
  int month = 0;
  std::function<double(Sample const&)> value;
  bool logarithmic = false;
  bool rain_mean = false;
  double resolution = 0.0;  // to which the source was measured: no band is narrower
};

std::vector<Figure> figures() {
  std::vector<Figure> all;
  for (int month = 1; month <= 12; ++month) {
    auto const m = static_cast<std::size_t>(month) - 1;
    auto const rain = [m](YearOfDays const& y) { return 1e3 * y.rain_m[m]; };
    auto const wet = [m](YearOfDays const& y) { return y.wet_days[m]; };
    auto const warmth = [m](YearOfDays const& y) { return y.mean_temperature_K[m] - models::celsius_zero_K; };
    all.push_back({"rain, mean", "mm", month, [rain](Sample const& s) { return mean_of(s, rain); }, false, true, 0.3});
    all.push_back({"rain, spread from year to year", "mm", month,
                   [rain](Sample const& s) { return spread_of(s, rain); }, true, false, 0.3});
    all.push_back(
        {"wet days, mean", "d", month, [wet](Sample const& s) { return mean_of(s, wet); }, false, false, 0.2});
    all.push_back({"temperature, mean", "degC", month, [warmth](Sample const& s) { return mean_of(s, warmth); }, false,
                   false, 0.1});
    all.push_back({"temperature, spread from year to year", "K", month,
                   [warmth](Sample const& s) { return spread_of(s, warmth); }, true, false, 0.1});
    auto const hottest = [m](YearOfDays const& y) { return y.highest_of_month_K[m] - models::celsius_zero_K; };
    auto const coldest = [m](YearOfDays const& y) { return y.lowest_of_month_K[m] - models::celsius_zero_K; };
    all.push_back({"highest temperature of the month, mean", "degC", month,
                   [hottest](Sample const& s) { return mean_of(s, hottest); }, false, false, 0.5});
    all.push_back({"lowest temperature of the month, mean", "degC", month,
                   [coldest](Sample const& s) { return mean_of(s, coldest); }, false, false, 0.5});
  }
  auto const year = [&](std::string name, std::string units, std::function<double(Sample const&)> value,
                        bool logarithmic, double resolution) {
    all.push_back({std::move(name), std::move(units), 0, std::move(value), logarithmic, false, resolution});
  };
  auto const yearly_rain = [](YearOfDays const& y) { return 1e3 * rain_of_year(y); };
  year(
      "rain, mean", "mm", [=](Sample const& s) { return mean_of(s, yearly_rain); }, false, 1.0);
  year(
      "rain, spread from year to year", "mm", [=](Sample const& s) { return spread_of(s, yearly_rain); }, true, 1.0);
  year(
      "wet days, mean", "d", [](Sample const& s) { return mean_of(s, [](auto const& y) { return y.wet_day_count; }); },
      false, 1.0);
  year(
      "daily rain, 99th percentile", "mm", [](Sample const& s) { return 1e3 * rain_exceeded_m(s, 0.01); }, true, 0.3);
  year(
      "daily rain, 99.9th percentile", "mm", [](Sample const& s) { return 1e3 * rain_exceeded_m(s, 0.001); }, true,
      0.3);
  year(
      "longest dry spell, mean", "d",
      [](Sample const& s) { return mean_of(s, [](auto const& y) { return y.longest_dry_spell_d; }); }, false, 1.0);
  year(
      "temperature, autocorrelation from day to day", "1",
      [](Sample const& s) {
        return mean_of(s, [](auto const& y) { return y.anomaly_products; }) /
               mean_of(s, [](auto const& y) { return y.anomaly_squares; });
      },
      false, 0.01);
  year(
      "lowest temperature of a year, mean", "degC",
      [](Sample const& s) { return mean_of(s, [](auto const& y) { return y.lowest_K - models::celsius_zero_K; }); },
      false, 0.5);
  year(
      "highest temperature of a year, mean", "degC",
      [](Sample const& s) { return mean_of(s, [](auto const& y) { return y.highest_K - models::celsius_zero_K; }); },
      false, 0.5);
  year(
      "frost days, mean", "d", [](Sample const& s) { return mean_of(s, [](auto const& y) { return y.frost_days; }); },
      false, 1.0);
  return all;
}

}  // namespace

SeasonalCurve normal_temperature(DaysOfWeather const& days) {
  std::array<double, 12> sum{}, count{};
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    std::size_t const m = day_in_year(days.day(d)).month;
    sum[m] += days.days[d].mean_temperature_K;
    count[m] += 1.0;
  }
  for (std::size_t m = 0; m < 12; ++m) sum[m] /= std::max(1.0, count[m]);
  return SeasonalCurve(sum);
}

double temperature_autocorrelation(DaysOfWeather const& days, SeasonalCurve const& normal_temperature_K) {
  double products = 0.0, squares = 0.0, previous = 0.0;
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    double const anomaly = days.days[d].mean_temperature_K - normal_temperature_K.at(day_in_year(days.day(d)));
    products += previous * anomaly;
    squares += anomaly * anomaly;
    previous = anomaly;
  }
  return squares > 0.0 ? products / squares : 0.0;
}

std::vector<YearOfDays> years_of_days(DaysOfWeather const& days, SeasonalCurve const& normal_temperature_K) {
  std::map<int, YearOfDays> years;
  double previous = missing;
  int dry_spell = 0, spell_year = 0;
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    DayInYear const when = day_in_year(days.day(d));
    DayOfWeather const& day = days.days[d];
    YearOfDays& year = years[when.year];
    if (year.days == 0.0) year.lowest_of_month_K.fill(1e9);
    year.days += 1.0;
    year.rain_m[when.month] += day.rain_m;
    year.mean_temperature_K[when.month] += day.mean_temperature_K;
    year.high_K[when.month] += day.highest_K();
    year.low_K[when.month] += day.lowest_K();
    year.highest_of_month_K[when.month] = std::max(year.highest_of_month_K[when.month], day.highest_K());
    year.lowest_of_month_K[when.month] = std::min(year.lowest_of_month_K[when.month], day.lowest_K());
    year.sun_index[when.month] += day.clear_sky_index;
    if (spell_year != when.year) dry_spell = 0;
    spell_year = when.year;
    if (day.wet()) {
      year.wet_days[when.month] += 1.0;
      year.wet_day_count += 1.0;
      year.wettest_days_m.push_back(day.rain_m);
      dry_spell = 0;
    } else {
      year.longest_dry_spell_d = std::max(year.longest_dry_spell_d, static_cast<double>(++dry_spell));
    }
    year.lowest_K = std::min(year.lowest_K, day.lowest_K());
    year.highest_K = std::max(year.highest_K, day.highest_K());
    year.frost_days += day.lowest_K() < models::celsius_zero_K ? 1.0 : 0.0;
    double const anomaly = day.mean_temperature_K - normal_temperature_K.at(when);
    if (!std::isnan(previous)) {
      year.anomaly_products += previous * anomaly;
      year.anomaly_squares += 0.5 * (previous * previous + anomaly * anomaly);
    }
    previous = anomaly;
  }
  std::vector<YearOfDays> whole;
  for (auto& [number, year] : years) {
    bool const leap = std::chrono::year{number}.is_leap();
    if (year.days < (leap ? 366.0 : 365.0)) continue;
    for (std::size_t m = 0; m < 12; ++m) {
      std::chrono::year_month const month = std::chrono::year{number} / static_cast<int>(m + 1);
      double const length = static_cast<unsigned>((month / std::chrono::last).day());
      year.mean_temperature_K[m] /= length;
      year.high_K[m] /= length;
      year.low_K[m] /= length;
      year.sun_index[m] /= length;
    }
    std::sort(year.wettest_days_m.begin(), year.wettest_days_m.end(), std::greater<>());
    if (year.wettest_days_m.size() > wettest_kept) year.wettest_days_m.resize(wettest_kept);
    whole.push_back(std::move(year));
  }
  return whole;
}

std::vector<Comparison> compare_years(std::vector<YearOfDays> const& source, std::vector<YearOfDays> const& generated,
                                      ComparisonSetting const& setting) {
  constexpr std::uint32_t resamples = 400;
  auto const all_of = [](std::vector<YearOfDays> const& years) {
    Sample sample;
    for (auto const& year : years) sample.push_back(&year);
    return sample;
  };
  Sample const own = all_of(source), made = all_of(generated);
  auto const n = static_cast<double>(own.size());
  // The same resamples serve every figure.
  std::vector<Sample> samples(resamples);
  for (std::uint32_t r = 0; r < resamples; ++r) {
    for (std::uint32_t i = 0; i < own.size(); ++i) {
      double const u = uniform_draw({.replicate = r, .purpose = Purpose::resample, .time = i});
      samples[r].push_back(made[static_cast<std::size_t>(u * static_cast<double>(made.size()))]);
    }
  }
  // The generator's own parameters, fitted to other years, err as much as the source's figure.
  double const widened = setting.fitted_years > 0.0 ? std::sqrt(1.0 + n / setting.fitted_years) : 1.0;
  std::vector<Comparison> compared;
  for (Figure const& figure : figures()) {
    Comparison row{figure.name, figure.units, figure.month, figure.value(own), figure.value(made), 0.0, 0.0};
    if (std::isnan(row.source)) continue;  // a spread of a single year
    double const standard_error = figure.rain_mean
                                      ? spread_of(own,
                                                  [&](YearOfDays const& y) {
                                                    return 1e3 * y.rain_m[static_cast<std::size_t>(figure.month) - 1];
                                                  }) /
                                            std::sqrt(n)
                                      : missing;
    if (figure.rain_mean && setting.fitted_years == 0.0 && !std::isnan(standard_error)) {
      row.low = row.generated - std::max(figure.resolution, 2.0 * standard_error);
      row.high = row.generated + std::max(figure.resolution, 2.0 * standard_error);
      compared.push_back(std::move(row));
      continue;
    }
    // The logarithm is taken of the figure plus its resolution, so that dry months stay finite.
    auto const scale = [&](double x) { return figure.logarithmic ? std::log(x + figure.resolution) : x; };
    auto const unscale = [&](double x) { return figure.logarithmic ? std::exp(x) - figure.resolution : x; };
    double sum = 0.0, squares = 0.0;
    for (auto const& sample : samples) {
      double const x = scale(figure.value(sample));
      sum += x;
      squares += x * x;
    }
    double const mean = sum / resamples;
    double error = std::sqrt(std::max(0.0, squares / resamples - mean * mean));
    // Two samples of years with unlike spreads (Welch): a dry month's mean hangs on single storms, of which the fitted
    // years may have had none.
    if (figure.rain_mean && !std::isnan(standard_error)) error = std::max(error, standard_error);
    double const width = setting.standard_errors * widened * error;
    row.low = unscale(mean - width) - figure.resolution;
    row.high = unscale(mean + width) + figure.resolution;
    compared.push_back(std::move(row));
  }
  return compared;
}

std::vector<Comparison> compare_with_climate(ClimateTable const& climate, std::vector<YearOfDays> const& generated) {
  Sample made;
  for (auto const& year : generated) made.push_back(&year);
  std::vector<Comparison> compared;
  for (int month = 1; month <= 12; ++month) {
    auto const m = static_cast<std::size_t>(month) - 1;
    auto const row = [&](std::string figure, std::string units, double source, double resolution, auto const& value) {
      double const mean = mean_of(made, value);
      double const width = 3.3 * spread_of(made, value) / std::sqrt(static_cast<double>(made.size())) + resolution;
      compared.push_back({std::move(figure), std::move(units), month, source, mean, mean - width, mean + width});
    };
    // February of the years compared has 28 days, of the figures 28.24.
    double const length = month == 2 ? 28.0 / 28.2425 : 1.0;
    row("rain, mean", "mm", 1e3 * length * climate[m].rain_m, 0.3,
        [m](YearOfDays const& y) { return 1e3 * y.rain_m[m]; });
    row("wet days, mean", "d", length * climate[m].wet_days, 0.2, [m](YearOfDays const& y) { return y.wet_days[m]; });
    row("temperature, mean", "degC", 0.5 * (climate[m].high_K + climate[m].low_K) - models::celsius_zero_K, 0.1,
        [m](YearOfDays const& y) { return y.mean_temperature_K[m] - models::celsius_zero_K; });
    row("highest temperature of a day, mean", "degC", climate[m].high_K - models::celsius_zero_K, 0.1,
        [m](YearOfDays const& y) { return y.high_K[m] - models::celsius_zero_K; });
    row("lowest temperature of a day, mean", "degC", climate[m].low_K - models::celsius_zero_K, 0.1,
        [m](YearOfDays const& y) { return y.low_K[m] - models::celsius_zero_K; });
    auto const extreme = [&](std::string figure, double source_K, std::array<double, 12> YearOfDays::*of, double sign) {
      if (std::isnan(source_K)) return;
      constexpr std::size_t span = 20;
      double count = 0.0, sum = 0.0, squares = 0.0;
      for (std::size_t first = 0; first + span <= made.size(); first += span) {
        double reached = -1e9;
        for (std::size_t y = first; y < first + span; ++y) reached = std::max(reached, sign * (made[y]->*of)[m]);
        reached -= sign * models::celsius_zero_K;
        count += 1.0;
        sum += reached;
        squares += reached * reached;
      }
      double const mean = sum / count;
      double const width = 3.3 * std::sqrt(std::max(0.0, squares - count * mean * mean) / (count - 1.0)) + 0.5;
      compared.push_back({std::move(figure), "degC", month, source_K - models::celsius_zero_K, sign * mean,
                          sign * mean - width, sign * mean + width});
    };
    extreme("highest temperature of 20 years", climate[m].highest_K, &YearOfDays::highest_of_month_K, 1.0);
    extreme("lowest temperature of 20 years", climate[m].lowest_K, &YearOfDays::lowest_of_month_K, -1.0);
  }
  return compared;
}

}  // namespace brinecast::sim
