#include "models/carbonate/gas_exchange.hpp"
#include "models/cell/hydrogen.hpp"
#include "models/sample/sample.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

namespace {

/// pH of a 1.4 m deep pool day by day, by the hourly step of the kernel.
double drifted_ph(double alkalinity_mg_per_L, int days) {
  CyanurateSet const set = cyanurate_set(parameters());
  WaterComposition water = composition_of(TestedWater{.temperature_K = 298.15,
                                                      .ph = 7.4,
                                                      .salt_kg_per_m3 = 3.2,
                                                      .calcium_mol_per_m3 = 300.0 / 100.087,
                                                      .alkalinity_mol_per_m3 = alkalinity_mg_per_L / 50.0435},
                                          set);
  double const velocity = gas_transfer_velocity_m_per_s(water.temperature_K, wind_for_gas_transfer(2.0));
  for (int step = 0; step < 4 * days; ++step) {
    WaterProperties const now = properties_of(water, set);
    water.inorganic_carbon_mol_per_m3 += gas_exchange_mol_per_m3<double>(
        {.water = now.acid_base,
         .equilibrium_mol_per_m3 = now.equilibrium.carbon_dioxide_mol_per_m3_Pa * parameters().air_carbon_dioxide_Pa,
         .transfer_velocity_m_per_s = velocity,
         .depth_m = 1.4,
         .step_s = 6.0 * seconds_per_hour});
  }
  return properties_of(water, set).acid_base.ph;
}

}  // namespace

void verify_gas_exchange(Report& report) {
  constexpr auto cole = "Cole & Caraco 1998; Schmidt number of Wanninkhof 2014";
  for (auto const& [wind, expected] : {std::pair{1.0, 2.585}, {2.0, 3.132}, {3.0, 3.917}}) {
    report.compare({"transfer velocity, cm/h, 25 degC, wind m/s " + std::to_string(int(wind)),
                    gas_transfer_velocity_m_per_s(298.15, wind_for_gas_transfer(wind)) * 3.6e5, expected,
                    per_cent(0.1, expected), cole});
  }
  for (auto const& [t_C, schmidt] : {std::pair{15.0, 779.0}, {28.0, 404.9}, {0.0, 1923.6}, {5.0, 1397.5}}) {
    double const k600 = 2.07 + 0.215;
    double const velocity = gas_transfer_velocity_m_per_s(t_C + celsius_zero_K, 1.0) * 3.6e5;
    report.compare({"Schmidt number of CO2 at degC " + std::to_string(int(t_C)),
                    600.0 * (k600 / velocity) * (k600 / velocity), schmidt, per_cent(0.3, schmidt),
                    "Wanninkhof 2014, from memory"});
  }
  CyanurateSet const set = cyanurate_set(parameters());
  WaterProperties const water = properties_of(TestedWater{.temperature_K = 298.15,
                                                          .ph = 7.4,
                                                          .salt_kg_per_m3 = 3.2,
                                                          .calcium_mol_per_m3 = 300.0 / 100.087,
                                                          .alkalinity_mol_per_m3 = 100.0 / 50.0435},
                                              set);
  double const equilibrium = water.equilibrium.carbon_dioxide_mol_per_m3_Pa * parameters().air_carbon_dioxide_Pa;
  report.compare({"CO2 above air equilibrium at pH 7.4, alkalinity 100, mmol/L",
                  water.acid_base.carbon_dioxide_mol_per_m3 - equilibrium, 0.1257, 0.003,
                  "geochemical code: log pCO2 -2.386"});
  double const first = -gas_exchange_mol_per_m3<double>({.water = water.acid_base,
                                                         .equilibrium_mol_per_m3 = equilibrium,
                                                         .transfer_velocity_m_per_s = gas_transfer_velocity_m_per_s(
                                                             298.15, wind_for_gas_transfer(2.0)),
                                                         .depth_m = 1.4,
                                                         .step_s = 1.0}) *
                       86400.0;
  report.compare({"initial loss of CO2 from 1.4 m, wind 2 m/s, mmol/L per day", first, 0.0675, 0.0015, cole});
  // The response of CO2 to carbon at constant alkalinity against a difference.
  WaterComposition nudged = composition_of(TestedWater{.temperature_K = 298.15,
                                                       .ph = 7.4,
                                                       .salt_kg_per_m3 = 3.2,
                                                       .calcium_mol_per_m3 = 300.0 / 100.087,
                                                       .alkalinity_mol_per_m3 = 100.0 / 50.0435},
                                           set);
  nudged.inorganic_carbon_mol_per_m3 += 1e-4;
  double const response =
      (properties_of(nudged, set).acid_base.carbon_dioxide_mol_per_m3 - water.acid_base.carbon_dioxide_mol_per_m3) /
      1e-4;
  report.compare({"change of CO2 per change of carbon at constant alkalinity",
                  water.acid_base.carbon_dioxide_per_carbon, response, 0.002, "difference quotient"});
  constexpr auto drift = "explicit 6 h steps of the same law, computed independently";
  double const daily[] = {7.595, 7.755, 7.879, 7.971, 8.040};
  for (int day = 1; day <= 5; ++day) {
    report.compare({"pH after days of drift from 7.4, alkalinity 100: day " + std::to_string(day),
                    drifted_ph(100.0, day), daily[day - 1], 0.02, drift});
  }
  report.compare({"pH after five days, alkalinity 60", drifted_ph(60.0, 5), 7.958, 0.02, drift});
  report.compare({"air in the pool's CO2 balance, ppm",
                  parameters().air_carbon_dioxide_Pa / standard_atmosphere_Pa * 1e6, 420.0, 5.0,
                  "NOAA global record near 2023"});
  // A mol of hydrogen leaving at the water's CO2 pressure of 10^-2.386 atm takes 4.11 mmol along.
  report.compare({"CO2 stripped per mol of chlorine made, mol",
                  carbon_dioxide_stripped_mol_per_s<double>(
                      {.chlorine_production_mol_per_s = 1.0,
                       .carbon_dioxide_mol_per_m3 = water.acid_base.carbon_dioxide_mol_per_m3,
                       .solubility_mol_per_m3_Pa = water.equilibrium.carbon_dioxide_mol_per_m3_Pa},
                      parameters()),
                  4.11e-3, 0.08e-3, "Henry's law: bubbles in equilibrium, an upper bound"});
}

}  // namespace brinecast::verification
