#include "sim/weather/generator.hpp"

#include <algorithm>
#include <cmath>

namespace brinecast::sim {

namespace {

constexpr int run_in_days = 40;
constexpr double most_sun = 1.1;  // broken cloud can lift a day above the clear sky
// Indices of the draws of a day, and of a month's slow departures.
constexpr std::uint32_t draw_wet = 0, draw_amount = 1, draw_residual = 2, draw_slow_rain = 16,
                        draw_slow_temperature = 17;

double logistic(double log_odds) { return 1.0 / (1.0 + std::exp(-log_odds)); }
double normal_probability(double x) { return 0.5 * std::erfc(-x * M_SQRT1_2); }

std::size_t index_of(Residual residual) { return static_cast<std::size_t>(residual); }

}  // namespace

double quantity_to_normal_scale(Residual residual, double quantity) {
  switch (residual) {
    case Residual::mean_temperature:
      return quantity;
    case Residual::daily_range:
      return std::max(0.5, quantity);
    case Residual::sun: {
      double const share = std::clamp(quantity / most_sun, 0.02, 0.98);
      return std::log(share / (1.0 - share));
    }
    case Residual::humidity:
      return std::log(1.0 + std::max(0.0, quantity));
    case Residual::wind:
      return std::log(std::max(0.2, quantity));
  }
  return quantity;
}

double quantity_from_normal_scale(Residual residual, double value) {
  switch (residual) {
    case Residual::mean_temperature:
      return value;
    case Residual::daily_range:
      return std::clamp(value, 0.5, 35.0);
    case Residual::sun:
      return most_sun * logistic(value);
    case Residual::humidity:
      return std::clamp(std::expm1(value), 0.0, 45.0);
    case Residual::wind:
      return std::clamp(std::exp(value), 0.1, 40.0);
  }
  return value;
}

ResidualVector quantities_of(DayOfWeather const& day) {
  return {day.mean_temperature_K, day.daily_range_K, day.clear_sky_index, day.mean_temperature_K - day.dew_point_K,
          day.wind_speed_m_per_s};
}

ResidualVector to_normal_scale(DayOfWeather const& day) {
  ResidualVector values = quantities_of(day);
  for (std::size_t i = 0; i < residuals; ++i) values[i] = quantity_to_normal_scale(static_cast<Residual>(i), values[i]);
  return values;
}

void from_normal_scale(ResidualVector const& values, DayOfWeather& day) {
  auto const quantity = [&](Residual residual) {
    return quantity_from_normal_scale(residual, values[index_of(residual)]);
  };
  day.mean_temperature_K = quantity(Residual::mean_temperature);
  day.daily_range_K = quantity(Residual::daily_range);
  day.clear_sky_index = quantity(Residual::sun);
  day.dew_point_K = day.mean_temperature_K - quantity(Residual::humidity);
  day.wind_speed_m_per_s = quantity(Residual::wind);
}

Margin::Margin() {
  for (std::size_t k = 0; k < count; ++k) quantiles_[k] = 0.5 * static_cast<double>(k) - 3.0;
}

Margin::Margin(std::vector<double> values) : Margin() {
  if (values.size() < 30) return;
  std::sort(values.begin(), values.end());
  auto const n = static_cast<double>(values.size());
  for (double& quantile : quantiles_) {
    // Hazen's plotting position: the i-th of n values stands at (i - 0.5) / n.
    double const rank = std::clamp(normal_probability(quantile) * n - 0.5, 0.0, n - 1.0);
    auto const below = std::min(static_cast<std::size_t>(rank), values.size() - 2);
    double const share = rank - static_cast<double>(below);
    quantile = (1.0 - share) * values[below] + share * values[below + 1];
  }
  // Equal quantiles (a quantity that was assumed, or coarse readings) could not be turned back.
  for (std::size_t k = 1; k < count; ++k) quantiles_[k] = std::max(quantiles_[k], quantiles_[k - 1] + 1e-6);
}

double Margin::at(double score) const {
  double const place = 2.0 * (score + 3.0);
  auto const below = static_cast<std::size_t>(std::clamp(std::floor(place), 0.0, static_cast<double>(count - 2)));
  return quantiles_[below] + (place - static_cast<double>(below)) * (quantiles_[below + 1] - quantiles_[below]);
}

double Margin::score_of(double value) const {
  auto const above = std::upper_bound(quantiles_.begin() + 1, quantiles_.end() - 1, value) - quantiles_.begin();
  auto const below = static_cast<std::size_t>(above) - 1;
  double const share = (value - quantiles_[below]) / (quantiles_[below + 1] - quantiles_[below]);
  return std::clamp(0.5 * (static_cast<double>(below) + share) - 3.0, -4.0, 4.0);
}

double RainChain::next(std::size_t month, double slow, double wet_draw, double amount_draw) {
  RainOfMonth const& rain = months_[month];
  if (month != month_ || slow != slow_) {
    month_ = month;
    slow_ = slow;
    // Divided by its mean, so that the spread does not move the mean.
    amount_scale_m_ =
        rain.amount_scale_m * std::exp(rain.slow_log_amount * slow - 0.5 * rain.slow_log_amount * rain.slow_log_amount);
    for (std::size_t i = 0; i < 4; ++i) dry_chance_[i] = logistic(-rain.wet_log_odds[i] - rain.slow_log_odds * slow);
  }
  double const dry_chance = dry_chance_[(wet_before_ ? 2U : 0U) + (wet_yesterday_ ? 1U : 0U)];
  bool const wet = wet_draw > dry_chance;
  wet_before_ = wet_yesterday_;
  wet_yesterday_ = wet;
  if (!wet) return 0.0;
  return std::max(wet_day_rain_m, amount_scale_m_ * rain.amount.quantile(amount_draw));
}

DaysOfWeather generate_days(GeneratorModel const& model, SiteField const& field, GeneratedPlace const& place,
                            std::chrono::sys_days first_day, int days) {
  auto const normal = [&](std::uint32_t time, std::uint32_t index) {
    return field.normal(place.seed, place.replicate, place.site, {Purpose::weather_daily, time, index});
  };
  auto const uniform = [&](std::uint32_t time, std::uint32_t index) {
    return std::clamp(normal_probability(normal(time, index)), 1e-12, 1.0 - 1e-12);
  };
  // A month's departure is a weighted sum of its own and the eight months' before, so that any month can be asked
  // first.
  auto const slow_departure = [&](int month_number, std::uint32_t index, double persistence) {
    double sum = 0.0, weight = 1.0, squares = 0.0;
    for (int back = 0; back <= 8 && weight > 1e-3; ++back) {
      sum += weight * normal(static_cast<std::uint32_t>(month_number - back), index);
      squares += weight * weight;
      weight *= persistence;
    }
    return sum / std::sqrt(squares);
  };
  DaysOfWeather made{first_day, {}};
  made.days.reserve(static_cast<std::size_t>(days));
  RainChain rain_chain(model.rain);
  ResidualVector residual{};
  int month_number = 0;
  double slow_rain = 0.0, slow_temperature = 0.0;
  for (int offset = -run_in_days; offset < days; ++offset) {
    auto const date = first_day + std::chrono::days(offset);
    auto const time = static_cast<std::uint32_t>(date.time_since_epoch().count());
    DayInYear const when = day_in_year(date);
    if (offset == -run_in_days || when.month_number() != month_number) {
      month_number = when.month_number();
      slow_rain = slow_departure(month_number, draw_slow_rain, model.slow_rain_persistence);
      slow_temperature = slow_departure(month_number, draw_slow_temperature, model.slow_temperature_persistence);
    }
    DayOfWeather day;
    day.rain_m = rain_chain.next(when.month, slow_rain, uniform(time, draw_wet), uniform(time, draw_amount));
    ResidualVector fresh{};
    for (std::size_t i = 0; i < residuals; ++i) fresh[i] = normal(time, draw_residual + static_cast<std::uint32_t>(i));
    ResidualVector next{};
    for (std::size_t i = 0; i < residuals; ++i) {
      for (std::size_t j = 0; j < residuals; ++j) {
        next[i] += model.carry[i][j] * residual[j] + (j <= i ? model.innovation[i][j] * fresh[j] : 0.0);
      }
    }
    residual = next;
    if (offset < 0) continue;
    auto const& mean = day.wet() ? model.wet_mean : model.dry_mean;
    auto const& spread = day.wet() ? model.wet_spread : model.dry_spread;
    ResidualVector values{};
    for (std::size_t i = 0; i < residuals; ++i) {
      double const slow = i == index_of(Residual::mean_temperature) ? model.slow_temperature * slow_temperature : 0.0;
      values[i] = mean[i].at(when) + spread[i].at(when) * model.margins[i][when.month].at(residual[i] + slow);
    }
    constexpr auto temperature = static_cast<std::size_t>(Residual::mean_temperature);
    values[index_of(Residual::daily_range)] +=
        model.range_bend[day.wet() ? 1 : 0][when.month].at(values[temperature] - mean[temperature].at(when));
    from_normal_scale(values, day);
    day.air_pressure_Pa = model.air_pressure_Pa.at(when);
    made.days.push_back(day);
  }
  return made;
}

}  // namespace brinecast::sim
