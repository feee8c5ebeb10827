#include <cmath>

#include "models/dosing/dosing.hpp"
#include "models/sample/sample.hpp"
#include "tests/verification/report.hpp"

namespace brinecast::verification {

using namespace models;

void verify_dosing(Report& report) {
  constexpr auto moles = "exact molar arithmetic";
  constexpr double gallon_m3 = 0.003785411784;
  double const per_10 = 10.0 / 50.0435;  // 10 mg/L of alkalinity in mol/m3
  report.compare({"salt for +100 mg/L in 50 m3, kg",
                  salt_dose_kg({.reading = 3.1, .target = 3.2, .water_volume_m3 = 50.0}, 1.0), 5.0, 1e-9, moles});
  report.compare({"salt for +400 mg/L in 15 000 US gal, kg",
                  salt_dose_kg({.reading = 2.8, .target = 3.2, .water_volume_m3 = 15000 * gallon_m3}, 1.0), 22.71,
                  0.005, moles});
  report.compare({"a share of the verified deficit, kg",
                  salt_dose_kg({.reading = 2.8, .target = 3.2, .water_volume_m3 = 50.0}, 0.9), 18.0, 0.1,
                  "common practice, no source: 90 %"});
  report.compare({"no salt above the target",
                  salt_dose_kg({.reading = 3.6, .target = 3.2, .water_volume_m3 = 50.0}, 1.0), 0.0, 0.0, "definition"});
  report.compare({"bicarbonate for +10 mg/L alkalinity in 50 m3, kg",
                  bicarbonate_dose_kg({.reading = 0.0, .target = per_10, .water_volume_m3 = 50.0}), 0.8393, 0.0005,
                  moles});
  report.compare(
      {"the same for 10 000 US gal, lb",
       bicarbonate_dose_kg({.reading = 0.0, .target = per_10, .water_volume_m3 = 10000 * gallon_m3}) / 0.45359237,
       1.401, 0.001, moles});
  report.compare({"soda for +10 mg/L alkalinity in 50 m3, kg",
                  soda_dose_kg({.reading = 0.0, .target = per_10, .water_volume_m3 = 50.0}), 0.5295, 0.0005, moles});
  report.compare({"31.45 % acid for -10 mg/L alkalinity in 50 m3, L",
                  acid_dose_mol({.reading = per_10, .target = 0.0, .water_volume_m3 = 50.0}) / acid_mol_per_m3 * 1000.0,
                  0.9986, 0.001, moles});
  report.compare({"the same for 10 000 US gal, US fl oz",
                  acid_dose_mol({.reading = per_10, .target = 0.0, .water_volume_m3 = 10000 * gallon_m3}) /
                      acid_mol_per_m3 / 2.95735e-5,
                  25.6, 0.05, moles});
  report.compare({"molarity of 31.45 % acid, mol/L", acid_mol_per_m3 / 1000.0, 10.006, 0.001, moles});
  report.compare({"density of 20 degrees Baume, kg/L", acid_density_kg_per_m3 / 1000.0, 145.0 / (145.0 - 20.0), 1e-9,
                  "Baume scale"});
  report.compare({"50 mg/L of boron, mol/m3", 0.050 / molar_mass_boron_kg_per_mol, 4.625, 0.005, moles});
  double const hardness_10 = 10.0 / 100.087;
  double const anhydrous = calcium_chloride_dose_kg({.reading = 0.0, .target = hardness_10, .water_volume_m3 = 50.0});
  report.compare({"calcium chloride for +10 mg/L hardness in 50 m3, kg", anhydrous, 0.5544, 0.0005, moles});
  report.compare({"the same as dihydrate, kg", anhydrous * calcium_chloride_dihydrate_factor, 0.7345, 0.0005, moles});
  report.compare({"the same as 77 % flake, kg", anhydrous * calcium_chloride_flake_factor, 0.720, 0.001, moles});
  report.compare({"cyanuric acid for +10 mg/L in 50 m3, kg",
                  cyanuric_acid_dose_kg({.reading = 0.0, .target = 10.0 / 129.074, .water_volume_m3 = 50.0}), 0.5, 1e-4,
                  moles});
  double const chlorine_mol =
      chlorine_dose_mol({.reading = 2.0 / 70.906, .target = 3.0 / 70.906, .water_volume_m3 = 50.0});
  report.compare({"125 g/L hypochlorite for +1 mg/L in 50 m3, L", chlorine_mol / liquid_chlorine_mol_per_m3 * 1000.0,
                  0.4, 1e-4, moles});
  report.compare({"salt that it leaves, g",
                  chlorine_mol * liquid_chlorine_effect.chloride * molar_mass_NaCl_kg_per_mol * 1000.0, 82.4, 0.3,
                  moles});
  report.compare({"alkalinity that it brings, mg/L as CaCO3",
                  chlorine_mol * liquid_chlorine_effect.alkalinity / 50.0 * 50.0435, 0.706, 0.001, moles});
  report.compare({"acid takes an equivalent of alkalinity", acid_effect.alkalinity, -1.0, 0.0, moles});
  report.compare({"bicarbonate brings carbon with alkalinity 1:1",
                  bicarbonate_effect.inorganic_carbon / bicarbonate_effect.alkalinity, 1.0, 0.0, moles});
  report.compare({"soda brings carbon with alkalinity 1:2", soda_effect.inorganic_carbon / soda_effect.alkalinity, 0.5,
                  0.0, moles});
  report.compare({"drain and refill 4200 to 3200", share_to_drain({.reading = 4200, .target = 3200, .fill = 0}), 0.238,
                  0.0005, "1 - C*/C"});
  report.compare({"the same with fill water of 200", share_to_drain({.reading = 4200, .target = 3200, .fill = 200}),
                  0.25, 1e-12, "conservation of mass"});
  report.compare({"flush 4200 to 3200, pool volumes", turnovers_to_flush({.reading = 4200, .target = 3200, .fill = 0}),
                  0.272, 0.0005, "ln(C/C*)"});
  report.compare({"nothing to drain below the target", share_to_drain({.reading = 3000, .target = 3200, .fill = 0}),
                  0.0, 0.0, "definition"});
  report.compare({"fill water no better than the target drains all",
                  share_to_drain({.reading = 4200, .target = 3200, .fill = 3300}), 1.0, 0.0, "definition"});
  report.compare({"and cannot flush", turnovers_to_flush({.reading = 4200, .target = 3200, .fill = 3300}), -1.0, 0.0,
                  "definition"});

  CyanurateSet const set = cyanurate_set(parameters());
  struct Target {
    double from, to, cyanuric_mg_per_L, meq_per_L, litres;
  };
  for (Target const& t : {Target{7.8, 7.5, 0, 0.0627, 0.313}, Target{8.0, 7.5, 0, 0.0936, 0.468},
                          Target{7.8, 7.4, 0, 0.0908, 0.454}, Target{7.8, 7.5, 50, 0.0846, 0.423},
                          Target{8.0, 7.5, 50, 0.1235, 0.617}, Target{7.8, 7.4, 50, 0.1225, 0.612}}) {
    WaterComposition const water =
        composition_of(TestedWater{.temperature_K = 298.15,
                                   .ph = t.from,
                                   .salt_kg_per_m3 = 3.2,
                                   .calcium_mol_per_m3 = 300.0 / 100.087,
                                   .alkalinity_mol_per_m3 = 100.0 / 50.0435,
                                   .cyanuric_acid_mol_per_m3 = t.cyanuric_mg_per_L / 129.074},
                       set);
    double const acid = acid_for_ph_mol_per_m3(water, t.to, set);
    std::string const what = "pH " + std::to_string(t.from).substr(0, 3) + " to " + std::to_string(t.to).substr(0, 3) +
                             (t.cyanuric_mg_per_L > 0 ? " with stabiliser 50" : "");
    report.compare(
        {"acid for " + what + ", meq/L", acid, t.meq_per_L, per_cent(3.0, t.meq_per_L), "general geochemical code"});
    report.compare({"acid for " + what + " in 50 m3, L", acid * 50.0 / acid_mol_per_m3 * 1000.0, t.litres,
                    per_cent(3.0, t.litres), "general geochemical code"});
    WaterComposition dosed = water;
    dosed.alkalinity_mol_per_m3 -= acid;
    dosed.salt_kg_per_m3 += acid * molar_mass_NaCl_kg_per_mol;
    report.compare(
        {"pH reached by that dose, " + what, properties_of(dosed, set).acid_base.ph, t.to, 0.0005, "round trip"});
  }
}

}  // namespace brinecast::verification
