#pragma once
// Days of weather that never were but could be: wet and dry spells, rain amounts with a heavy tail, and temperature,
// daily range, sun, humidity and wind that know whether the day is wet, the season, and yesterday.
//
// Structure: Richardson, "Stochastic simulation of daily precipitation, temperature, and solar radiation", Water
// Resources Research 17, 1981; here with a second-order chain of wet days, the amounts of rain_amount.hpp, five
// residuals instead of three, and a slow monthly departure that gives wet and dry, warm and cold years their measured
// spread (low-frequency correction: Wilks and Wilby, "The weather generation game", Progress in Physical Geography 23,
// 1999; both from memory).

#include <array>
#include <chrono>
#include <cstdint>

#include "sim/weather/day_of_weather.hpp"
#include "sim/weather/rain_amount.hpp"
#include "sim/weather/seasonal_curve.hpp"
#include "sim/weather/site_field.hpp"

namespace brinecast::sim {

/// What is drawn besides rain, in the order of all arrays below.
enum class Residual : std::size_t { mean_temperature, daily_range, sun, humidity, wind };
inline constexpr std::size_t residuals = 5;
using ResidualVector = std::array<double, residuals>;
using ResidualMatrix = std::array<ResidualVector, residuals>;  // [row][column]

/// Scales on which the five quantities are near to normal, and back: temperature and its range in K; log-odds of the
/// clear-sky index within (0, 1.1); log of dew point depression + 1 K; log of wind. The range in K is nearly symmetric
/// in the records that the tests read, and its log is not: a log-normal range makes days that are far too hot and cold.
ResidualVector to_normal_scale(DayOfWeather const& day);
void from_normal_scale(ResidualVector const& values, DayOfWeather& day);
/// The quantities themselves: K, K, 1, K of dew point depression, m/s.
ResidualVector quantities_of(DayOfWeather const& day);
double quantity_from_normal_scale(Residual residual, double value);
double quantity_to_normal_scale(Residual residual, double quantity);

struct RainOfMonth {
  std::array<double, 4> wet_log_odds{};  // after dry-dry, dry-wet, wet-dry, wet-wet (the day before last, yesterday)
  double amount_scale_m = 0.01;
  RainAmount amount;
  double slow_log_odds = 0.0;  // per unit of the slow departure
  double slow_log_amount = 0.0;
};

using RainOfYear = std::array<RainOfMonth, 12>;

/// Rain day by day from uniform draws. Starts after two dry days; forgets its start within weeks.
class RainChain {
 public:
  explicit RainChain(RainOfYear const& months) : months_(months) {}
  /// The day's rain in m. `slow` is the month's slow departure; equal calls in equal order give equal rain.
  double next(std::size_t month, double slow, double wet_draw, double amount_draw);

 private:
  RainOfYear const& months_;
  bool wet_yesterday_ = false, wet_before_ = false;
  // What follows from month and slow departure is kept until one of them changes.
  std::size_t month_ = 12;
  double slow_ = 0.0, amount_scale_m_ = 0.0;
  std::array<double, 4> dry_chance_{};
};

/// A distribution of mean near 0 and spread near 1 by its quantiles: straight lines between those at the normal scores
/// -3, -2.5, ... 3, continued beyond. Starts as the normal distribution itself.
class Margin {
 public:
  static constexpr std::size_t count = 13;
  Margin();
  explicit Margin(std::array<double, count> const& quantiles) : quantiles_(quantiles) {}
  /// Takes its quantiles from the values, of which it needs at least 30.
  explicit Margin(std::vector<double> values);
  /// The quantile at a normal score, and back.
  [[nodiscard]] double at(double score) const;
  [[nodiscard]] double score_of(double value) const;

 private:
  std::array<double, count> quantiles_{};
};

/// How the daily range follows the day's mean temperature: on a warm day it may be wide (dry air from inland) or
/// narrow (humid air from a sea), on a cold one likewise.
struct RangeBend {
  double per_K_above = 0.0, per_K_below = 0.0;  // K of range a K of departure from the mean of such days
  double mean_K = 0.0;                          // of what the two add, taken off again

  [[nodiscard]] double at(double departure_K) const {
    return (departure_K > 0.0 ? per_K_above : per_K_below) * departure_K - mean_K;
  }
};

struct GeneratorModel {
  RainOfYear rain;
  double slow_rain_persistence = 0.0;  // correlation of the slow departures of neighbouring months
  std::array<SeasonalCurve, residuals> dry_mean, wet_mean, dry_spread, wet_spread;  // on the normal scales
  std::array<std::array<Margin, 12>, residuals> margins;  // of the departures over their spread, [residual][month]
  std::array<std::array<RangeBend, 12>, 2> range_bend;    // [dry, wet][month]
  ResidualMatrix carry{};                                 // today's normal scores from yesterday's
  ResidualMatrix innovation{};                            // lower triangle: today's normal scores from new normals
  double slow_temperature = 0.0;  // share of the slow departure in the normal score of temperature
  double slow_temperature_persistence = 0.0;
  SeasonalCurve air_pressure_Pa;
};

struct GeneratedPlace {
  std::uint64_t seed = 1;
  std::uint32_t replicate = 0;
  SiteId site{};
};

/// `days` days from `first_day`. Two requests that overlap agree on the days they share, up to the forgetting of the
/// start (40 days are run in beforehand).
DaysOfWeather generate_days(GeneratorModel const& model, SiteField const& field, GeneratedPlace const& place,
                            std::chrono::sys_days first_day, int days);

}  // namespace brinecast::sim
