#include <algorithm>
#include <cmath>
#include <tuple>

#include "models/carbonate/equilibrium.hpp"
#include "models/carbonate/ph.hpp"
#include "models/sample/sample.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

namespace {

constexpr auto phreeqc = "general geochemical code (USGS PHREEQC 3.6, phreeqc.dat 2024)";
constexpr auto plummer = "Plummer & Busenberg 1982";

struct Water {
  double t_C, ph, alkalinity_mg_per_L, hardness_mg_per_L, salt_mg_per_L;
  double cyanuric_mg_per_L = 0.0;
  double boron_mg_per_L = 0.0;
};

TestedWater tested(Water const& in) {
  return {.temperature_K = in.t_C + celsius_zero_K,
          .ph = in.ph,
          .salt_kg_per_m3 = in.salt_mg_per_L / 1000.0,
          .calcium_mol_per_m3 = in.hardness_mg_per_L / 100.087,
          .alkalinity_mol_per_m3 = in.alkalinity_mg_per_L / 50.0435,
          .cyanuric_acid_mol_per_m3 = in.cyanuric_mg_per_L / 129.074,
          .borate_mol_per_m3 = in.boron_mg_per_L / 10.81,
          .free_chlorine_mol_per_m3 = 0.0};
}

CyanurateSet const& set() {
  static CyanurateSet const chosen = cyanurate_set(parameters());
  return chosen;
}

WaterComposition water(Water const& in) { return composition_of(tested(in), set()); }

double ph_with(WaterComposition composition, double alkalinity_added, double carbon_added) {
  composition.alkalinity_mol_per_m3 += alkalinity_added;
  composition.inorganic_carbon_mol_per_m3 += carbon_added;
  return properties_of(composition, set()).acid_base.ph;
}

std::string label(char const* what, Water const& in) {
  return std::string(what) + ", alkalinity " + std::to_string(int(in.alkalinity_mg_per_L)) + ", pH " +
         std::to_string(in.ph).substr(0, 3);
}

void constants(Report& report) {
  struct Row {
    double t_C, first, second, calcite, water, carbon_dioxide, davies, hypochlorous, cyanuric;
  };
  for (Row const& row : {Row{5, 6.516, 10.554, 8.394, 14.732, 1.192, .4944, 7.7541, 7.386},
                         Row{15, 6.419, 10.428, 8.430, 14.345, 1.341, .5022, 7.6328, 7.169},
                         Row{25, 6.352, 10.329, 8.480, 13.995, 1.468, .5108, 7.5366, 6.966},
                         Row{32, 6.320, 10.273, 8.523, 13.770, 1.546, .5174, 7.4829, 6.832}}) {
    ThermodynamicConstants<double> const pk = thermodynamic_constants(row.t_C + celsius_zero_K);
    std::string const at = " at degC " + std::to_string(int(row.t_C));
    report.compare({"pK1 of carbonic acid" + at, pk.first_carbonic, row.first, 0.001, plummer});
    report.compare({"pK2 of carbonic acid" + at, pk.second_carbonic, row.second, 0.001, plummer});
    report.compare({"pKs of calcite" + at, pk.calcite, row.calcite, 0.001, plummer});
    report.compare({"pKw" + at, pk.water, row.water, 0.001, "Harned & Hamer 1933 form, in a public treatment model"});
    report.compare({"pKH of CO2" + at, pk.carbon_dioxide, row.carbon_dioxide, 0.001, plummer});
    report.compare({"pKa of HOCl" + at, pk.hypochlorous, row.hypochlorous, 0.0005, "Morris 1966"});
    report.compare({"pK of cyanuric acid" + at, pk.cyanuric, row.cyanuric, 0.001, "Wahman 2018"});
    // Davies slope: the exponent over its bracket at I = 0.01.
    double const root = 0.1;
    report.compare({"Debye-Hueckel slope" + at,
                    davies_exponent(row.t_C + celsius_zero_K, 0.01) / (root / (1.0 + root) - 0.003), row.davies, 0.0005,
                    "Standard Methods 2330"});
  }
  ThermodynamicConstants<double> const pk = thermodynamic_constants(298.15);
  report.compare({"activity coefficient of a univalent ion at 0.066 mol/L",
                  std::pow(10.0, -davies_exponent(298.15, 0.066)), 0.805, 0.001, "Davies 1962"});
  // sqrt(0.2) / (1 + sqrt(0.2)) - 0.06 = 0.24902, times 0.5108.
  report.compare({"activity coefficient of a univalent ion at 0.2 mol/L", std::pow(10.0, -davies_exponent(298.15, 0.2)),
                  0.7461, 0.0005, "Davies 1962, evaluated by hand"});
  report.compare({"solubility of CO2 at 25 degC, mol/(m3 Pa)",
                  water_equilibrium<double>({298.15, {0.0, 0.0, 0.0}, 0.0}).carbon_dioxide_mol_per_m3_Pa,
                  std::pow(10.0, -1.468) * 1000.0 / 101325.0, 1e-6, plummer});
  report.compare({"pK of boric acid at 25 degC", pk.boric, 9.24, 0.001, "phreeqc.dat"});
  report.compare({"its shift to 5 degC by 13.49 kJ/mol", thermodynamic_constants(278.15).boric - pk.boric,
                  13490.0 / (8.314462618 * 2.302585093) * (1.0 / 278.15 - 1.0 / 298.15), 1e-4, "van 't Hoff"});
  report.compare({"association of CaCO3 at 25 degC, log10", pk.calcium_carbonate, 3.22, 0.006, "phreeqc.dat"});
  report.compare({"association of CaHCO3+ at 25 degC, log10", pk.calcium_bicarbonate - pk.second_carbonic, 0.59, 0.15,
                  "phreeqc.dat with another pK2"});
  report.compare({"Ca + CO3 + H = CaHCO3+ at 25 degC, log10", pk.calcium_bicarbonate, 10.915, 0.01,
                  "phreeqc.dat, evaluated by hand"});
  report.compare({"the same at 5 degC", thermodynamic_constants(278.15).calcium_bicarbonate, 10.733, 0.01,
                  "phreeqc.dat, evaluated by hand"});
  report.compare({"association of NaHCO3 at 25 degC, log10", pk.sodium_bicarbonate, -0.06, 0.0005, "phreeqc.dat"});
  report.compare({"its rise to 32 degC by 21 kJ/mol",
                  thermodynamic_constants(305.15).sodium_bicarbonate - pk.sodium_bicarbonate, 0.0844, 0.0008,
                  "van 't Hoff"});
  report.compare({"neutral water at 25 degC", ph_with({.temperature_K = 298.15}, 0.0, 0.0), 6.998, 0.002, "pKw / 2"});
  // Pure water in equilibrium with the air: pH 5.6.
  double const rain_carbon = parameters().air_carbon_dioxide_Pa *
                             water_equilibrium<double>({298.15, {0.0, 0.0, 0.0}, 0.0}).carbon_dioxide_mol_per_m3_Pa;
  report.compare({"rain in equilibrium with the air", ph_with({.temperature_K = 298.15}, 0.0, rain_carbon * 1.17), 5.61,
                  0.02, "pH of clean rain, 420 ppm"});
}

/// Worst difference of pH over the rows of one case of the table.
void whole_table(Report& report) {
  Table const table("tables/carbonate_ph.csv", report);
  double worst_acid = 0.0;
  double worst_stabilised = 0.0;
  double worst_base = 0.0;
  double worst_air = 0.0;
  double worst_shift = 0.0;
  constexpr double per_kg_to_per_L = 1.0 / 1.004;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    std::string const& name = table.text(row, "case");
    bool const from_25 = name == "closed_temp_shift_from_25C";
    Water const start{
        from_25 ? 25.0 : table.value(row, "temp_C"), table.value(row, "pH0"),      table.value(row, "ta0_mgL_CaCO3"),
        table.value(row, "ca_hardness_mgL_CaCO3"),   table.value(row, "nacl_mgL"), table.value(row, "cya_mgL")};
    WaterComposition composition = water(start);
    double const added = table.value(row, "added_mmol_per_kgw") * per_kg_to_per_L;
    double const expected = table.value(row, "pH");
    if (name == "closed_acid" || name == "closed_acid_with_cya") {
      double& worst = name == "closed_acid" ? worst_acid : worst_stabilised;
      composition.salt_kg_per_m3 += added * molar_mass_NaCl_kg_per_mol;
      worst = std::max(worst, std::fabs(ph_with(composition, -added, 0.0) - expected));
    } else if (name == "closed_NaHCO3") {
      worst_base = std::max(worst_base, std::fabs(ph_with(composition, added, added) - expected));
    } else if (name == "closed_NaOH") {
      worst_base = std::max(worst_base, std::fabs(ph_with(composition, added, 0.0) - expected));
    } else if (name == "closed_Na2CO3") {
      worst_base = std::max(worst_base, std::fabs(ph_with(composition, 2.0 * added, added) - expected));
    } else if (from_25) {
      composition.temperature_K = table.value(row, "temp_C") + celsius_zero_K;
      worst_shift = std::max(worst_shift, std::fabs(ph_with(composition, 0.0, 0.0) - expected));
    } else {
      TestedWater const there =
          tested({start.t_C, expected, start.alkalinity_mg_per_L, start.hardness_mg_per_L, start.salt_mg_per_L});
      double const decades =
          std::log10(properties_of(there, set()).carbon_dioxide_pressure_Pa / standard_atmosphere_Pa) -
          table.value(row, "log10_pCO2_atm");
      worst_air = std::max(worst_air, std::fabs(decades));
    }
  }
  if (table.rows() > 0) {
    report.compare({"pH after acid, 165 rows, worst", worst_acid, 0.0, 0.01, phreeqc});
    report.compare({"pH after acid with stabiliser, 33 rows, worst", worst_stabilised, 0.0, 0.01, phreeqc});
    report.compare({"pH after bicarbonate, soda and lye, 18 rows, worst", worst_base, 0.0, 0.02, phreeqc});
    report.compare({"pH after a change of temperature, 21 rows, worst", worst_shift, 0.0, 0.005, phreeqc});
    report.compare({"log10 of the CO2 pressure at air equilibrium, 12 rows, worst", worst_air, 0.0, 0.02, phreeqc});
  }
}

void core_table(Report& report) {
  struct Acid {
    Water in;
    double added, ph;
  };
  for (Acid const& acid :
       {Acid{{25, 7.4, 60, 300, 3200}, 0.1, 7.029}, Acid{{25, 7.4, 60, 300, 3200}, 1.0, 5.529},
        Acid{{25, 7.8, 60, 300, 3200}, 0.2, 6.900}, Acid{{25, 7.4, 100, 300, 3200}, 0.2, 6.976},
        Acid{{25, 7.8, 100, 300, 3200}, 0.1, 7.371}, Acid{{25, 7.8, 100, 300, 3200}, 0.5, 6.692},
        Acid{{25, 8.2, 100, 300, 3200}, 0.1, 7.602}, Acid{{25, 8.2, 100, 300, 3200}, 1.0, 6.259},
        Acid{{25, 7.8, 160, 300, 3200}, 0.3, 7.147}, Acid{{25, 7.8, 100, 300, 3200, 50}, 0.1, 7.457},
        Acid{{25, 7.8, 100, 300, 3200, 80}, 0.1, 7.494}, Acid{{25, 7.8, 100, 300, 3200, 50}, 0.5, 6.806}}) {
    WaterComposition composition = water(acid.in);
    composition.salt_kg_per_m3 += acid.added / 1.004 * molar_mass_NaCl_kg_per_mol;
    report.compare({label("pH after acid", acid.in) + ", " + std::to_string(acid.added).substr(0, 3) + " meq" +
                        (acid.in.cyanuric_mg_per_L > 0 ? " with stabiliser" : ""),
                    ph_with(composition, -acid.added / 1.004, 0.0), acid.ph, 0.01, phreeqc});
  }
  WaterComposition const soft = water({25, 7.4, 80, 300, 3200});
  report.compare({"pH after 0.5 mmol bicarbonate", ph_with(soft, 0.5 / 1.004, 0.5 / 1.004), 7.500, 0.01, phreeqc});
  report.compare({"pH after 0.1 mmol lye", ph_with(soft, 0.1 / 1.004, 0.0), 7.973, 0.01, phreeqc});
  report.compare({"pH after 0.1 mmol soda", ph_with(soft, 0.2 / 1.004, 0.1 / 1.004), 7.975, 0.01, phreeqc});
  for (auto const& [t_C, alkalinity, ph] : {std::tuple{25.0, 60.0, 8.153},
                                            {25.0, 100.0, 8.362},
                                            {25.0, 160.0, 8.550},
                                            {15.0, 100.0, 8.317},
                                            {32.0, 100.0, 8.395}}) {
    // The pH at which CO2 stands at 42.55 Pa (10^-3.377 atm).
    double acid = 7.0;
    double base = 9.5;
    for (int halving = 0; halving < 40; ++halving) {
      double const middle = 0.5 * (acid + base);
      (properties_of(tested({t_C, middle, alkalinity, 300, 3200}), set()).carbon_dioxide_pressure_Pa >
               parameters().air_carbon_dioxide_Pa
           ? acid
           : base) = middle;
    }
    report.compare({"pH in equilibrium with the air, " + std::to_string(int(t_C)) + " degC, alkalinity " +
                        std::to_string(int(alkalinity)),
                    acid, ph, 0.01, phreeqc});
  }
  for (auto const& [t_C, ph] : {std::pair{5.0, 7.683}, {15.0, 7.578}, {35.0, 7.443}}) {
    WaterComposition composition = water({25, 7.5, 100, 300, 3200});
    composition.temperature_K = t_C + celsius_zero_K;
    report.compare({"pH 7.5 of closed water taken from 25 degC to " + std::to_string(int(t_C)),
                    ph_with(composition, 0.0, 0.0), ph, 0.004, phreeqc});
  }
}

void other_bases(Report& report) {
  // What 50 mg/L of stabiliser or boron carry of the alkalinity, mg/L as CaCO3.
  auto const carried = [](Water const& in) {
    WaterProperties const properties = properties_of(tested(in), set());
    double const water_itself =
        properties.equilibrium.water_mol_per_m3 / properties.acid_base.hydrogen_activity -
        1000.0 * properties.acid_base.hydrogen_activity * properties.equilibrium.inverse_activity;
    return 50.0435 *
           (in.alkalinity_mg_per_L / 50.0435 - properties.acid_base.carbonate_alkalinity_mol_per_m3 - water_itself);
  };
  for (auto const& [t_C, ph, stabiliser, boron] : {std::tuple{15.0, 7.0, 8.91, 1.38},
                                                   {15.0, 7.8, 16.34, 8.42},
                                                   {25.0, 7.0, 11.18, 1.67},
                                                   {25.0, 7.5, 15.74, 5.19},
                                                   {25.0, 8.2, 18.53, 23.87},
                                                   {32.0, 7.4, 15.97, 4.70}}) {
    std::string const at = ", mg/L, pH " + std::to_string(ph).substr(0, 3) + " at degC " + std::to_string(int(t_C));
    report.compare({"alkalinity of 50 mg/L cyanuric acid" + at, carried({t_C, ph, 100, 300, 3200, 50, 0}), stabiliser,
                    0.15, phreeqc});
    report.compare({"alkalinity of 50 mg/L boron" + at, carried({t_C, ph, 100, 300, 3200, 0, 50}), boron,
                    std::max(0.03, 0.02 * boron), phreeqc});
  }
  // Chlorine as base: 3 mg/L at pH 9, nearly all hypochlorite: 0.0423 mmol/L, 2.12 mg/L less the acid's share.
  TestedWater chlorinated = tested({25, 9.0, 100, 300, 3200});
  double const without = properties_of(chlorinated, set()).acid_base.carbonate_alkalinity_mol_per_m3;
  chlorinated.free_chlorine_mol_per_m3 = 3.0 / 70.906;
  double const with = properties_of(chlorinated, set()).acid_base.carbonate_alkalinity_mol_per_m3;
  report.compare({"alkalinity of 3 mg/L free chlorine at pH 9, mg/L", 50.0435 * (without - with), 3.0 * 0.7058 * 0.972,
                  0.02, "stoichiometry: 0.706 mg/L per mg/L"});
}

}  // namespace

void verify_carbonate(Report& report) {
  constants(report);
  core_table(report);
  other_bases(report);
  whole_table(report);
}

}  // namespace brinecast::verification
