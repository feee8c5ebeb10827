#include "sim/weather/fit_generator.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "models/constants.hpp"
#include "sim/weather/sun_of_day.hpp"

namespace brinecast::sim {

namespace {

constexpr int simulated_years = 400;
constexpr std::array<int, 12> month_lengths{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
constexpr double mean_month_length(std::size_t m) { return m == 1 ? 28.2425 : month_lengths[m]; }

double log_odds(double chance) {
  double const inside = std::clamp(chance, 1e-6, 1.0 - 1e-6);
  return std::log(inside / (1.0 - inside));
}

/// The same draws in every round of the matching, so that only the parameters move the result. The second half of the
/// years mirrors the first: what chance adds to one it takes from the other.
struct MatchingDraws {
  std::vector<float> wet, amount;  // [year][day]
  std::vector<float> slow;         // [year][month], standard normal
};

MatchingDraws matching_draws(double slow_persistence) {
  constexpr std::uint32_t half = simulated_years / 2;
  MatchingDraws made;
  auto const key = [](std::uint32_t time, std::uint32_t index) {
    return DrawKey{.seed = 0, .purpose = Purpose::weather_daily, .time = time, .index = index};
  };
  for (std::uint32_t day = 0; day < half * 365; ++day) {
    auto const [wet, amount] = uniform_pair(key(day, 32));
    // Rounded to float, a draw must stay inside (0, 1).
    made.wet.push_back(static_cast<float>(std::clamp(wet, 1e-7, 1.0 - 1e-7)));
    made.amount.push_back(static_cast<float>(std::clamp(amount, 1e-7, 1.0 - 1e-7)));
  }
  double slow = 0.0;
  for (std::uint32_t month = 0; month < half * 12; ++month) {
    slow = slow_persistence * slow + std::sqrt(1.0 - slow_persistence * slow_persistence) * normal_draw(key(month, 34));
    made.slow.push_back(static_cast<float>(slow));
  }
  auto const mirror = [](std::vector<float>& values, float sum) {
    std::size_t const count = values.size();
    for (std::size_t i = 0; i < count; ++i) values.push_back(sum - values[i]);
  };
  mirror(made.wet, 1.0F);
  mirror(made.amount, 1.0F);
  mirror(made.slow, 0.0F);
  return made;
}

RainTargets simulate_rain(RainOfYear const& rain, MatchingDraws const& draws) {
  RainTargets got;
  std::array<double, 12> squares{};
  RainChain chain(rain);
  std::size_t day = 0;
  for (std::size_t year = 0; year < simulated_years; ++year) {
    for (std::size_t m = 0; m < 12; ++m) {
      double sum = 0.0;
      for (int d = 0; d < month_lengths[m]; ++d, ++day) {
        double const amount = chain.next(m, static_cast<double>(draws.slow[year * 12 + m]),
                                         static_cast<double>(draws.wet[day]), static_cast<double>(draws.amount[day]));
        sum += amount;
        got.wet_days[m] += amount > 0.0 ? 1.0 : 0.0;
      }
      got.mean_m[m] += sum;
      squares[m] += sum * sum;
    }
  }
  constexpr double n = simulated_years;
  for (std::size_t m = 0; m < 12; ++m) {
    double const to_mean_length = mean_month_length(m) / month_lengths[m];
    got.wet_days[m] *= to_mean_length / n;
    double const mean = got.mean_m[m] / n;
    got.mean_m[m] = mean * to_mean_length;
    got.spread_m[m] = std::sqrt(std::max(0.0, (squares[m] - n * mean * mean) / (n - 1.0)));
  }
  return got;
}

/// Where a table has no days to show them: median over eight daily records and all months, by fits of
/// generator_from_days, to the records of Phoenix (USW00023183), Orlando (USW00012815), Houston (USW00012960), Los
/// Angeles (USW00023174), Chicago (USW00014819) and Redmond, Oregon (USW00024230), 2005 to 2024, Death Valley
/// (USC00042319), 1990 to 2015, all GHCN-Daily, NOAA National Centers for Environmental Information, and Seattle's of
/// 2012 to 2015. Hot days depart a little less from the mean than cold ones.
constexpr std::array<double, Margin::count> usual_temperature{-3.02, -2.58, -2.03, -1.53, -1.02, -0.50, 0.03,
                                                              0.53,  1.00,  1.46,  1.89,  2.35,  2.78};

/// Standard deviation of the daily range on dry and on wet days, over the root of its mean times the standard deviation
/// of the days' mean temperature: geometric means over the months of the same records, whose stations differ from them
/// by up to a third.
constexpr double dry_range_spread = 0.48, wet_range_spread = 0.55;

/// Mean square of what the season alone adds to the departures from a month's mean.
double season_within_month(SeasonalCurve const& curve, std::size_t month) {
  constexpr int points = 30;
  double sum = 0.0;
  for (int k = 0; k < points; ++k) {
    double const departure = curve.at({2001, month, (k + 0.5) / points}) - curve.monthly_means()[month];
    sum += departure * departure;
  }
  return sum / points;
}

/// The bend that lets the month's highs and lows reach as far from their means as the table's highest and lowest do.
/// `square_K2` is the mean square of what else moves highs and lows, from the season and the range.
RangeBend bend_to_reach(double above_high_K, double below_low_K, double spread_K, double square_K2) {
  // Spreads from the mean to the extreme of some 20 to 30 years of one month's days; cold days reach further.
  constexpr double reach_of_high = 3.0, reach_of_low = 3.3;
  auto const bend_of = [&](double reach_K, double spreads) {
    if (std::isnan(reach_K) || spread_K <= 0.0) return 0.0;
    // A high is the mean plus half the range: the spread of the mean counts 1 + bend / 2 times in it.
    double const wanted = reach_K * reach_K / (spreads * spreads) - square_K2;
    // A little wider than the bends of the records, which lie from -0.9 to 1.4.
    return std::clamp(2.0 * (std::sqrt(std::max(0.0, wanted)) / spread_K - 1.0), -1.2, 2.0);
  };
  constexpr double half_of_mean_departure = 0.39894;  // 1 / sqrt(2 pi), of a standard normal
  RangeBend bend;
  // What keeps the mean range moves highs and lows as well.
  for (int round = 0; round < 20; ++round) {
    bend.per_K_above = bend_of(above_high_K + 0.5 * bend.mean_K, reach_of_high);
    bend.per_K_below = -bend_of(below_low_K + 0.5 * bend.mean_K, reach_of_low);
    bend.mean_K = half_of_mean_departure * spread_K * (bend.per_K_above - bend.per_K_below);
  }
  return bend;
}

}  // namespace

void match_rain(RainOfYear& rain, double slow_persistence, RainTargets const& targets) {
  MatchingDraws const draws = matching_draws(slow_persistence);
  constexpr int rounds = 16, rounds_of_spread = 13;
  constexpr double largest_slow = 1.0;
  std::array<double, 12> step{}, last_sign{};
  step.fill(0.3);
  for (int round = 0; round < rounds; ++round) {
    RainTargets const got = simulate_rain(rain, draws);
    for (std::size_t m = 0; m < 12; ++m) {
      RainOfMonth& of = rain[m];
      double const length = mean_month_length(m);
      double const shift = log_odds(targets.wet_days[m] / length) - log_odds(got.wet_days[m] / length);
      // A chain reacts to a shift more strongly than single days would: its persistence repeats it.
      for (double& odds : of.wet_log_odds) odds += 0.7 * shift;
      if (got.mean_m[m] <= 0.0 || targets.mean_m[m] <= 0.0) continue;
      of.amount_scale_m *= std::clamp(targets.mean_m[m] / got.mean_m[m], 0.2, 5.0);
      if (round >= rounds_of_spread) continue;
      // Half of the slow departure moves the number of wet days, half their amounts. Steps that halve where they turn
      // back settle also where the spread answers steeply.
      double const sign = targets.spread_m[m] / targets.mean_m[m] > got.spread_m[m] / got.mean_m[m] ? 1.0 : -1.0;
      if (sign * last_sign[m] < 0.0) step[m] *= 0.5;
      last_sign[m] = sign;
      of.slow_log_amount = std::clamp(of.slow_log_amount + sign * step[m], 0.0, largest_slow);
      of.slow_log_odds = of.slow_log_amount;
    }
  }
}

double standard_pressure_Pa(double elevation_m) {
  return models::standard_atmosphere_Pa * std::pow(1.0 - 2.25577e-5 * elevation_m, 5.25588);
}

void center_means(GeneratorModel& model, StateMeans const& means) {
  // Normal scores from -4 to 4 and their weights.
  constexpr std::size_t points = 33;
  std::array<double, points> scores{}, weights{};
  double weight_sum = 0.0;
  for (std::size_t k = 0; k < points; ++k) {
    scores[k] = 0.25 * static_cast<double>(k) - 4.0;
    weights[k] = std::exp(-0.5 * scores[k] * scores[k]);
    weight_sum += weights[k];
  }
  for (double& weight : weights) weight /= weight_sum;
  for (std::size_t i = 0; i < residuals; ++i) {
    auto const residual = static_cast<Residual>(i);
    for (bool const wet : {false, true}) {
      auto const& wanted = wet ? means.wet : means.dry;
      auto const& spread = (wet ? model.wet_spread : model.dry_spread)[i].monthly_means();
      std::array<double, 12> centers{};
      for (std::size_t m = 0; m < 12; ++m) {
        double center = quantity_to_normal_scale(residual, wanted[m][i]);
        double const goal = center;
        for (int round = 0; round < 8; ++round) {
          double mean = 0.0;
          for (std::size_t k = 0; k < points; ++k) {
            double const departure = spread[m] * model.margins[i][m].at(scores[k]);
            mean += weights[k] * quantity_from_normal_scale(residual, center + departure);
          }
          center += goal - quantity_to_normal_scale(residual, mean);
        }
        centers[m] = center;
      }
      (wet ? model.wet_mean : model.dry_mean)[i] = SeasonalCurve(centers);
    }
  }
}

GeneratorModel generator_from_climate(ClimateTable const& table, ClimatePlace const& place) {
  GeneratorModel model;
  RainTargets targets;
  StateMeans means;
  std::array<std::array<double, 12>, residuals> dry_spread{}, wet_spread{};
  std::array<double, 12> pressure{};
  double persistence = 0.0;
  std::array<double, 12> mean_K{};
  for (std::size_t m = 0; m < 12; ++m) mean_K[m] = 0.5 * (table[m].high_K + table[m].low_K);
  SeasonalCurve const normal_K(mean_K);
  for (std::size_t m = 0; m < 12; ++m) {
    ClimateMonth const& month = table[m];
    double const length = mean_month_length(m);
    double const share = std::clamp(month.wet_days / length, 0.0, 0.98);
    auto const given = [](double value, double fallback) { return std::isnan(value) ? fallback : value; };
    double const after_wet = std::max(share, given(month.wet_after_wet, 0.25 + 0.75 * share));
    double const after_dry = share < 0.98 ? share * (1.0 - after_wet) / (1.0 - share) : share;
    RainOfMonth& rain = model.rain[m];
    rain.wet_log_odds = {log_odds(after_dry), log_odds(after_wet), log_odds(after_dry), log_odds(after_wet)};
    rain.amount = {month.rain_shape, month.rain_tail};
    rain.amount_scale_m = month.rain_m / std::max(0.03, month.wet_days) / rain.amount.mean();
    targets.mean_m[m] = month.rain_m;
    targets.spread_m[m] = given(month.rain_spread_m, 0.6 * month.rain_m);
    targets.wet_days[m] = month.wet_days;

    // Means of wet and of dry days that together give the month's mean.
    auto const split = [&](double mean, double wet_mean) { return (mean - share * wet_mean) / (1.0 - share); };
    double const high_wet = given(month.high_wet_K, month.high_K - 1.5);
    double const low_wet = given(month.low_wet_K, month.low_K + 0.5);
    double const high_dry = split(month.high_K, high_wet);
    double const low_dry = split(month.low_K, low_wet);
    double const dew_point = given(month.dew_point_K, month.low_K);
    double clear = 0.0;
    for (int part = 0; part < 4; ++part) {
      auto const day = std::chrono::sys_days{std::chrono::year{2001} / static_cast<int>(m + 1) / 1} +
                       std::chrono::days(4 + 7 * part);
      clear += sun_of_day(place.position, place.utc_offset_h, day).clear_sky_sum / 24.0 / 4.0;
    }
    auto const sun_index = [&](double sun_W_per_m2, double fallback) {
      return clear > 1.0 && !std::isnan(sun_W_per_m2) ? std::clamp(sun_W_per_m2 / clear, 0.05, 1.05) : fallback;
    };
    double const index = sun_index(month.sun_W_per_m2, 0.75 * (1.0 - 0.4 * share));
    double const index_wet = sun_index(month.sun_wet_W_per_m2, 0.6 * index / (1.0 - 0.4 * share));
    double const index_dry = std::clamp(split(index, index_wet), 0.05, 1.05);

    double const depression = std::max(0.0, 0.5 * (month.high_K + month.low_K) - dew_point);
    double const depression_wet = 0.6 * depression;
    auto const quantities = [&](double high, double low, double sun, double depression_K) {
      return ResidualVector{0.5 * (high + low), std::max(0.5, high - low), sun, depression_K, month.wind_m_per_s};
    };
    means.dry[m] = quantities(high_dry, low_dry, index_dry, split(depression, depression_wet));
    means.wet[m] = quantities(high_wet, low_wet, index_wet, depression_wet);
    // The table's spread is that of all the month's days: season and wet days have their part in it.
    double const contrast_K = 0.5 * (high_wet + low_wet - high_dry - low_dry);
    double const whole = month.temperature_spread_K * month.temperature_spread_K;
    double const season = season_within_month(normal_K, m);
    double const spread_K =
        std::sqrt(std::max(0.25 * whole, whole - season - share * (1.0 - share) * contrast_K * contrast_K));
    for (bool const wet : {false, true}) {
      double const range_K = (wet ? means.wet : means.dry)[m][static_cast<std::size_t>(Residual::daily_range)];
      double const range_spread_K =
          (wet ? wet_range_spread : dry_range_spread) * std::sqrt(range_K * month.temperature_spread_K);
      ResidualVector const spreads{spread_K, range_spread_K, 0.8, 0.35, 0.35};
      for (std::size_t i = 0; i < residuals; ++i) (wet ? wet_spread : dry_spread)[i][m] = spreads[i];
      model.range_bend[wet ? 1 : 0][m] = bend_to_reach(month.highest_K - month.high_K, month.low_K - month.lowest_K,
                                                       spread_K, season + 0.25 * range_spread_K * range_spread_K);
    }
    pressure[m] = given(month.pressure_Pa, standard_pressure_Pa(place.elevation_m));
    persistence += month.temperature_persistence / 12.0;
  }
  for (std::size_t i = 0; i < residuals; ++i) {
    model.dry_spread[i] = SeasonalCurve(dry_spread[i]);
    model.wet_spread[i] = SeasonalCurve(wet_spread[i]);
  }
  model.margins[static_cast<std::size_t>(Residual::mean_temperature)].fill(Margin(usual_temperature));
  center_means(model, means);
  model.air_pressure_Pa = SeasonalCurve(pressure);
  ResidualVector const carried{persistence, 0.3, 0.25, 0.5, 0.35};
  for (std::size_t i = 0; i < residuals; ++i) {
    model.carry[i][i] = carried[i];
    model.innovation[i][i] = std::sqrt(1.0 - carried[i] * carried[i]);
  }
  match_rain(model.rain, model.slow_rain_persistence, targets);
  return model;
}

}  // namespace brinecast::sim
