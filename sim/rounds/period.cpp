#include "sim/rounds/period.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace brinecast::sim {

namespace {

double working_days_per_week(RoundsSpec const& rounds) { return static_cast<double>(rounds.working_days.size()); }

}  // namespace

double working_days_in(double interval_d, RoundsSpec const& rounds) {
  return interval_d * working_days_per_week(rounds) / 7.0;
}

double longest_planned_interval_d(RoundsSpec const& rounds) {
  return longest_period_days * 7.0 / working_days_per_week(rounds);
}

Period planning_period(std::span<double const> intervals_d, RoundsSpec const& rounds) {
  std::vector<int> wanted;  // [pool] whole working days
  std::map<int, int> pools_of_cycle;
  for (double const interval_d : intervals_d) {
    wanted.push_back(std::max(1, static_cast<int>(std::lround(working_days_in(interval_d, rounds)))));
    ++pools_of_cycle[std::min(wanted.back(), longest_period_days)];
  }
  auto const nearest_divisor = [](int days, int cycle) {
    int best = 1;
    for (int divisor = 1; divisor <= days; ++divisor) {
      // As a ratio: twice as often is as far off as half as often.
      auto const off = [&](int d) { return std::fabs(std::log(static_cast<double>(d) / cycle)); };
      if (days % divisor == 0 && off(divisor) < off(best)) best = divisor;
    }
    return best;
  };
  Period period;
  double least_change = -1.0;
  for (int days = 1; days <= longest_period_days; ++days) {
    double change = 0.0;
    for (auto const& [cycle, pools] : pools_of_cycle) {
      change += pools * std::fabs(std::log(static_cast<double>(nearest_divisor(days, cycle)) / cycle));
    }
    if (least_change < 0.0 || change < least_change - 1e-9) {
      least_change = change;
      period.days = days;
    }
  }
  for (int const cycle : wanted) {
    period.cycles.push_back(nearest_divisor(period.days, std::min(cycle, longest_period_days)));
    period.largest_stretch =
        std::max(period.largest_stretch, std::fabs(static_cast<double>(period.cycles.back()) / cycle - 1.0));
  }
  return period;
}

}  // namespace brinecast::sim
