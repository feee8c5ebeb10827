#pragma once
// Where a day stands in the year, and a value that changes smoothly from month to month and keeps the monthly means.

#include <array>
#include <chrono>

namespace brinecast::sim {

/// A calendar month (0 is January) and the share of it that has passed at the day's noon.
struct DayInYear {
  int year = 0;
  std::size_t month = 0;
  double passed = 0.5;

  /// Months since year 0: one number for a month of a year.
  [[nodiscard]] int month_number() const { return year * 12 + static_cast<int>(month); }
};

inline DayInYear day_in_year(std::chrono::sys_days day) {
  std::chrono::year_month_day const date{day};
  auto const last = std::chrono::year_month_day_last{date.year() / date.month() / std::chrono::last}.day();
  return {static_cast<int>(date.year()), static_cast<unsigned>(date.month()) - 1,
          (static_cast<unsigned>(date.day()) - 0.5) / static_cast<unsigned>(last)};
}

/// Straight lines between values in the middle of each month, laid so that each month's mean is the one given.
class SeasonalCurve {
 public:
  SeasonalCurve() = default;
  explicit SeasonalCurve(std::array<double, 12> const& monthly_means) : means_(monthly_means), nodes_(monthly_means) {
    // A line through three nodes has the mean (n[-1] + 6 n[0] + n[1]) / 8; the correction halves the error or better.
    for (int pass = 0; pass < 40; ++pass) {
      std::array<double, 12> const old = nodes_;
      for (std::size_t m = 0; m < 12; ++m) {
        nodes_[m] += means_[m] - (old[(m + 11) % 12] + 6.0 * old[m] + old[(m + 1) % 12]) / 8.0;
      }
    }
  }

  [[nodiscard]] double at(DayInYear const& day) const {
    if (day.passed < 0.5) {
      double const weight = day.passed + 0.5;
      return (1.0 - weight) * nodes_[(day.month + 11) % 12] + weight * nodes_[day.month];
    }
    double const weight = day.passed - 0.5;
    return (1.0 - weight) * nodes_[day.month] + weight * nodes_[(day.month + 1) % 12];
  }
  [[nodiscard]] std::array<double, 12> const& monthly_means() const { return means_; }

 private:
  std::array<double, 12> means_{};
  std::array<double, 12> nodes_{};
};

}  // namespace brinecast::sim
