#pragma once
// The planning period: from visit intervals in calendar days to cycles of working days that fit into one period.

#include <span>
#include <vector>

#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

/// Longest planning period, working days. Twelve weeks of five days: longer patterns would outlast most plans.
constexpr int longest_period_days = 60;

struct Period {
  int days = 5;                  // working days
  std::vector<int> cycles;       // [pool] working days between visits; each divides `days`
  double largest_stretch = 0.0;  // largest relative change of a wanted cycle, 0.1 = 10 % longer or shorter
};

/// The longest interval that a plan can hold, calendar days.
double longest_planned_interval_d(RoundsSpec const& rounds);

/// Working days in an interval of calendar days, as a real number: 10 d are 7.14 of a week with five.
double working_days_in(double interval_d, RoundsSpec const& rounds);

/// The shortest period that serves every interval at its nearest whole number of working days; where their least common
/// multiple is longer than `longest_period_days`, the period that changes the cycles least, relatively and summed over
/// pools. `intervals_d` by pool, calendar days.
Period planning_period(std::span<double const> intervals_d, RoundsSpec const& rounds);

}  // namespace brinecast::sim
