#include <algorithm>
#include <cmath>

#include "models/water/conductivity.hpp"
#include "models/water/density.hpp"
#include "models/water/latent_heat.hpp"
#include "models/water/vapour_pressure.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

namespace {
constexpr auto ashrae = "ASHRAE Handbook Fundamentals 2017 ch. 1 table 3";
constexpr auto iapws = "IAPWS saturation line";
constexpr auto rogers = "Rogers & Yau 1989, from memory";
constexpr auto kell = "Kell 1975, from memory";
constexpr auto eos80 = "UNESCO 1983, Technical Papers in Marine Science 44";
constexpr auto phreeqc = "computed with a general geochemical code (USGS PHREEQC 3.6)";

double celsius(double t) { return t + celsius_zero_K; }
}  // namespace

void verify_water_properties(Report& report) {
  for (auto const& [t, expected] : {std::pair{5.0, 872.6}, {25.0, 3169.7}, {50.0, 12351.3}}) {
    report.compare({"vapour pressure over water, Pa, at degC " + std::to_string(int(t)),
                    saturation_vapour_pressure_Pa(celsius(t)), expected, per_cent(0.1, expected), ashrae});
  }
  for (auto const& [t, expected] : {std::pair{15.0, 1705.7}, {32.0, 4759.6}, {40.0, 7385.1}}) {
    report.compare({"vapour pressure over water, Pa, at degC " + std::to_string(int(t)),
                    saturation_vapour_pressure_Pa(celsius(t)), expected, per_cent(0.1, expected), iapws});
  }
  for (auto const& [t, expected] : {std::pair{-20.0, 103.24}, {-5.0, 401.74}}) {
    report.compare({"vapour pressure over ice, Pa, at degC " + std::to_string(int(t)),
                    saturation_vapour_pressure_over_ice_Pa(celsius(t)), expected, per_cent(0.05, expected), ashrae});
  }
  report.compare(
      {"slope of vapour pressure at 25 degC, Pa/K", vapour_pressure_over_water(celsius(25.0)).slope_Pa_per_K,
       (saturation_vapour_pressure_Pa(celsius(25.001)) - saturation_vapour_pressure_Pa(celsius(24.999))) / 0.002, 1e-3,
       "central difference"});
  report.compare({"the same against FAO-56: 4098 e / (t + 237.3)^2",
                  vapour_pressure_over_water(celsius(25.0)).slope_Pa_per_K, 188.7, 0.8, "FAO irrigation paper 56"});
  for (auto const& [t, expected] : {std::pair{0.0, 2500.8}, {10.0, 2477.3}, {20.0, 2453.8}, {30.0, 2429.8}}) {
    report.compare({"latent heat, kJ/kg, at degC " + std::to_string(int(t)),
                    latent_heat_of_vaporisation_J_per_kg(celsius(t)) / 1000.0, expected, 0.05, rogers});
  }
  report.compare({"latent heat at 40 degC, kJ/kg", latent_heat_of_vaporisation_J_per_kg(celsius(40.0)) / 1000.0, 2406.0,
                  1.5, "IAPWS saturation line"});
  for (auto const& [t, expected] : {std::pair{5.0, 999.964}, {15.0, 999.100}, {25.0, 997.045}, {32.0, 995.026}}) {
    report.compare({"density of pure water, kg/m3, at degC " + std::to_string(int(t)),
                    water_density_kg_per_m3(celsius(t), 0.0), expected, 0.005, kell});
  }
  report.compare(
      {"density of pure water at 5 degC, kg/m3", water_density_kg_per_m3(celsius(5.0), 0.0), 999.96675, 0.01, eos80});
  report.compare(
      {"density of pure water at 25 degC, kg/m3", water_density_kg_per_m3(celsius(25.0), 0.0), 997.04796, 0.01, eos80});
  for (auto const& [t, expected] : {std::pair{60.0, 983.2}, {80.0, 971.8}}) {
    report.compare({"density of hot water, kg/m3, at degC " + std::to_string(int(t)),
                    water_density_kg_per_m3(celsius(t), 0.0), expected, 0.05, "steam tables, from memory"});
  }
  report.compare(
      {"density with 3.2 kg/m3 salt at 15 degC", water_density_kg_per_m3(celsius(15.0), 3.2), 1001.42, 0.08, phreeqc});
  report.compare(
      {"density with 3.2 kg/m3 salt at 25 degC", water_density_kg_per_m3(celsius(25.0), 3.2), 999.31, 0.08, phreeqc});
  report.compare({"density gain by 8 kg/m3 salt at 25 degC",
                  water_density_kg_per_m3(celsius(25.0), 8.0) - water_density_kg_per_m3(celsius(25.0), 0.0), 5.66, 0.07,
                  phreeqc});

  // Coefficients that matter little in a pool, by hand at the ends of their range.
  report.compare({"density at 100 degC, kg/m3", water_density_kg_per_m3(celsius(100.0), 0.0), 958.364, 0.01, kell});
  report.compare({"latent heat at 40 degC by hand, kJ/kg", latent_heat_of_vaporisation_J_per_kg(celsius(40.0)) / 1000.0,
                  2405.12, 0.03, rogers});
  report.compare({"Buck over water at 40 degC, Pa", saturation_vapour_pressure_Pa(celsius(40.0)), 7382.4, 1.0,
                  "Buck 1996, evaluated independently"});
  report.compare({"Buck over ice at -40 degC by hand, Pa", saturation_vapour_pressure_over_ice_Pa(celsius(-40.0)),
                  12.8473, 0.003, "Buck 1996, evaluated by hand"});
  report.compare({"conductivity ratio at 5 degC by hand", conductivity_temperature_ratio(celsius(5.0)), 0.616004, 5e-5,
                  "own fit, evaluated by hand"});
  report.compare({"conductivity ratio at 40 degC by hand", conductivity_temperature_ratio(celsius(40.0)), 1.315644,
                  5e-5, "own fit, evaluated by hand"});

  auto const salt = [](double kg_per_m3, double t) {
    return 1e4 * conductivity_S_per_m<double>({.salt_kg_per_m3 = kg_per_m3,
                                               .calcium_mol_per_m3 = 0.0,
                                               .alkalinity_mol_per_m3 = 0.0,
                                               .temperature_K = celsius(t)});
  };
  for (auto const& [t, expected] :
       {std::pair{5.0, 3716.6}, {15.0, 4841.5}, {20.0, 5433.2}, {25.0, 6041.8}, {30.0, 6665.7}, {35.0, 7303.1}}) {
    report.compare({"conductivity of 3200 mg/L NaCl, uS/cm, at degC " + std::to_string(int(t)), salt(3.2, t), expected,
                    per_cent(0.7, expected), phreeqc});
  }
  report.compare(
      {"conductivity of 5000 mg/L NaCl at 25 degC, uS/cm", salt(5.0, 25.0), 9204.7, per_cent(0.7, 9204.7), phreeqc});
  // Molar conductivity of NaCl, CRC handbook, from memory: 0.05 mol/L 111.0, 0.1 mol/L 106.7 S cm2/mol.
  report.compare({"conductivity of 0.05 mol/L NaCl at 25 degC, uS/cm", salt(0.05 * 58.4428, 25.0), 5550.0, 55.0,
                  "CRC handbook, from memory"});
  report.compare({"conductivity of 0.1 mol/L NaCl at 25 degC, uS/cm", salt(0.1 * 58.4428, 25.0), 10670.0, 75.0,
                  "CRC handbook, from memory"});
  for (double const t : {5.0, 35.0}) {
    report.compare({"ratio to 25 degC at degC " + std::to_string(int(t)), conductivity_temperature_ratio(celsius(t)),
                    t < 25.0 ? 3716.6 / 6041.8 : 7303.1 / 6041.8, 0.0023, phreeqc});
  }
  report.compare(
      {"ratio to 25 degC at 40 degC", conductivity_temperature_ratio(celsius(40.0)), 1.3156, 0.0023, phreeqc});

  Table const waters("tables/calcite_si.csv", report);
  double worst = 0.0;
  double mean = 0.0;
  for (std::size_t row = 0; row < waters.rows(); ++row) {
    double const calcium = waters.value(row, "ca_hardness_mgL_CaCO3") / 100.087;
    double const got =
        1e4 * conductivity_S_per_m<double>({.salt_kg_per_m3 = waters.value(row, "nacl_mgL") / 1000.0,
                                            .calcium_mol_per_m3 = calcium,
                                            .alkalinity_mol_per_m3 = waters.value(row, "total_alk_mgL_CaCO3") / 50.0435,
                                            .temperature_K = celsius(waters.value(row, "temp_C"))});
    double const error = got / waters.value(row, "conductivity_at_temp_uScm") - 1.0;
    worst = std::max(worst, std::fabs(error));
    mean += error / static_cast<double>(waters.rows());
  }
  if (waters.rows() > 0) {
    report.compare({"conductivity of 432 pool waters, worst relative error", worst, 0.0, 0.03, phreeqc});
    report.compare({"conductivity of 432 pool waters, mean relative error", mean, 0.00198, 0.0003, phreeqc});
  }
}

}  // namespace brinecast::verification
