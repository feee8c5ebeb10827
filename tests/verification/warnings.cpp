#include <cmath>

#include "models/cell/scale.hpp"
#include "models/cell/warnings.hpp"
#include "models/constants.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

namespace {

struct Water {
  double salt = 3.2, hardness_mg_per_L = 300.0, alkalinity_mg_per_L = 100.0, t_C = 25.0;
};
struct Unit {
  double gain = 1.0, covered = 0.0, air = 0.0;
};

double conductivity(Water const& water) {
  return conductivity_S_per_m<double>({.salt_kg_per_m3 = water.salt,
                                       .calcium_mol_per_m3 = water.hardness_mg_per_L / 100.087,
                                       .alkalinity_mol_per_m3 = water.alkalinity_mg_per_L / 50.0435,
                                       .temperature_K = water.t_C + celsius_zero_K});
}

double reading(Water const& water, Unit const& unit = {}) {
  return unit_salt_reading_kg_per_m3<double>({.conductivity_S_per_m = conductivity(water),
                                              .water_temperature_K = water.t_C + celsius_zero_K,
                                              .sensor_gain = unit.gain,
                                              .share_covered = unit.covered,
                                              .air_in_line = unit.air},
                                             parameters());
}

Warnings<double> judge(double salt, double voltage, double output, double air, double powered,
                       Warnings<double> const& before = {0.0, 0.0}) {
  return judge_warnings<double>({.unit_salt_kg_per_m3 = salt,
                                 .voltage_V = voltage,
                                 .relative_output = output,
                                 .air_in_line = air,
                                 .powered_and_flowing = powered,
                                 .low_salt_warning = before.low_salt,
                                 .check_cell_warning = before.check_cell},
                                parameters());
}

}  // namespace

void verify_warnings(Report& report) {
  constexpr auto code = "general geochemical code, NaCl scale";
  constexpr auto practice = "common practice, no source";
  constexpr auto assumed = "assumption";
  // Hardness and alkalinity read as salt, mg/L.
  struct Row {
    Water water;
    double conductivity, reading;
  };
  for (Row const& row :
       {Row{{2.8, 300, 100}, 6115, 3233}, Row{{3.2, 300, 100}, 6824, 3632}, Row{{4.0, 300, 100}, 8225, 4431},
        Row{{3.2, 150, 60}, 6450, 3421}, Row{{3.2, 600, 160}, 7529, 4032}}) {
    std::string const where = ", salt " + std::to_string(int(row.water.salt * 1000)) + " hardness " +
                              std::to_string(int(row.water.hardness_mg_per_L));
    report.compare({"conductivity, uS/cm" + where, conductivity(row.water) * 1e4, row.conductivity,
                    0.01 * row.conductivity, code});
    report.compare({"unit reads, mg/L" + where, reading(row.water) * 1000.0, row.reading, 0.013 * row.reading, code});
  }
  Water const pure{3.2, 0.0, 0.0, 25.0};
  report.compare({"salt alone reads true at 25 degC", reading(pure), 3.2, 0.003, "inverse"});
  report.compare({"at 0.5 kg/m3 too", reading({0.5, 0.0, 0.0, 25.0}), 0.5, 0.001, "inverse"});
  report.compare({"and at 8 kg/m3", reading({8.0, 0.0, 0.0, 25.0}), 8.0, 0.02, "inverse"});
  // Straight 2 %/K misses by 2.5 % at 5, 1.0 % at 10 and 0.7 % at 35 degC of the conductivity; a little more in salt.
  for (auto const& [t_C, error] : {std::pair{5.0, 0.025}, {10.0, 0.010}, {35.0, 0.007}}) {
    double const sensed = conductivity({3.2, 0.0, 0.0, t_C}) / (1.0 + 0.02 * (t_C - 25.0)) / conductivity(pure);
    report.compare({"compensated conductivity relative to true at degC " + std::to_string(int(t_C)), sensed,
                    1.0 + error, 0.004, code});
    report.compare({"the reading errs alike at degC " + std::to_string(int(t_C)),
                    reading({3.2, 0.0, 0.0, t_C}) / 3.2 - 1.0, error * 1.06, 0.0055, code});
  }
  report.compare(
      {"a sensor that drifted by -10 % reads, kg/m3", reading(pure, {.gain = 0.9}), 2.86, 0.02, "definition"});
  report.compare(
      {"a third covered by scale reads, kg/m3", reading(pure, {.covered = 1.0 / 3.0}), 2.646, 0.01, assumed});
  report.compare({"air in the line reads, kg/m3", reading(pure, {.air = 1.0}), 2.362, 0.009, assumed});

  // True and false causes.
  report.compare(
      {"low salt lights at a reading of 2.68", judge(2.68, 4.0, 1.0, 0.0, 1.0).low_salt, 1.0, 0.0, practice});
  report.compare({"not at 2.72", judge(2.72, 4.0, 1.0, 0.0, 1.0).low_salt, 0.0, 0.0, practice});
  report.compare(
      {"once lit it holds to 2.88", judge(2.88, 4.0, 1.0, 0.0, 1.0, {1.0, 0.0}).low_salt, 1.0, 0.0, practice});
  report.compare({"and clears by 2.92", judge(2.92, 4.0, 1.0, 0.0, 1.0, {1.0, 0.0}).low_salt, 0.0, 0.0, practice});
  report.compare({"the margin alone, kg/m3", parameters().warning_salt_margin_kg_per_m3, 0.2, 0.003, practice});
  report.compare({"salt enough, air in the line: low salt lights falsely",
                  judge(reading(Water{}, {.air = 1.0}), 4.0, 1.0, 1.0, 1.0).low_salt, 1.0, 0.0, practice});
  report.compare({"salt enough, half covered: low salt lights falsely",
                  judge(reading({3.2, 150, 60}, {.covered = 0.5}), 4.0, 1.0, 0.0, 1.0).low_salt, 1.0, 0.0, practice});
  report.compare({"salt enough, sensor drifted by -25 %: low salt lights falsely",
                  judge(reading({3.2, 150, 60}, {.gain = 0.75}), 4.0, 1.0, 0.0, 1.0).low_salt, 1.0, 0.0, practice});
  report.compare({"low salt hidden by hardness: 2.6 kg/m3 reads as enough",
                  judge(reading({2.6, 400, 150}), 4.0, 1.0, 0.0, 1.0).low_salt, 0.0, 0.0, code});
  report.compare({"check cell lights by voltage", judge(3.2, 5.25, 1.0, 0.0, 1.0).check_cell, 1.0, 0.0, assumed});
  report.compare({"not just under it", judge(3.2, 5.15, 1.0, 0.0, 1.0).check_cell, 0.0, 0.0, assumed});
  report.compare({"check cell lights by poor output", judge(3.2, 4.0, 0.495, 0.0, 1.0).check_cell, 1.0, 0.0, assumed});
  report.compare({"not just above it", judge(3.2, 4.0, 0.505, 0.0, 1.0).check_cell, 0.0, 0.0, assumed});
  report.compare({"check cell lights by air alone", judge(3.2, 4.0, 1.0, 1.0, 1.0).check_cell, 1.0, 0.0, practice});
  report.compare({"without power or flow nothing lights",
                  judge(1.0, 9.0, 0.0, 1.0, 0.0).low_salt + judge(1.0, 9.0, 0.0, 1.0, 0.0).check_cell, 0.0, 0.0,
                  "definition"});
  report.compare({"check cell stays lit though its cause is gone",
                  judge(3.2, 4.0, 1.0, 0.0, 1.0, {0.0, 1.0}).check_cell, 1.0, 0.0, practice});
  report.compare({"restarting clears it when its cause is gone", judge(3.2, 4.0, 1.0, 0.0, 1.0, {0.0, 0.0}).check_cell,
                  0.0, 0.0, practice});
  report.compare(
      {"and not while its cause stands", judge(3.2, 6.0, 1.0, 0.0, 1.0, {0.0, 0.0}).check_cell, 1.0, 0.0, practice});
  double const voltage = cell_voltage_V<double>({.conductivity_S_per_m = conductivity(Water{}),
                                                 .share_covered = scale_coverage(0.35, parameters()),
                                                 .coating_left = 1.0},
                                                parameters());
  report.compare(
      {"0.35 kg/m2 of scale lights check cell", judge(3.2, voltage, 1.0, 0.0, 1.0).check_cell, 1.0, 0.0, assumed});
}

}  // namespace brinecast::verification
