#pragma once
// Rows of a weather file put in their places by date, in whatever order they come.

#include <chrono>
#include <functional>
#include <map>
#include <string>

#include "sim/weather/record.hpp"

namespace brinecast::sim {

/// The day of a date, or nothing when there is no such day or the year is outside 1750 to 2150.
std::optional<std::chrono::sys_days> valid_day(int year, int month, int day);

/// Hours by day. Rows may repeat (the first counts) or be missing.
class HourlyBuilder {
 public:
  /// Whether a day lies within 200 years of all others.
  [[nodiscard]] bool reaches(std::chrono::sys_days day) const;
  /// The row's place; null when the hour was there before.
  HourOfRecord* hour(std::chrono::sys_days day, int hour_of_day);
  /// Makes sure that the record reaches to this day.
  void reserve_day(std::chrono::sys_days day) { days_[day]; }
  [[nodiscard]] bool empty() const { return days_.empty(); }
  /// Moves the hours into the record, days between them filled with missing ones, and tells what was odd.
  void finish(HourlyRecord& record, std::vector<std::string>& notes);

 private:
  struct Day {
    std::array<HourOfRecord, 24> hours;
    std::array<bool, 24> seen{};
  };
  std::map<std::chrono::sys_days, Day> days_;
  std::chrono::sys_days last_day_{};
  int last_hour_ = -1;
  int repeated_ = 0, out_of_order_ = 0;
};

/// Days by date.
class DailyBuilder {
 public:
  /// The day's place, made when needed; null when it is more than 200 years from the first.
  DayOfRecord* day(std::chrono::sys_days day);
  [[nodiscard]] bool empty() const { return days_.empty(); }
  void finish(DailyRecord& record, std::vector<std::string>& notes);

 private:
  std::map<std::chrono::sys_days, DayOfRecord> days_;
};

}  // namespace brinecast::sim
