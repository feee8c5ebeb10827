#include "models/dosing/dosing.hpp"

#include <algorithm>
#include <cmath>

namespace brinecast::models {

namespace {

double rise(DoseRequest const& request) {
  return std::max(0.0, request.target - request.reading) * request.water_volume_m3;
}

}  // namespace

double salt_dose_kg(DoseRequest const& request, double top_up_share) { return rise(request) * top_up_share; }

double bicarbonate_dose_kg(DoseRequest const& request) { return rise(request) * molar_mass_NaHCO3_kg_per_mol; }

double soda_dose_kg(DoseRequest const& request) { return rise(request) * molar_mass_Na2CO3_kg_per_mol / 2.0; }

double acid_dose_mol(DoseRequest const& request) {
  return std::max(0.0, request.reading - request.target) * request.water_volume_m3;
}

double calcium_chloride_dose_kg(DoseRequest const& request) { return rise(request) * molar_mass_CaCl2_kg_per_mol; }

double cyanuric_acid_dose_kg(DoseRequest const& request) { return rise(request) * molar_mass_cyanuric_acid_kg_per_mol; }

double chlorine_dose_mol(DoseRequest const& request) { return rise(request); }

double share_to_drain(DilutionRequest const& request) {
  if (request.reading <= request.target) {
    return 0.0;
  }
  if (request.fill >= request.target) {
    return 1.0;
  }
  return (request.reading - request.target) / (request.reading - request.fill);
}

double turnovers_to_flush(DilutionRequest const& request) {
  if (request.reading <= request.target) {
    return 0.0;
  }
  if (request.fill >= request.target) {
    return -1.0;
  }
  return std::log((request.reading - request.fill) / (request.target - request.fill));
}

}  // namespace brinecast::models
