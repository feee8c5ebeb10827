#include "sim/weather/typical_year.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace brinecast::sim {

HourOfRecord* TypicalYearBuilder::hour(RowDate const& date, int hour_of_day) {
  if (date.month == 2 && date.day == 29) {
    ++leap_hours_;
    return nullptr;
  }
  real_year_[static_cast<std::size_t>(date.month) - 1] = date.year;
  HourOfRecord* const place = builder_.hour(*valid_day(2001, date.month, date.day), hour_of_day);
  if (place != nullptr) ++rows_;
  return place;
}

bool TypicalYearBuilder::finish(Reading const& reading, HourlyRecord& record, std::vector<std::string>& notes) {
  constexpr int hours_of_year = 8760;
  if (rows_ < hours_of_year * 9 / 10) {
    return reading.fault(fmt::format("the file ends after {} of {} hours; it seems cut, get it again from its source",
                                     rows_, hours_of_year));
  }
  // The first and the last day make the year whole when their rows are missing.
  builder_.reserve_day(*valid_day(2001, 1, 1));
  builder_.reserve_day(*valid_day(2001, 12, 31));
  record.real_year = real_year_;
  builder_.finish(record, notes);
  if (rows_ < hours_of_year)
    notes.push_back(fmt::format("{} of {} hours have no row", hours_of_year - rows_, hours_of_year));
  if (leap_hours_ > 0)
    notes.push_back(fmt::format("{} hours of a leap day were left out: a typical year has none", leap_hours_));
  return true;
}

void scale_rain_in_tenths(HourlyRecord& record, std::string const& where, std::vector<std::string>& notes) {
  int wet = 0, on_pattern = 0;
  double sum_m = 0.0;
  for (auto const& hour : record.hours) {
    if (!(hour.rain_m > 0.0)) continue;
    ++wet;
    sum_m += hour.rain_m;
    double const number = hour.rain_m * 1000.0;
    double const hundredths_of_inch = std::round(number / 2.54);
    bool const whole = std::fabs(number - std::round(number)) < 1e-6;
    on_pattern +=
        whole && hundredths_of_inch >= 1.0 && std::round(hundredths_of_inch * 2.54) == std::round(number) ? 1 : 0;
  }
  // By chance 1 of 2.54 whole numbers falls on the pattern. Five standard deviations more, and most, are no chance;
  // some amounts were divided over hours and lie off it.
  double const by_chance = wet / 2.54;
  if (wet < 20 || on_pattern < wet * 7 / 10 || on_pattern - by_chance < 5.0 * std::sqrt(by_chance * (1.0 - 1.0 / 2.54)))
    return;
  for (auto& hour : record.hours) hour.rain_m *= 0.1;
  notes.push_back(
      fmt::format("{} holds tenths of a millimetre: {} of {} wet hours are hundredths of an inch written as tenths; "
                  "read as millimetres "
                  "the year would have {:.0f} mm, it is taken as {:.1f} mm",
                  where, on_pattern, wet, sum_m * 1000.0, sum_m * 100.0));
}

}  // namespace brinecast::sim
