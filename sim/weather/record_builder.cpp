#include "sim/weather/record_builder.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/scenario/limits.hpp"

namespace brinecast::sim {

namespace {

constexpr auto longest_span = std::chrono::days(longest_weather_days);

template <class Days>
bool within_span(Days const& days, std::chrono::sys_days day) {
  return days.empty() || (day - days.begin()->first < longest_span && days.rbegin()->first - day < longest_span);
}

}  // namespace

bool HourlyRecord::has_rain() const {
  return std::any_of(hours.begin(), hours.end(), [](HourOfRecord const& hour) { return !std::isnan(hour.rain_m); });
}

std::optional<std::chrono::sys_days> valid_day(int year, int month, int day) {
  if (year < 1750 || year > 2150 || month < 1 || month > 12 || day < 1 || day > 31) return std::nullopt;
  std::chrono::year_month_day const date{std::chrono::year{year}, std::chrono::month{static_cast<unsigned>(month)},
                                         std::chrono::day{static_cast<unsigned>(day)}};
  if (!date.ok()) return std::nullopt;
  return std::chrono::sys_days{date};
}

bool HourlyBuilder::reaches(std::chrono::sys_days day) const { return within_span(days_, day); }

HourOfRecord* HourlyBuilder::hour(std::chrono::sys_days day, int hour_of_day) {
  if (last_hour_ >= 0 && (day < last_day_ || (day == last_day_ && hour_of_day < last_hour_))) ++out_of_order_;
  last_day_ = day;
  last_hour_ = hour_of_day;
  Day& place = days_[day];
  auto const h = static_cast<std::size_t>(hour_of_day);
  if (place.seen[h]) {
    ++repeated_;
    return nullptr;
  }
  place.seen[h] = true;
  return &place.hours[h];
}

void HourlyBuilder::finish(HourlyRecord& record, std::vector<std::string>& notes) {
  record.first_day = days_.begin()->first;
  auto const end = days_.rbegin()->first + std::chrono::days(1);
  record.hours.assign(static_cast<std::size_t>((end - record.first_day).count()) * 24, HourOfRecord{});
  for (auto const& [day, content] : days_) {
    std::copy(content.hours.begin(), content.hours.end(), record.hours.begin() + 24 * (day - record.first_day).count());
  }
  days_.clear();
  if (repeated_ > 0) notes.push_back(fmt::format("{} hours come twice; the first row of each counts", repeated_));
  if (out_of_order_ > 0)
    notes.push_back(fmt::format("{} rows are out of order; each was put where its date says", out_of_order_));
}

DayOfRecord* DailyBuilder::day(std::chrono::sys_days day) { return within_span(days_, day) ? &days_[day] : nullptr; }

void DailyBuilder::finish(DailyRecord& record, std::vector<std::string>& notes) {
  record.first_day = days_.begin()->first;
  auto const end = days_.rbegin()->first + std::chrono::days(1);
  record.days.assign(static_cast<std::size_t>((end - record.first_day).count()), DayOfRecord{});
  for (auto const& [day, content] : days_)
    record.days[static_cast<std::size_t>((day - record.first_day).count())] = content;
  auto const absent = record.days.size() - days_.size();
  days_.clear();
  if (absent > 0) notes.push_back(fmt::format("{} days between the first and the last are not in the file", absent));
}

}  // namespace brinecast::sim
