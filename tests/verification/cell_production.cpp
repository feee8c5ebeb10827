#include "models/cell/production.hpp"
#include "models/cell/voltage.hpp"
#include "models/water/conductivity.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

namespace {

double current(double salt, double t_C, double warm = 1.0) {
  return relative_current<double>(
      {.salt_kg_per_m3 = salt, .water_temperature_K = t_C + celsius_zero_K, .share_warm = warm}, parameters());
}

double output(double salt, double t_C, double covered = 0.0, double coating = 1.0, double warm = 1.0) {
  return relative_output<double>({.relative_current = current(salt, t_C, warm),
                                  .salt_kg_per_m3 = salt,
                                  .share_covered = covered,
                                  .coating_left = coating},
                                 parameters());
}

double voltage(double conductivity, double covered, double coating) {
  return cell_voltage_V<double>(
      {.conductivity_S_per_m = conductivity, .share_covered = covered, .coating_left = coating}, parameters());
}

}  // namespace

void verify_cell_production(Report& report) {
  constexpr auto faraday = "Faraday's law, CODATA";
  constexpr auto practice = "common practice, no source";
  constexpr auto assumed = "engineering assumption";
  double const grams = chlorine_production_mol_per_s(1.0, 1.0) * 3600.0 * 70.906;
  report.compare({"chlorine of 1 A for 1 h, g", grams, 1.3228, 0.0001, faraday});
  report.compare({"chlorine of 5 A for 24 h at 0.70, g", chlorine_production_mol_per_s(5.0, 0.70) * 86400.0 * 70.906,
                  111.1, 0.05, faraday});
  report.compare({"the same in 50 m3, mg/L",
                  chlorine_production_mol_per_s(5.0, 0.70) * 86400.0 * molar_mass_Cl2_kg_per_mol * 1e6 / 50.0 / 1000.0,
                  2.22, 0.005, faraday});
  report.compare({"current behind that production, A",
                  current_for_production_A(chlorine_production_mol_per_s(5.0, 0.70), 0.70), 5.0, 1e-12, faraday});
  report.compare({"current efficiency at 3.2 kg/m3", current_efficiency(3.2, parameters()), 0.70, 0.006,
                  "calibration target: at least 0.70 near 3.2"});
  report.compare({"current efficiency at 1.0 kg/m3", current_efficiency(1.0, parameters()), 0.50, 0.003,
                  "calibration target: about half by 1.0"});
  report.compare({"current efficiency in strong brine", current_efficiency(30.0, parameters()), 0.83, 0.012,
                  "Electrochemistry 80(7) 2012, abstract: 0.712-0.867 in seawater"});
  report.compare({"no salt, no chlorine", current_efficiency(-1e-9, parameters()), 0.0, 0.0, "definition"});
  report.compare({"output at the rating", output(3.2, 25.0), 1.0, 1e-12, "definition"});
  report.compare({"output at 2.6 kg/m3 salt", output(2.6, 25.0), (2.6 / 3.3) / (3.2 / 3.9), 0.0015, assumed});
  report.compare({"rated salt, kg/m3", parameters().cell_rated_salt_kg_per_m3, 3.2, 0.01, practice});
  report.compare({"just below the low stop", output(2.29, 25.0), 0.0, 0.0, practice});
  report.compare({"just above the low stop the unit runs", output(2.31, 25.0) > 0.9 ? 1.0 : 0.0, 1.0, 0.0, practice});
  report.compare({"just above the high stop", output(7.01, 25.0), 0.0, 0.0, practice});
  report.compare({"just below the high stop the unit runs", output(6.99, 25.0) > 0.9 ? 1.0 : 0.0, 1.0, 0.0, practice});
  report.compare(
      {"full output from 18 degC (64 degF)", output(3.2, 18.0), 1.0, 1e-9, "common practice, no source: mid-60s degF"});
  report.compare({"half output at 15.5 degC (60 degF)", output(3.2, 15.5), 0.5, 0.01, practice});
  report.compare({"no output at 13 degC (55 degF)", output(3.2, 13.0), 0.0, 1e-9, practice});
  report.compare({"current at half the salt of the rating, as long as the unit runs", current(2.4, 25.0), 1.0, 0.0,
                  "definition: salt changes what the current makes"});
  report.compare({"half the current at 15.5 degC", current(3.2, 15.5), 0.5, 0.01, practice});
  report.compare({"no current below the low stop of salt", current(2.29, 25.0), 0.0, 0.0, practice});
  report.compare({"half the plates covered, half the output", output(3.2, 25.0, 0.5), 0.5, 1e-12, assumed});
  report.compare(
      {"a coating with a twentieth of its life left makes half", output(3.2, 25.0, 0.0, 0.05), 0.5, 0.006, assumed});
  report.compare({"a dead coating makes nothing", output(3.2, 25.0, 0.0, 0.0), 0.0, 0.0, assumed});
  report.compare({"mean output of the first six minutes, a warm-up of six", warm_share(0.0, 0.1, parameters()), 0.5,
                  0.006, practice});
  report.compare({"mean output of the first hour", warm_share(0.0, 1.0, parameters()), 0.95, 0.0009, practice});
  report.compare({"mean output of the second hour", warm_share(1.0, 1.0, parameters()), 1.0, 1e-12, practice});

  // Reversible 1.36 + 0.83 V, 0.75 V of overpotential, and 300 A/m2 over 2 mm: .5/.6/.7 S/m take 1.20/1.00/0.86 V.
  for (auto const& [conductivity, ohmic] : {std::pair{0.5, 1.20}, {0.6, 1.00}, {0.7, 0.857}}) {
    report.compare({"ohmic voltage at S/m " + std::to_string(conductivity).substr(0, 3),
                    voltage(conductivity, 0.0, 1.0) - 2.94, ohmic, 0.014, "Ohm's law"});
  }
  report.compare({"ohmic slope: 0.5 against 1.0 S/m, V", voltage(0.5, 0.0, 1.0) - voltage(1.0, 0.0, 1.0), 0.60, 0.01,
                  "Ohm's law"});
  report.compare({"half covered plates double the ohmic voltage", voltage(0.6, 0.5, 1.0) - voltage(0.6, 0.0, 1.0), 1.0,
                  0.01, "Gabrielli 2006: scale raises the local current density"});
  report.compare({"wholly covered plates stay finite, V", voltage(0.6, 1.0, 1.0), 2.94 + 20.0, 0.3, "limit"});
  report.compare({"a coating at its end, V more", voltage(0.6, 0.0, 0.0) - voltage(0.6, 0.0, 1.0), 2.0, 0.03, assumed});
  report.compare({"a coating with a twentieth left, V more", voltage(0.6, 0.0, 0.05) - voltage(0.6, 0.0, 1.0), 1.0,
                  0.019, assumed});
}

}  // namespace brinecast::verification
