#include <cmath>

#include "models/freezing/freezing.hpp"
#include "models/heat/ice.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

void verify_ice(Report& report) {
  constexpr auto blagden = "Blagden's law, osmotic coefficient 0.94";
  report.compare({"freezing point, degC, 3200 mg/L", freezing_point_K(3.2) - celsius_zero_K, -0.1915, 0.002, blagden});
  report.compare({"freezing point, degC, 5000 mg/L", freezing_point_K(5.0) - celsius_zero_K, -0.2992, 0.003, blagden});
  report.compare({"expansion on freezing", 999.84 / ice_density_kg_per_m3 - 1.0, 0.0907, 0.0005, "handbook densities"});
  report.compare({"latent heat of fusion over heat capacity, K",
                  latent_heat_of_fusion_J_per_kg / water_heat_capacity_J_per_kg_K, 79.7, 0.3, "handbook: 79.7 cal/g"});

  // Ideal Stefan ice: the surface is held at the air's temperature, 3.526 cm per root of a degree-day.
  auto const grow = [](double degree_days, double slope, int hours) {
    double ice = 0.0;
    double const cold = degree_days * 24.0 / hours;
    for (int hour = 0; hour < hours; ++hour) {
      double const flux = flux_through_ice_W_per_m2<double>(
          {.ice_m = ice, .surface_W_per_m2 = -cold * slope, .loss_slope_W_per_m2_K = slope, .step_s = 3600.0});
      ice = settle_ice<double>({.ice_m = ice,
                                .water_temperature_K = celsius_zero_K + flux * 3600.0 / 5e6,
                                .freezing_point_K = celsius_zero_K,
                                .heat_capacity_J_per_m2_K = 5e6})
                .ice_m;
    }
    return ice;
  };
  for (auto const& [degree_days, expected] : {std::pair{10.0, 11.15}, {50.0, 24.93}, {100.0, 35.26}}) {
    report.compare({"ice, cm, after degree-days " + std::to_string(int(degree_days)),
                    100.0 * grow(degree_days, 1e5, 240), expected, 0.05, "Stefan 1891, conductivity 2.2 W/(m K)"});
  }
  // With 20 W/(m2 K) to the air: h + h^2 slope/(2k) = slope t cold/(rho L).
  double const right = 20.0 * 50.0 * 86400.0 / (916.7 * 333550.0);
  report.compare({"ice, m, 50 degree-days with a surface resistance", grow(50.0, 20.0, 240),
                  (std::sqrt(1.0 + 2.0 * 20.0 / 2.2 * right) - 1.0) * 2.2 / 20.0, 1e-6, "closed solution"});
  double const ratio = grow(50.0, 20.0, 240) / 0.2493;
  report.compare(
      {"the same relative to ideal, between 0.4 and 0.8 in practice", ratio, 0.69, 0.11, "US Army method, as cited"});
  IceSettling<double> const melted = settle_ice<double>({.ice_m = 0.01,
                                                         .water_temperature_K = celsius_zero_K + 2.0,
                                                         .freezing_point_K = celsius_zero_K,
                                                         .heat_capacity_J_per_m2_K = 5e6});
  report.compare({"10 MJ/m2 of warm water melt a centimetre of ice and keep the rest, K", 2.0 + melted.warming_K,
                  2.0 - 0.01 * 916.7 * 333550.0 / 5e6, 1e-9, "conservation of heat"});
  report.compare({"sun on ice passes whole, W/m2",
                  flux_through_ice_W_per_m2<double>(
                      {.ice_m = 0.1, .surface_W_per_m2 = 150.0, .loss_slope_W_per_m2_K = 20.0, .step_s = 3600.0}),
                  150.0, 0.0, "definition"});

  // A still 52 mm pipe at -7 degC in calm air freezes through in about 18 h: 5 K below -2 degC for 18 h is 90 degC h;
  // insulated or sheltered lines take about three times as long. The scale lies between.
  double dose = 0.0;
  for (int hour = 0; hour < 24; ++hour) {
    dose = step_freeze_dose<double>(
        {.dose_K_s = dose, .air_temperature_K = celsius_zero_K - 7.0, .flowing = 0.0, .step_s = 3600.0}, parameters());
  }
  report.compare(
      {"cold taken up in a day at -7 degC, degC h", dose / 3600.0, 120.0, 2.0, "degree-hours below -2 degC"});
  report.compare({"broken lines at that dose, the onset for bare pipe", freeze_break_probability(dose, parameters()),
                  0.302, 0.009, "assumption: 63 % at 200 degC h, shape 2"});
  report.compare({"broken lines at 300 degC h", freeze_break_probability(300.0 * 3600.0, parameters()), 0.895, 0.006,
                  "assumption: 63 % at 200 degC h, shape 2"});
  report.compare({"flowing water forgets the cold",
                  step_freeze_dose<double>(
                      {.dose_K_s = dose, .air_temperature_K = 260.0, .flowing = 1.0, .step_s = 3600.0}, parameters()),
                  0.0, 0.0, "definition"});
  report.compare({"thaw forgets the cold",
                  step_freeze_dose<double>(
                      {.dose_K_s = dose, .air_temperature_K = 274.0, .flowing = 0.0, .step_s = 3600.0}, parameters()),
                  0.0, 0.0, "definition"});
}

}  // namespace brinecast::verification
