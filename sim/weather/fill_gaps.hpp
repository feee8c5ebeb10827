#pragma once
// What a record lacks, filled by stated rules and counted.

#include "sim/weather/record.hpp"

namespace brinecast::sim {

/// Missing hours, quantity by quantity: gaps of up to six hours by a straight line (sunlight not), longer ones and
/// sunlight by the same hour of the nearest day that has it. A quantity that the file never has stays missing. Rain
/// counts as none where an otherwise present rain column has gaps. Adds a line for each quantity filled.
void fill_gaps(HourlyRecord& record, std::vector<std::string>& notes);

/// Missing days: temperatures, wind and dew point by a straight line over up to five days, longer gaps and rain by the
/// same date of the nearest year that has it. A quantity that the file never has stays missing.
void fill_gaps(DailyRecord& record, std::vector<std::string>& notes);

}  // namespace brinecast::sim
