// The generator fitted to measured days.

#include <algorithm>
#include <cmath>
#include <map>
#include <stdexcept>

#include "sim/weather/fit_generator.hpp"
#include "sim/weather/weather_statistics.hpp"

namespace brinecast::sim {

namespace {

/// A month of a year.
struct MonthOfDays {
  double rain_m = 0.0;
  double wet_days = 0.0;
  double temperature_K = 0.0;  // mean
  int days = 0;
  int length = 0;

  [[nodiscard]] bool whole() const { return days == length; }
};

std::map<int, MonthOfDays> months_of(DaysOfWeather const& days) {
  std::map<int, MonthOfDays> months;
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    auto const date = std::chrono::year_month_day{days.day(d)};
    MonthOfDays& month = months[day_in_year(days.day(d)).month_number()];
    month.rain_m += days.days[d].rain_m;
    month.wet_days += days.days[d].wet() ? 1.0 : 0.0;
    month.temperature_K += days.days[d].mean_temperature_K;
    month.length = static_cast<int>(static_cast<unsigned>((date.year() / date.month() / std::chrono::last).day()));
    ++month.days;
  }
  for (auto& [number, month] : months) month.temperature_K /= month.days;
  return months;
}

/// Mean and standard deviation of a quantity of whole months, by calendar month.
struct MonthlyMoments {
  std::array<double, 12> mean{}, spread{};
  std::array<double, 12> count{};
};

MonthlyMoments moments_of(std::map<int, MonthOfDays> const& months, double MonthOfDays::*quantity) {
  MonthlyMoments moments;
  std::array<double, 12> squares{};
  for (auto const& [number, month] : months) {
    if (!month.whole()) continue;
    auto const m = static_cast<std::size_t>(number % 12);
    moments.mean[m] += month.*quantity;
    squares[m] += month.*quantity * (month.*quantity);
    moments.count[m] += 1.0;
  }
  for (std::size_t m = 0; m < 12; ++m) {
    double const n = moments.count[m];
    if (n < 1.0) continue;
    moments.mean[m] /= n;
    moments.spread[m] =
        n > 1.0 ? std::sqrt(std::max(0.0, (squares[m] - n * moments.mean[m] * moments.mean[m]) / (n - 1.0))) : 0.0;
  }
  return moments;
}

/// Correlation of neighbouring months' departures, limited to what a slow departure can have.
double month_to_month(std::map<int, MonthOfDays> const& months, MonthlyMoments const& moments,
                      double MonthOfDays::*quantity) {
  double products = 0.0, squares = 0.0, previous = missing;
  int previous_number = 0;
  for (auto const& [number, month] : months) {
    auto const m = static_cast<std::size_t>(number % 12);
    if (!month.whole() || moments.spread[m] <= 0.0) continue;
    double const x = (month.*quantity - moments.mean[m]) / moments.spread[m];
    if (!std::isnan(previous) && number == previous_number + 1) products += previous * x;
    squares += x * x;
    previous = x;
    previous_number = number;
  }
  return squares > 0.0 ? std::clamp(products / squares, 0.0, 0.6) : 0.0;
}

/// How many days a wet or dry day follows two others, by month. The neighbouring months count half.
struct SpellCounts {
  std::array<std::array<std::array<double, 2>, 4>, 12> follows{};  // [month][the two days before][dry, wet]
};

SpellCounts count_spells(DaysOfWeather const& days) {
  SpellCounts counts;
  for (std::size_t d = 2; d < days.days.size(); ++d) {
    std::size_t const m = day_in_year(days.day(d)).month;
    std::size_t const past = (days.days[d - 2].wet() ? 2U : 0U) + (days.days[d - 1].wet() ? 1U : 0U);
    std::size_t const today = days.days[d].wet() ? 1 : 0;
    counts.follows[m][past][today] += 1.0;
    counts.follows[(m + 1) % 12][past][today] += 0.5;
    counts.follows[(m + 11) % 12][past][today] += 0.5;
  }
  return counts;
}

/// Log-odds of a wet day after each pair. Pairs seldom met lean on what yesterday alone says (20 days' weight), and
/// that on the month's share of wet days (5 days' weight).
std::array<double, 4> wet_log_odds(SpellCounts const& counts, std::size_t month) {
  auto const& follows = counts.follows[month];
  double wet = 0.0, all = 0.0;
  for (auto const& pair : follows) {
    wet += pair[1];
    all += pair[0] + pair[1];
  }
  double const share = (wet + 0.1) / (all + 1.0);
  std::array<double, 4> odds{};
  for (std::size_t past = 0; past < 4; ++past) {
    std::size_t const alike = past ^ 2U;  // the pair with the same yesterday
    double const wet_after = follows[past][1] + follows[alike][1];
    double const all_after = wet_after + follows[past][0] + follows[alike][0];
    double const after_yesterday = (wet_after + 5.0 * share) / (all_after + 5.0);
    double const chance = (follows[past][1] + 20.0 * after_yesterday) / (follows[past][0] + follows[past][1] + 20.0);
    odds[past] = std::log(chance / (1.0 - chance));
  }
  return odds;
}

/// Amounts of wet days over their month's mean, of the month and as many neighbours as give 60.
RainAmount amounts_of(std::array<std::vector<double>, 12> const& wet_amounts, std::size_t month) {
  std::vector<double> pooled;
  for (std::size_t reach = 0; reach <= 6 && (reach < 2 || pooled.size() < 60); ++reach) {
    for (std::size_t const m : {(month + reach) % 12, (month + 12 - reach) % 12}) {
      pooled.insert(pooled.end(), wet_amounts[m].begin(), wet_amounts[m].end());
      if (reach == 0 || reach == 6) break;
    }
  }
  return fit_rain_amount(pooled);
}

ResidualMatrix product(ResidualMatrix const& a, ResidualMatrix const& b) {
  ResidualMatrix c{};
  for (std::size_t i = 0; i < residuals; ++i) {
    for (std::size_t j = 0; j < residuals; ++j) {
      for (std::size_t k = 0; k < residuals; ++k) c[i][j] += a[i][k] * b[k][j];
    }
  }
  return c;
}

ResidualMatrix transposed(ResidualMatrix const& a) {
  ResidualMatrix t{};
  for (std::size_t i = 0; i < residuals; ++i) {
    for (std::size_t j = 0; j < residuals; ++j) t[i][j] = a[j][i];
  }
  return t;
}

/// Lower triangle L with L L' = a; what is not positive is left out.
ResidualMatrix cholesky(ResidualMatrix const& a) {
  ResidualMatrix lower{};
  for (std::size_t j = 0; j < residuals; ++j) {
    double diagonal = a[j][j];
    for (std::size_t k = 0; k < j; ++k) diagonal -= lower[j][k] * lower[j][k];
    lower[j][j] = std::sqrt(std::max(diagonal, 0.0));
    for (std::size_t i = j + 1; i < residuals; ++i) {
      double sum = a[i][j];
      for (std::size_t k = 0; k < j; ++k) sum -= lower[i][k] * lower[j][k];
      lower[i][j] = lower[j][j] > 1e-6 ? sum / lower[j][j] : 0.0;
    }
  }
  return lower;
}

/// Inverse of a symmetric positive matrix, by its Cholesky factor.
ResidualMatrix inverse(ResidualMatrix const& a) {
  ResidualMatrix const lower = cholesky(a);
  ResidualMatrix inverse_lower{};
  for (std::size_t j = 0; j < residuals; ++j) {
    if (lower[j][j] <= 1e-6) continue;
    inverse_lower[j][j] = 1.0 / lower[j][j];
    for (std::size_t i = j + 1; i < residuals; ++i) {
      double sum = 0.0;
      for (std::size_t k = j; k < i; ++k) sum -= lower[i][k] * inverse_lower[k][j];
      inverse_lower[i][j] = lower[i][i] > 1e-6 ? sum / lower[i][i] : 0.0;
    }
  }
  return product(transposed(inverse_lower), inverse_lower);
}

/// Means and spreads on wet and dry days by month. A state met on few days leans on the whole month's, moved by the
/// mean difference between wet and dry days of the year.
struct StateFits {
  StateMeans quantities;
  std::array<std::array<double, 12>, residuals> dry_mean{}, wet_mean{}, dry_spread{}, wet_spread{};  // on normal scales
};

StateFits fit_states(DaysOfWeather const& days) {
  struct Sums {
    double count = 0.0;
    ResidualVector quantity{}, value{}, square{};
  };
  std::array<std::array<Sums, 2>, 12> sums{};
  std::array<Sums, 2> year{};
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    DayOfWeather const& day = days.days[d];
    std::size_t const m = day_in_year(days.day(d)).month;
    ResidualVector const quantity = quantities_of(day), value = to_normal_scale(day);
    for (Sums* const into : {&sums[m][day.wet() ? 1 : 0], &year[day.wet() ? 1 : 0]}) {
      into->count += 1.0;
      for (std::size_t i = 0; i < residuals; ++i) {
        into->quantity[i] += quantity[i];
        into->value[i] += value[i];
        into->square[i] += value[i] * value[i];
      }
    }
  }
  constexpr double leaning = 10.0;  // days' weight of what is leant on
  StateFits fits;
  for (std::size_t i = 0; i < residuals; ++i) {
    auto const contrast = [&](ResidualVector Sums::*of) {
      // Weighted over months, so that a wet season does not look like an effect of wet days.
      double sum = 0.0, weight = 0.0;
      for (auto const& month : sums) {
        if (month[0].count < 5.0 || month[1].count < 5.0) continue;
        double const w = month[0].count * month[1].count / (month[0].count + month[1].count);
        sum += w * ((month[1].*of)[i] / month[1].count - (month[0].*of)[i] / month[0].count);
        weight += w;
      }
      return weight > 0.0 ? sum / weight : 0.0;
    };
    double const quantity_contrast = contrast(&Sums::quantity), value_contrast = contrast(&Sums::value);
    for (std::size_t m = 0; m < 12; ++m) {
      auto const& dry = sums[m][0];
      auto const& wet = sums[m][1];
      double const count = dry.count + wet.count, wet_share = wet.count / count;
      auto const mean_of = [&](Sums const& state, ResidualVector Sums::*of, double difference) {
        double const whole = ((dry.*of)[i] + (wet.*of)[i]) / count;
        return ((state.*of)[i] + leaning * (whole + difference)) / (state.count + leaning);
      };
      // On dry days the month's mean lies a wet share of the contrast too far to the wet side, and the reverse.
      fits.quantities.dry[m][i] = mean_of(dry, &Sums::quantity, -wet_share * quantity_contrast);
      fits.quantities.wet[m][i] = mean_of(wet, &Sums::quantity, (1.0 - wet_share) * quantity_contrast);
      fits.dry_mean[i][m] = mean_of(dry, &Sums::value, -wet_share * value_contrast);
      fits.wet_mean[i][m] = mean_of(wet, &Sums::value, (1.0 - wet_share) * value_contrast);
    }
  }
  return fits;
}

/// Correlation of a day's temperature departure with the day before. Temperature persists differently in seasons of
/// wide and of narrow spread; counted in K, as it is felt, the days of wide spread weigh more.
double temperature_persistence(std::vector<ResidualVector> const& departures) {
  constexpr auto temperature = static_cast<std::size_t>(Residual::mean_temperature);
  double products = 0.0, squares = 0.0;
  for (std::size_t d = 1; d < departures.size(); ++d) {
    products += departures[d][temperature] * departures[d - 1][temperature];
    squares += departures[d][temperature] * departures[d][temperature];
  }
  return squares > 0.0 ? products / squares : 0.0;
}

/// First-order autoregression of the normal scores with these covariances (Yule and Walker; Richardson 1981).
void set_persistence(GeneratorModel& model, ResidualMatrix const& today, ResidualMatrix const& tomorrow) {
  model.carry = product(tomorrow, inverse(today));
  ResidualMatrix left = product(model.carry, transposed(tomorrow));
  for (std::size_t i = 0; i < residuals; ++i) {
    for (std::size_t j = 0; j < residuals; ++j) left[i][j] = today[i][j] - left[i][j];
  }
  model.innovation = cholesky(left);
}

/// Least squares of the range's departures on the warm and the cold departures of the mean temperature, over the month
/// and its two neighbours. A state met on few days leans on both states.
std::array<std::array<RangeBend, 12>, 2> fit_range_bend(DaysOfWeather const& days,
                                                        std::vector<ResidualVector> const& departures) {
  struct Sums {
    double count = 0.0, above = 0.0, below = 0.0, range = 0.0;
    double above_square = 0.0, below_square = 0.0, above_range = 0.0, below_range = 0.0;

    void add(Sums const& other, double weight) {
      count += weight * other.count;
      above += weight * other.above;
      below += weight * other.below;
      range += weight * other.range;
      above_square += weight * other.above_square;
      below_square += weight * other.below_square;
      above_range += weight * other.above_range;
      below_range += weight * other.below_range;
    }
  };
  std::array<std::array<Sums, 12>, 2> sums{};
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    double const departure = departures[d][static_cast<std::size_t>(Residual::mean_temperature)];
    double const above = std::max(0.0, departure), below = std::min(0.0, departure);
    double const range = departures[d][static_cast<std::size_t>(Residual::daily_range)];
    sums[days.days[d].wet() ? 1 : 0][day_in_year(days.day(d)).month].add(
        {1.0, above, below, range, above * above, below * below, above * range, below * range}, 1.0);
  }
  std::array<std::array<RangeBend, 12>, 2> bends{};
  for (std::size_t m = 0; m < 12; ++m) {
    std::array<Sums, 2> pooled{};
    Sums both;
    for (std::size_t const near : {m, (m + 1) % 12, (m + 11) % 12}) {
      for (std::size_t state = 0; state < 2; ++state) pooled[state].add(sums[state][near], 1.0);
    }
    for (auto const& state : pooled) both.add(state, 1.0);
    for (std::size_t state = 0; state < 2; ++state) {
      constexpr double leaning = 30.0;  // days' weight of what is leant on
      Sums of = pooled[state];
      of.add(both, leaning / both.count);
      double const n = of.count;
      double const aa = of.above_square - of.above * of.above / n, bb = of.below_square - of.below * of.below / n;
      double const ab = -of.above * of.below / n;
      double const ar = of.above_range - of.above * of.range / n, br = of.below_range - of.below * of.range / n;
      double const determinant = aa * bb - ab * ab;
      if (determinant <= 1e-9 * aa * bb) continue;  // a record whose temperature hardly varies
      RangeBend& bend = bends[state][m];
      bend.per_K_above = (ar * bb - br * ab) / determinant;
      bend.per_K_below = (br * aa - ar * ab) / determinant;
      bend.mean_K = (bend.per_K_above * of.above + bend.per_K_below * of.below) / n;
    }
  }
  return bends;
}

}  // namespace

GeneratorModel generator_from_days(DaysOfWeather const& days) {
  if (days.days.size() < 365) throw std::invalid_argument("a generator needs at least a year of days");
  GeneratorModel model;

  // Rain.
  auto const months = months_of(days);
  MonthlyMoments const rain = moments_of(months, &MonthOfDays::rain_m);
  MonthlyMoments const wet_days = moments_of(months, &MonthOfDays::wet_days);
  SpellCounts const spells = count_spells(days);
  std::array<std::vector<double>, 12> wet_amounts;
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    if (days.days[d].wet()) wet_amounts[day_in_year(days.day(d)).month].push_back(days.days[d].rain_m);
  }
  for (auto& amounts : wet_amounts) {
    double sum = 0.0;
    for (double const amount : amounts) sum += amount;
    for (double& amount : amounts) amount *= static_cast<double>(amounts.size()) / sum;
  }
  RainTargets targets{rain.mean, {}, wet_days.mean};
  for (std::size_t m = 0; m < 12; ++m) {
    RainOfMonth& month = model.rain[m];
    month.wet_log_odds = wet_log_odds(spells, m);
    month.amount = amounts_of(wet_amounts, m);
    month.amount_scale_m = std::max(1e-4, rain.mean[m] / std::max(0.03, wet_days.mean[m]) / month.amount.mean());
    // A spread from few years is uncertain by a third and more: the neighbouring months' relative spreads steady it.
    double squares = 0.0, weights = 0.0;
    for (auto const& [neighbour, weight] : {std::pair{m, 2.0}, {(m + 1) % 12, 1.0}, {(m + 11) % 12, 1.0}}) {
      if (rain.mean[neighbour] <= 0.0 || rain.count[neighbour] < 2.0) continue;
      double const relative = rain.spread[neighbour] / rain.mean[neighbour];
      squares += weight * relative * relative;
      weights += weight;
    }
    targets.spread_m[m] = weights > 0.0 ? rain.mean[m] * std::sqrt(squares / weights) : 0.0;
  }
  model.slow_rain_persistence = month_to_month(months, rain, &MonthOfDays::rain_m);
  match_rain(model.rain, model.slow_rain_persistence, targets);

  // Everything else: departures from the means of wet and dry days.
  StateFits fits = fit_states(days);
  std::array<SeasonalCurve, residuals> dry_mean, wet_mean;
  for (std::size_t i = 0; i < residuals; ++i) {
    dry_mean[i] = SeasonalCurve(fits.dry_mean[i]);
    wet_mean[i] = SeasonalCurve(fits.wet_mean[i]);
  }
  std::vector<ResidualVector> departures(days.days.size());
  std::array<std::array<ResidualVector, 2>, 12> squares{};
  std::array<std::array<double, 2>, 12> counts{};
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    DayInYear const when = day_in_year(days.day(d));
    ResidualVector const value = to_normal_scale(days.days[d]);
    for (std::size_t i = 0; i < residuals; ++i) {
      departures[d][i] = value[i] - (days.days[d].wet() ? wet_mean : dry_mean)[i].at(when);
    }
  }
  model.range_bend = fit_range_bend(days, departures);
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    std::size_t const m = day_in_year(days.day(d)).month, state = days.days[d].wet() ? 1 : 0;
    departures[d][static_cast<std::size_t>(Residual::daily_range)] -=
        model.range_bend[state][m].at(departures[d][static_cast<std::size_t>(Residual::mean_temperature)]);
    for (std::size_t i = 0; i < residuals; ++i) squares[m][state][i] += departures[d][i] * departures[d][i];
    counts[m][state] += 1.0;
  }
  for (std::size_t i = 0; i < residuals; ++i) {
    for (std::size_t m = 0; m < 12; ++m) {
      double const both = std::max(1e-12, (squares[m][0][i] + squares[m][1][i]) / (counts[m][0] + counts[m][1]));
      constexpr double leaning = 15.0;
      fits.dry_spread[i][m] = std::sqrt((squares[m][0][i] + leaning * both) / (counts[m][0] + leaning));
      fits.wet_spread[i][m] = std::sqrt((squares[m][1][i] + leaning * both) / (counts[m][1] + leaning));
    }
    model.dry_spread[i] = SeasonalCurve(fits.dry_spread[i]);
    model.wet_spread[i] = SeasonalCurve(fits.wet_spread[i]);
  }
  std::array<std::array<std::vector<double>, 12>, residuals> pooled;
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    DayInYear const when = day_in_year(days.day(d));
    for (std::size_t i = 0; i < residuals; ++i) {
      double const standardised =
          departures[d][i] / (days.days[d].wet() ? model.wet_spread : model.dry_spread)[i].at(when);
      for (std::size_t const m : {when.month, (when.month + 1) % 12, (when.month + 11) % 12})
        pooled[i][m].push_back(standardised);
    }
  }
  for (std::size_t i = 0; i < residuals; ++i) {
    for (std::size_t m = 0; m < 12; ++m) model.margins[i][m] = Margin(std::move(pooled[i][m]));
  }
  center_means(model, fits.quantities);
  double const persistence_K = temperature_persistence(departures);
  ResidualMatrix today{}, tomorrow{};  // covariances of the normal scores: same day, and [tomorrow][today]
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    DayInYear const when = day_in_year(days.day(d));
    for (std::size_t i = 0; i < residuals; ++i) {
      double const spread = (days.days[d].wet() ? model.wet_spread : model.dry_spread)[i].at(when);
      departures[d][i] = model.margins[i][when.month].score_of(departures[d][i] / spread);
    }
    for (std::size_t i = 0; i < residuals; ++i) {
      for (std::size_t j = 0; j < residuals; ++j) {
        today[i][j] += departures[d][i] * departures[d][j];
        if (d > 0) tomorrow[i][j] += departures[d][i] * departures[d - 1][j];
      }
    }
  }
  auto const count = static_cast<double>(days.days.size());
  for (std::size_t i = 0; i < residuals; ++i) {
    for (std::size_t j = 0; j < residuals; ++j) {
      today[i][j] /= count;
      tomorrow[i][j] /= count - 1.0;
    }
    today[i][i] += 1e-6;  // a quantity that was assumed has no spread of its own
  }

  tomorrow[0][0] = today[0][0] * persistence_K;

  // Slow departures of temperature: what the months' means vary more than persistence from day to day explains.
  std::array<double, 12> temperature_spread{};
  MonthlyMoments const temperature = moments_of(months, &MonthOfDays::temperature_K);
  double const persistence = tomorrow[0][0] / today[0][0];
  double slow_share = 0.0, weight = 0.0;
  for (std::size_t m = 0; m < 12; ++m) {
    double const wet_share = counts[m][1] / (counts[m][0] + counts[m][1]);
    temperature_spread[m] = (1.0 - wet_share) * fits.dry_spread[0][m] + wet_share * fits.wet_spread[0][m];
    if (temperature.count[m] < 3.0) continue;
    // Variance of a mean of 30 days of a first-order process, over that of one day.
    double kept = 1.0, of_mean = 0.0;
    for (int lag = 1; lag < 30; ++lag) {
      kept *= persistence;
      of_mean += 2.0 * (30.0 - lag) / 900.0 * kept;
    }
    of_mean += 1.0 / 30.0;
    double const seen = temperature.spread[m] * temperature.spread[m] / (temperature_spread[m] * temperature_spread[m]);
    slow_share += temperature.count[m] * (seen - of_mean);
    weight += temperature.count[m];
  }
  slow_share = weight > 0.0 ? std::clamp(slow_share / weight, 0.0, 0.3) : 0.0;
  // Daily departures of quick and slow kind add up: their shares of the covariance are taken apart.
  slow_share = std::min(slow_share, 0.8 * std::max(0.0, tomorrow[0][0]));
  today[0][0] -= slow_share;
  tomorrow[0][0] -= slow_share;
  model.slow_temperature = std::sqrt(slow_share);
  model.slow_temperature_persistence = month_to_month(months, temperature, &MonthOfDays::temperature_K);

  set_persistence(model, today, tomorrow);
  // Wet and dry days alternate between two means, and scores are no departures: both cost autocorrelation, which is
  // given back until 80 simulated years have that of the record.
  SiteField const one_site({}, 1.0);
  SeasonalCurve const normal_K = normal_temperature(days);
  double const wanted = temperature_autocorrelation(days, normal_K);
  for (int round = 0; round < 3; ++round) {
    constexpr int simulated_days = 80 * 365;
    auto const made = generate_days(model, one_site, {.seed = 0},
                                    std::chrono::sys_days{std::chrono::year{2001} / 1 / 1}, simulated_days);
    tomorrow[0][0] += wanted - temperature_autocorrelation(made, normal_temperature(made));
    tomorrow[0][0] = std::min(tomorrow[0][0], 0.95 * today[0][0]);
    set_persistence(model, today, tomorrow);
  }

  std::array<double, 12> pressure{};
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    std::size_t const m = day_in_year(days.day(d)).month;
    pressure[m] += days.days[d].air_pressure_Pa / (counts[m][0] + counts[m][1]);
  }
  model.air_pressure_Pa = SeasonalCurve(pressure);
  return model;
}

}  // namespace brinecast::sim
