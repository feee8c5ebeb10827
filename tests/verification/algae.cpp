#include <cmath>

#include "models/chlorine/algae.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

namespace {

double grow(double start, double hypochlorous_mg_per_L, double t_C, int hours) {
  double algae = start;
  for (int hour = 0; hour < hours; ++hour) {
    algae = step_algae<double>({.algae = algae,
                                .hypochlorous_mol_per_m3 = hypochlorous_mg_per_L / 70.906,
                                .temperature_K = t_C + celsius_zero_K,
                                .step_s = 3600.0},
                               parameters());
  }
  return algae;
}

}  // namespace

void verify_algae(Report& report) {
  constexpr auto assumed = "assumption";
  // Hypochlorous acid at 3 mg/L free chlorine and 60 mg/L stabiliser (20:1), pH 7.5: 0.020 mg/L. Growth at 28 degC then
  // balances the kill to within a tenth of it.
  double const growth = std::log(grow(0.01, 0.0, 28.0, 24) / 0.01);
  double const kill = growth - std::log(grow(0.01, 0.020, 28.0, 24) / 0.01);
  report.compare({"kill over growth at 20:1 stabiliser to chlorine, 28 degC", kill / growth, 0.963, 0.018,
                  "Falk et al. 2019: at most 20:1"});
  report.compare({"doublings a day at 25 degC in light and nutrients", std::log2(grow(0.01, 0.0, 25.0, 24) / 0.01),
                  0.748, 0.01, "assumption; laboratory cultures reach 1 to 2"});
  report.compare({"ratio of growth 28 to 18 degC", growth / std::log(grow(0.01, 0.0, 18.0, 24) / 0.01), 1.98, 0.02,
                  "doubles every 10 K: common practice, no source"});
  // From spores to visible without any active chlorine: ln(1000) / (0.52 1.26) days.
  double days = 0.0;
  double algae = parameters().algae_floor;
  while (algae < 1.0 && days < 60.0) {
    algae = grow(algae, 0.0, 28.0, 1);
    days += 1.0 / 24.0;
  }
  report.compare({"days from spores to visible at 28 degC without active chlorine", days, 10.96, 0.06,
                  "assumption; practice knows one to two weeks"});
  report.compare({"shock: 1 mg/L of HOCl clears visible algae to a tenth in, h",
                  std::log(10.0) / (-std::log(grow(1.0, 1.0, 28.0, 1))), 1.86, 0.03, assumed});
  report.compare({"spores always come back", grow(1.0, 5.0, 28.0, 100), 1e-3, 1e-9, assumed});
  report.compare({"light and nutrients set a limit", grow(20.0, 0.0, 30.0, 100), 30.0, 1e-6, assumed});
  report.compare({"free chlorine that visible algae use in a day", algae_demand_per_s(1.0, parameters()) * 86400.0,
                  0.0864, 0.001, assumed});
}

}  // namespace brinecast::verification
