#include <cmath>

#include "models/cell/coating.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

void verify_coating(Report& report) {
  constexpr auto assumed = "assumption";
  struct Run {
    double reversals_per_day = 6.0, salt = 3.2, t_C = 25.0, covered = 0.0, on = 1.0;
  };
  auto const wear = [](Run const& run, double density = 0.0) {
    Parameters p = parameters();
    if (density > 0.0) {
      p.cell_current_density_A_per_m2 = density;
    }
    return coating_wear<double>({.share_on = run.on,
                                 .coating_life_h = 8000.0,
                                 .reversals_per_s = run.reversals_per_day / 86400.0,
                                 .salt_kg_per_m3 = run.salt,
                                 .water_temperature_K = run.t_C + celsius_zero_K,
                                 .share_covered = run.covered,
                                 .step_s = 3600.0},
                                p);
  };
  Run const plain{.reversals_per_day = 0.0};
  report.compare({"hours until a coating of 8000 h is worn", 1.0 / wear(plain), 8000.0, 1e-6, "definition"});
  report.compare({"half on, half worn", wear({.reversals_per_day = 0.0, .on = 0.5}) / wear(plain), 0.5, 1e-12,
                  "wear in proportion to charge"});
  report.compare({"six reversals a day", wear({.reversals_per_day = 6.0}) / wear(plain), 1.06, 0.0006, assumed});
  report.compare({"twelve reversals a day", wear({.reversals_per_day = 12.0}) / wear(plain), 1.12, 0.0012, assumed});
  report.compare(
      {"at 2.4 kg/m3 salt", wear({.reversals_per_day = 0.0, .salt = 2.4}) / wear(plain), 1.1667, 0.0025, assumed});
  report.compare(
      {"at 1.35 kg/m3 salt", wear({.reversals_per_day = 0.0, .salt = 1.35}) / wear(plain), 1.75, 0.01, assumed});
  report.compare({"at 10 degC", wear({.reversals_per_day = 0.0, .t_C = 10.0}) / wear(plain), 1.25, 0.004, assumed});
  report.compare({"at 15 degC", wear({.reversals_per_day = 0.0, .t_C = 15.0}) / wear(plain), 1.0, 1e-9, assumed});
  report.compare({"half covered: 600 A/m2 on what is left",
                  wear({.reversals_per_day = 0.0, .covered = 0.5}) / wear(plain), 1.875, 0.012,
                  "wear rises above 320 A/m2: abstract, journal of the Don region"});
  report.compare({"wholly covered plates stay finite", wear({.reversals_per_day = 0.0, .covered = 1.0}) / wear(plain),
                  4.6875, 0.08, "limit"});
  report.compare({"below 320 A/m2 no extra wear", wear(plain, 315.0) / wear(plain), 1.0, 1e-12,
                  "abstract, journal of the Don region"});
  report.compare({"a season of 200 days, 5 h a day on, as a share of 8000 h", 1000.0 * wear({}), 0.1325, 0.0005,
                  "about 7 seasons"});
  constexpr auto weibull = "Weibull quantile, closed form";
  report.compare(
      {"median life, h", coating_life_h(0.5, parameters()), 9000.0 * std::pow(std::log(2.0), 0.25), 25.0, weibull});
  report.compare(
      {"life that 63 % do not reach, h", coating_life_h(1.0 - std::exp(-1.0), parameters()), 9000.0, 1e-6, weibull});
  report.compare({"a tenth fail before, h", coating_life_h(0.1, parameters()), 5127.0, 40.0,
                  "within the 5000-10000 h of practice, no source"});
  report.compare({"a tenth outlive, h", coating_life_h(0.9, parameters()), 11087.0, 35.0, weibull});
}

}  // namespace brinecast::verification
