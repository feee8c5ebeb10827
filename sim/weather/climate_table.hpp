#pragma once
// Monthly climate figures, as weather services publish them: what a generator needs when there is no daily record.
//
// A table of comma separated values with 12 rows and a unit in each header, e.g. `rain [mm]`. Lines that begin with #
// before the header are for the source. Columns (those with a default may be left out):
//   month                    1 to 12, each once
//   rain [mm]                mean sum of the month
//   wet_days [d]             mean number of days with rain of at least 0.25 mm
//   high [degC], low [degC]  means of the days' highest and lowest temperature
//   rain_spread [mm]         standard deviation of the month's sum from year to year; default 0.6 times its mean
//   wet_after_wet [%]        chance of rain on the day after a wet day; default 25 % + 75 % of the share of wet days:
//                            Geng, Penning de Vries, Supit, Agricultural and Forest Meteorology 36, 1986 (from memory)
//   rain_shape, rain_tail    of the law of amounts, see rain_amount.hpp; default 0.7 and 0.12
//   high_wet [degC], low_wet [degC]  the same means on wet days; default 1.5 K lower and 0.5 K higher
//   highest [degC], lowest [degC]  of the month's days in some 20 to 30 years; default from the spreads alone, which
//                            errs by 3 K (root mean square): too hot where warm air is humid, too cool where it comes
//                            from a desert
//   temperature_spread [K]   standard deviation of the days' mean temperature within the month; default 3 K
//   temperature_persistence  correlation of a day's temperature with the day before; default 0.7
//   sun [W/m2]               mean global irradiance, nights included; default 0.75 of a clear sky on dry days
//   sun_wet [W/m2]           the same on wet days; default 0.6 times that of dry days
//   dew_point [degC]         mean; default the low: Kimball, Running, Nemani, Agricultural and Forest Meteorology 85,
//                            1997, without its correction for dry places (from memory)
//   wind [m/s]               mean at 10 m; default 3 m/s
//   pressure [hPa]           mean at the place; default from its height

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "sim/scenario/problems.hpp"

namespace brinecast::sim {

/// SI. What the table does not give is NaN, except where the default is a number.
struct ClimateMonth {
  double rain_m, wet_days, high_K, low_K;
  double rain_spread_m, wet_after_wet, rain_shape, rain_tail;
  double high_wet_K, low_wet_K, highest_K, lowest_K, temperature_spread_K, temperature_persistence;
  double sun_W_per_m2, sun_wet_W_per_m2, dew_point_K, wind_m_per_s, pressure_Pa;
};
using ClimateTable = std::array<ClimateMonth, 12>;

/// Reads the table; faults go to `problems`.
std::optional<ClimateTable> read_climate_table(std::filesystem::path const& path, Problems& problems);

}  // namespace brinecast::sim
