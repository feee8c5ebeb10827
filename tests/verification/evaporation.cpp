#include "models/water_balance/evaporation.hpp"
#include "models/constants.hpp"
#include "models/water/latent_heat.hpp"
#include "models/water/vapour_pressure.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

namespace {

constexpr auto smith_1994 = "Smith, Löf & Jones 1994";
constexpr auto smith_1998 = "Smith et al. 1998, abstract";
constexpr double mmHg_Pa = 133.322;

struct Weather {
  double water_C, air_C, humidity, wind_m_per_s, expected_kg_per_h_m2;
};

double heat(Weather const& in, double bathers_per_m2 = 0.0, double share_uncovered = 1.0) {
  double const transfer = evaporation_transfer_W_per_m2_Pa<double>(
      {.wind_speed_m_per_s = in.wind_m_per_s, .bathers_per_m2 = bathers_per_m2, .share_uncovered = share_uncovered},
      parameters());
  return evaporation_heat_W_per_m2<double>(
      {.vapour_pressure_at_water_Pa = saturation_vapour_pressure_Pa(in.water_C + celsius_zero_K),
       .vapour_pressure_of_air_Pa = in.humidity * saturation_vapour_pressure_Pa(in.air_C + celsius_zero_K),
       .transfer_W_per_m2_Pa = transfer});
}

double latent(Weather const& in) { return latent_heat_of_vaporisation_J_per_kg(in.water_C + celsius_zero_K); }

}  // namespace

void verify_evaporation(Report& report) {
  for (Weather const& in :
       {Weather{28, 25, 0.50, 0, 0.2071}, Weather{28, 25, 0.50, 1, 0.4244}, Weather{28, 25, 0.50, 2.2, 0.6851},
        Weather{26, 32, 0.40, 2, 0.4254}, Weather{24, 15, 0.80, 3, 0.6310}, Weather{10, 5, 0.70, 3, 0.2371},
        Weather{20, 30, 0.95, 1, -0.3248}}) {
    report.compare({"evaporation, kg/(h m2), water " + std::to_string(int(in.water_C)) + " air " +
                        std::to_string(int(in.air_C)) + " degC, wind " + std::to_string(in.wind_m_per_s).substr(0, 3) +
                        " m/s",
                    heat(in) / latent(in) * seconds_per_hour, in.expected_kg_per_h_m2,
                    per_cent(0.5, in.expected_kg_per_h_m2), smith_1994});
  }
  Weather const calm{28, 25, 0.50, 0, 0};
  Weather const breeze{28, 25, 0.50, 2.2, 0};
  // Handbook equation (ASHRAE Trans. 4146, 1998): (95 + 0.425 v) per inHg, v ft/min, in Btu/h/ft2: 1.0 Btu/h/ft2 =
  // 3.15459 W/m2, 1 inHg = 3386.39 Pa.
  auto const handbook = [](Weather const& in) {
    double const feet_per_minute = in.wind_m_per_s / 0.00508;
    double const inches = (saturation_vapour_pressure_Pa(in.water_C + celsius_zero_K) -
                           in.humidity * saturation_vapour_pressure_Pa(in.air_C + celsius_zero_K)) /
                          3386.39;
    return (95.0 + 0.425 * feet_per_minute) * inches * 3.15459;
  };
  report.compare({"ratio to the handbook equation in still air", heat(calm) / handbook(calm), 0.72, 0.01,
                  "Smith, Löf & Jones 1994, abstract"});
  report.compare({"ratio to the handbook equation at 2.2 m/s", heat(breeze) / handbook(breeze), 0.82, 0.015,
                  "Smith, Löf & Jones 1994, abstract"});
  report.compare({"still-air coefficient, kJ/(h m2 mmHg)", parameters().evaporation_still_W_per_m2_Pa * mmHg_Pa * 3.6,
                  30.6, 0.01, smith_1994});
  report.compare({"wind coefficient, kJ s/(h m3 mmHg)", parameters().evaporation_wind_J_per_m3_Pa * mmHg_Pa * 3.6, 32.1,
                  0.01, smith_1994});
  report.compare({"crowded pool (17.5 bathers per 1000 ft2) against a quiet one",
                  heat(calm, 17.5 / 92.903) / heat(calm), 1.26 / 0.74, 0.006, smith_1998});
  report.compare({"half as many bathers: within 40 to 70 % above quiet or below",
                  heat(calm, 8.75 / 92.903) / heat(calm), 1.35, 0.005, smith_1998});
  report.compare(
      {"share that passes a cover of 5 %", heat(breeze, 0.0, 0.05) / heat(breeze), 0.05, 1e-12, "definition"});
  report.compare({"water lost, mm/day, at 28/25 degC in still air",
                  evaporation_depth_m_per_s(heat(calm), latent(calm)) * seconds_per_day * 1000.0, 4.97 / 0.997, 0.03,
                  smith_1994});
  report.compare({"condensation takes no water into the books", evaporation_depth_m_per_s(-100.0, 2.45e6), 0.0, 0.0,
                  "definition"});
}

}  // namespace brinecast::verification
