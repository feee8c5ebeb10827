// What a technician works out from readings with the equations of models/: acid for a pH, the saturation index.

#include <algorithm>
#include <cmath>

#include "models/carbonate/equilibrium.hpp"
#include "models/carbonate/ph.hpp"
#include "models/carbonate/saturation.hpp"
#include "models/cell/voltage.hpp"
#include "models/constants.hpp"
#include "models/dosing/dosing.hpp"
#include "models/water/conductivity.hpp"
#include "sim/policy/rules.hpp"

namespace brinecast::sim {

namespace {

constexpr double usual_calcium_mol_per_m3 = 2.5;
constexpr double usual_salt_kg_per_m3 = 3.2;
constexpr double usual_alkalinity_mol_per_m3 = 1.6;
constexpr double mild_water_K = 293.15;

/// The water as the card has it; what was never read takes a usual value. Chlorine's small share of the alkalinity is
/// left out, as any table for technicians leaves it out.
struct KnownWater {
  models::AcidBaseTotals<double> totals;
  models::WaterEquilibrium<double> equilibrium;
  double calcium_mol_per_m3;
};

KnownWater known_water(PoolRecord const& record, double alkalinity_mol_per_m3) {
  double const calcium = last_or(record, Measured::calcium, usual_calcium_mol_per_m3);
  double const salt = last_or(record, Measured::salt, last_or(record, Measured::unit_salt, usual_salt_kg_per_m3));
  double const chloride = salt / models::molar_mass_NaCl_kg_per_mol;
  return {.totals = {.alkalinity = alkalinity_mol_per_m3,
                     .inorganic_carbon = 0.0,
                     .cyanuric_acid = last_or(record, Measured::cyanuric_acid, 0.0),
                     .chlorinated_cyanurate = 0.0,
                     .borate = 0.0,
                     .free_hypochlorous = 0.0},
          .equilibrium = models::water_equilibrium<double>(
              {.temperature_K = last_or(record, Measured::water_temperature, mild_water_K),
               .medium = {.chloride_mol_per_m3 = chloride,
                          .calcium_mol_per_m3 = calcium,
                          .alkalinity_mol_per_m3 = alkalinity_mol_per_m3},
               .free_calcium_mol_per_m3 = calcium}),
          .calcium_mol_per_m3 = calcium};
}

}  // namespace

double acid_to_reach_ph_mol_per_m3(PoolRecord const& record, double ph, double alkalinity_mol_per_m3,
                                   double wanted_ph) {
  KnownWater water = known_water(record, alkalinity_mol_per_m3);
  water.totals.inorganic_carbon = models::inorganic_carbon_for_ph(ph, water.totals, water.equilibrium);
  double const wanted_alkalinity = models::alkalinity_for_ph(wanted_ph, water.totals, water.equilibrium);
  return models::acid_dose_mol({.reading = alkalinity_mol_per_m3, .target = wanted_alkalinity, .water_volume_m3 = 1.0});
}

std::optional<double> comparable_voltage_V(PoolRecord const& record, WaterReadings const& readings) {
  if (!readings.cell_voltage_V) return std::nullopt;
  auto const conductivity = [&](double salt_kg_per_m3, double temperature_K) {
    return models::conductivity_S_per_m<double>(
        {.salt_kg_per_m3 = salt_kg_per_m3,
         .calcium_mol_per_m3 = last_or(record, Measured::calcium, usual_calcium_mol_per_m3),
         .alkalinity_mol_per_m3 = last_or(record, Measured::alkalinity, usual_alkalinity_mol_per_m3),
         .temperature_K = temperature_K});
  };
  double const salt = readings.salt_kg_per_m3.value_or(last_or(record, Measured::salt, usual_salt_kg_per_m3));
  double const temperature_K = readings.water_temperature_K.value_or(
      last_or(record, Measured::water_temperature, models::reference_temperature_K));
  double const dry_V = models::reversible_cell_V + models::Parameters{}.cell_overpotential_V;
  return dry_V + (*readings.cell_voltage_V - dry_V) * conductivity(salt, temperature_K) /
                     conductivity(usual_salt_kg_per_m3, models::reference_temperature_K);
}

std::optional<double> saturation_index_of(PoolRecord const& record) {
  if (!record[Measured::ph].known() || !record[Measured::alkalinity].known() || !record[Measured::calcium].known()) {
    return std::nullopt;
  }
  double const ph = record[Measured::ph].value;
  KnownWater water = known_water(record, record[Measured::alkalinity].value);
  water.totals.inorganic_carbon = models::inorganic_carbon_for_ph(ph, water.totals, water.equilibrium);
  double const hydrogen = std::pow(10.0, -ph);
  auto const at = models::alkalinity_at(hydrogen, water.totals, water.equilibrium);
  return models::saturation_index<double>(
      {.ph = ph,
       .hydrogen_activity = hydrogen,
       .carbonate_alkalinity_mol_per_m3 = water.totals.inorganic_carbon * at.charge_per_carbon,
       .calcium_mol_per_m3 = water.calcium_mol_per_m3},
      water.equilibrium);
}

}  // namespace brinecast::sim
