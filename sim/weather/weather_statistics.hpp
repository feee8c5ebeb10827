#pragma once
// What a source and a generator have in common, figure by figure, and whether they differ by more than chance.

#include <array>
#include <string>
#include <vector>

#include "sim/weather/climate_table.hpp"
#include "sim/weather/generator.hpp"

namespace brinecast::sim {

/// What is kept of one calendar year of days.
struct YearOfDays {
  std::array<double, 12> rain_m{};
  std::array<double, 12> wet_days{};
  std::array<double, 12> mean_temperature_K{};
  std::array<double, 12> high_K{}, low_K{};  // means of the days' highest and lowest
  std::array<double, 12> highest_of_month_K{}, lowest_of_month_K{};
  std::array<double, 12> sun_index{};
  std::vector<double> wettest_days_m;  // the 40 wettest, descending
  double wet_day_count = 0.0;
  double longest_dry_spell_d = 0.0;
  double lowest_K = 1e9, highest_K = 0.0;
  double frost_days = 0.0;  // lowest temperature below 0 degC
  double days = 0.0;
  double anomaly_products = 0.0;  // of temperature departures: sum of x[t] x[t + 1], and of x[t]^2
  double anomaly_squares = 0.0;
};

/// Whole calendar years in the days. Departures of temperature are taken from `normal_temperature_K`.
std::vector<YearOfDays> years_of_days(DaysOfWeather const& days, SeasonalCurve const& normal_temperature_K);

/// Means by month of the days' mean temperature.
SeasonalCurve normal_temperature(DaysOfWeather const& days);

/// Correlation of a day's temperature departure with the day before, over the days.
double temperature_autocorrelation(DaysOfWeather const& days, SeasonalCurve const& normal_temperature_K);

/// One figure of both, with the band in which the source's figure should lie.
struct Comparison {
  std::string figure;
  std::string units;
  int month = 0;  // 1 to 12; 0 the year
  double source = 0.0, generated = 0.0, low = 0.0, high = 0.0;

  [[nodiscard]] bool fits() const { return source >= low && source <= high; }
};

struct ComparisonSetting {
  double standard_errors = 3.3;  // half width of the bands; 3.3 raises a false alarm in 0.1 % of comparisons
  double fitted_years = 0.0;  // years of another record that the generator was fitted to; 0 when it is the source's own
};

/// Compares whole years of a source with generated seasons of whole years. A band is the generated figure plus or minus
/// so many standard errors of the figure over as many years as the source has, found by resampling the generated
/// seasons (Efron's bootstrap, 400 resamples). The band of a monthly rain mean is instead two standard errors of the
/// source's own mean when the generator was fitted to it; fitted to other years, the larger of both errors counts.
std::vector<Comparison> compare_years(std::vector<YearOfDays> const& source, std::vector<YearOfDays> const& generated,
                                      ComparisonSetting const& setting);

/// Compares monthly climate figures, which are taken as exact, with generated years: bands of 3.3 standard errors of
/// the generated mean. A month's highest and lowest, where the table has them, are set beside those of spans of 20
/// years; bands of 3.3 standard deviations from span to span.
std::vector<Comparison> compare_with_climate(ClimateTable const& climate, std::vector<YearOfDays> const& generated);

}  // namespace brinecast::sim
