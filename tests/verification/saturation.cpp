#include <algorithm>
#include <cmath>

#include "models/carbonate/saturation.hpp"
#include "models/sample/sample.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

namespace {

constexpr auto phreeqc = "general geochemical code (USGS PHREEQC 3.6, phreeqc.dat 2024)";

struct Water {
  double t_C, ph, alkalinity_mg_per_L, hardness_mg_per_L, salt_mg_per_L;
  double cyanuric_mg_per_L = 0.0;
  double boron_mg_per_L = 0.0;
};

WaterProperties properties(Water const& in) {
  static CyanurateSet const set = cyanurate_set(parameters());
  return properties_of(TestedWater{.temperature_K = in.t_C + celsius_zero_K,
                                   .ph = in.ph,
                                   .salt_kg_per_m3 = in.salt_mg_per_L / 1000.0,
                                   .calcium_mol_per_m3 = in.hardness_mg_per_L / 100.087,
                                   .alkalinity_mol_per_m3 = in.alkalinity_mg_per_L / 50.0435,
                                   .cyanuric_acid_mol_per_m3 = in.cyanuric_mg_per_L / 129.074,
                                   .borate_mol_per_m3 = in.boron_mg_per_L / 10.81,
                                   .free_chlorine_mol_per_m3 = 0.0},
                       set);
}

}  // namespace

void verify_saturation(Report& report) {
  struct Row {
    Water in;
    double index, ionic_strength, log_pressure;
  };
  for (Row const& row :
       {Row{{25, 7.4, 100, 300, 500}, .033, .01955, -2.345}, Row{{25, 7.4, 100, 300, 3200}, -.137, .06592, -2.386},
        Row{{25, 7.4, 100, 300, 6000}, -.229, .11409, -2.411}, Row{{5, 7.4, 100, 300, 3200}, -.429, .0658, -2.487},
        Row{{15, 7.4, 100, 300, 3200}, -.284, .0658, -2.441}, Row{{32, 7.4, 100, 300, 3200}, -.033, .0660, -2.344},
        Row{{25, 7.8, 100, 300, 3200}, .257, .06591, -2.791}, Row{{25, 8.2, 160, 600, 3200}, 1.112, .07593, -3.016},
        Row{{5, 7.0, 60, 150, 6000}, -1.429, .10850, -2.327}}) {
    WaterProperties const got = properties(row.in);
    std::string const where = ", " + std::to_string(int(row.in.t_C)) + " degC pH " +
                              std::to_string(row.in.ph).substr(0, 3) + " salt " +
                              std::to_string(int(row.in.salt_mg_per_L));
    report.compare({"saturation index" + where, got.saturation_index, row.index, 0.025, phreeqc});
    report.compare({"ionic strength, mol/L" + where, got.ionic_strength_mol_per_L, row.ionic_strength,
                    per_cent(0.6, row.ionic_strength), phreeqc});
    report.compare({"log10 of the CO2 pressure, atm" + where,
                    std::log10(got.carbon_dioxide_pressure_Pa / standard_atmosphere_Pa), row.log_pressure, 0.02,
                    phreeqc});
  }
  Table const table("tables/calcite_si.csv", report);
  double worst = 0.0;
  double mean = 0.0;
  double worst_carbon = 0.0;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    WaterProperties const got =
        properties({table.value(row, "temp_C"), table.value(row, "pH"), table.value(row, "total_alk_mgL_CaCO3"),
                    table.value(row, "ca_hardness_mgL_CaCO3"), table.value(row, "nacl_mgL")});
    double const error = got.saturation_index - table.value(row, "si_calcite");
    worst = std::max(worst, std::fabs(error));
    mean += error / static_cast<double>(table.rows());
    worst_carbon =
        std::max(worst_carbon, std::fabs(std::log10(got.carbon_dioxide_pressure_Pa / standard_atmosphere_Pa) -
                                         table.value(row, "log10_pCO2_atm")));
  }
  if (table.rows() > 0) {
    report.compare({"saturation index of 432 waters, worst", worst, 0.0, 0.035, phreeqc});
    report.compare({"saturation index of 432 waters, mean", mean, 0.0, 0.008, phreeqc});
    report.compare({"log10 of the CO2 pressure of 432 waters, worst", worst_carbon, 0.0, 0.03, phreeqc});
  }
  Table const stabilised("tables/alk_correction.csv", report);
  double worst_stabilised = 0.0;
  for (std::size_t row = 0; row < stabilised.rows(); ++row) {
    Water const in{stabilised.value(row, "temp_C"),  stabilised.value(row, "pH"),         100, 300, 3200,
                   stabilised.value(row, "cya_mgL"), stabilised.value(row, "boron_mgL_B")};
    worst_stabilised = std::max(worst_stabilised, std::fabs(properties(in).saturation_index -
                                                            stabilised.value(row, "si_calcite_CH300_NaCl3200")));
  }
  if (stabilised.rows() > 0) {
    report.compare(
        {"saturation index with stabiliser or borate, 48 waters, worst", worst_stabilised, 0.0, 0.03, phreeqc});
  }
  report.compare({"index lost by taking out the alkalinity of 50 mg/L stabiliser, pH 7.5",
                  properties({25, 7.5, 100, 300, 3200}).saturation_index -
                      properties({25, 7.5, 100, 300, 3200, 50}).saturation_index,
                  0.075, 0.007, phreeqc});
  // Beyond the table, to the claimed range: 8000 mg/L and 40 degC stay smooth continuations.
  report.compare({"index at 8000 mg/L by the trend of the last two columns",
                  properties({25, 7.4, 100, 300, 8000}).saturation_index, -0.275, 0.03,
                  "extrapolation of the same code's figures"});
  report.compare({"index at 40 degC by the trend of 25 and 32 degC",
                  properties({40, 7.4, 100, 300, 3200}).saturation_index, 0.086, 0.05,
                  "extrapolation; the code's newer calcite constant is 0.036 above Plummer & Busenberg there"});
  // Handbook example of the tabulated index: solids 320, hardness 150, alkalinity 34, pH 7.5.
  auto const tabulated = [](double t_C) {
    return tabulated_saturation_index({.ph = 7.5,
                                       .temperature_K = t_C + celsius_zero_K,
                                       .calcium_hardness_mg_per_L_as_CaCO3 = 150.0,
                                       .alkalinity_mg_per_L_as_CaCO3 = 34.0,
                                       .dissolved_solids_mg_per_L = 320.0});
  };
  report.compare({"tabulated index, corrosion handbook example at 25 degC", tabulated(25.0), -0.7, 0.06,
                  "corrosion handbook example, from memory"});
  report.compare({"tabulated index, corrosion handbook example at 82 degC", tabulated(82.0), 0.3, 0.06,
                  "corrosion handbook example, from memory"});
  // A .150515, C 1.776091, D 1.531479; B 2.085413 at 25 degC, 1.088592 at 82 degC.
  report.compare({"factor form by hand at 25 degC", tabulated(25.0),
                  7.5 - (9.3 + 0.150515 + 2.085413 - 1.776091 - 1.531479), 0.001, "factor form, evaluated by hand"});
  report.compare({"factor form by hand at 82 degC", tabulated(82.0),
                  7.5 - (9.3 + 0.150515 + 1.088592 - 1.776091 - 1.531479), 0.001, "factor form, evaluated by hand"});
}

}  // namespace brinecast::verification
