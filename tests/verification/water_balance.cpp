#include <cmath>

#include "models/dosing/dosing.hpp"
#include "models/water_balance/leak.hpp"
#include "models/water_balance/rain.hpp"
#include "models/water_balance/splash.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

void verify_water_balance(Report& report) {
  constexpr auto mass = "conservation of mass";
  // 3200 mg/L in 50 m3 and 50 mm of rain on 32 m2.
  RainOutcome<double> const freeboard =
      collect_rain<double>({.water_volume_m3 = 50.0, .rain_volume_m3 = 1.6, .rim_volume_m3 = 60.0});
  report.compare({"3200 mg/L after 1.6 m3 of rain with freeboard", 3200.0 * 50.0 * freeboard.share_kept / 51.6, 3100.8,
                  0.05, mass});
  report.compare({"no overflow with freeboard, m3", freeboard.overflow_m3, 0.0, 0.0, mass});
  RainOutcome<double> const brim =
      collect_rain<double>({.water_volume_m3 = 50.0, .rain_volume_m3 = 1.6, .rim_volume_m3 = 50.0});
  report.compare({"3200 mg/L after 1.6 m3 of rain on a brim-full pool", 3200.0 * brim.share_kept, 3099.2, 0.05, mass});
  report.compare({"overflow of a brim-full pool, m3", brim.overflow_m3, 1.6, 1e-12, mass});
  RainOutcome<double> const partly =
      collect_rain<double>({.water_volume_m3 = 49.2, .rain_volume_m3 = 1.6, .rim_volume_m3 = 50.0});
  report.compare({"the freeboard fills before any overflows, m3", partly.overflow_m3, 0.8, 1e-12, mass});
  // Rain of a whole pool depth on a brim-full pool leaves exp(-1) of the salt: it does not halve it.
  RainOutcome<double> const deluge =
      collect_rain<double>({.water_volume_m3 = 50.0, .rain_volume_m3 = 50.0, .rim_volume_m3 = 50.0});
  report.compare({"salt left after rain of one pool volume", deluge.share_kept, std::exp(-1.0), 1e-12, mass});
  RainOutcome<double> const empty =
      collect_rain<double>({.water_volume_m3 = 0.0, .rain_volume_m3 = 1.0, .rim_volume_m3 = 50.0});
  report.compare({"an empty pool keeps what it has", empty.share_kept, 1.0, 0.0, mass});
  // Torricelli: 2 sqrt(1/a) empties. A pool that leaks 1 L/h at normal level leaks half at a quarter of it.
  report.compare({"leak at a quarter of the level, m3/s",
                  leak_m3_per_s<double>(
                      {.leak_at_normal_level_m3_per_s = 1e-6, .water_volume_m3 = 12.5, .normal_volume_m3 = 50.0}),
                  0.5e-6, 1e-15, "Torricelli"});
  report.compare({"an empty pool leaks nothing",
                  leak_m3_per_s<double>(
                      {.leak_at_normal_level_m3_per_s = 1e-6, .water_volume_m3 = -1e-9, .normal_volume_m3 = 50.0}),
                  0.0, 0.0, "Torricelli"});
  // A season of 1000 bathers, 1.5 m3: within the 0.5 to 4 L of practice.
  report.compare({"splash of 1000 bathers, m3", splash_m3(1000.0, parameters()), 1.5, 0.02,
                  "common practice, no source: 0.5-4 L each"});
  double salt = 3200.0;
  for (int backwash = 0; backwash < 10; ++backwash) {
    salt *= 1.0 - 0.6 / 50.0;
  }
  report.compare({"share to drain for what ten backwashes of 0.6 m3 remove",
                  share_to_drain({.reading = 3200.0, .target = salt, .fill = 0.0}), 1.0 - 2836.1 / 3200.0, 2e-4, mass});
}

}  // namespace brinecast::verification
