#pragma once
// Typical years: twelve months of different real years side by side, without a leap day.

#include "sim/weather/readers.hpp"
#include "sim/weather/record_builder.hpp"

namespace brinecast::sim {

struct RowDate {
  int year = 0;
  int month = 0;
  int day = 0;
};

class TypicalYearBuilder {
 public:
  /// The row's place in the year 2001; null when it was there before. A leap day is dropped and counted.
  HourOfRecord* hour(RowDate const& date, int hour_of_day);
  /// A fault when less than nine tenths of the year are there.
  bool finish(Reading const& reading, HourlyRecord& record, std::vector<std::string>& notes);

 private:
  HourlyBuilder builder_;
  std::array<int, 12> real_year_{};
  int rows_ = 0, leap_hours_ = 0;
};

/// Recognises rain that was stored in tenths of what the header says: hundredths of an inch, written as whole tenths of
/// a millimetre, leave a pattern (3, 5, 8, 10, 13, ...) that whole millimetres cannot have. Scales it, and says so.
void scale_rain_in_tenths(HourlyRecord& record, std::string const& where, std::vector<std::string>& notes);

}  // namespace brinecast::sim
