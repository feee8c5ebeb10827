#include "models/chlorine/speciation.hpp"

#include <cmath>

namespace brinecast::models {

CyanurateSet cyanurate_set(Parameters const& parameters) {
  CyanurateConstants const& c = parameters.cyanurate_constants_year < 2000.0 ? full_1974 : simple_2019;
  auto const power_of_ten = [](double exponent) { return std::pow(10.0, exponent); };
  constexpr double di_slope_K = 2028.0;  // Wahman & Alexander 2019, for the release of the second chlorine
  return {.protonation_factor = power_of_ten(c.cyanuric_shift),
          .dissociation_2 = power_of_ten(-c.dissociation_2),
          .dissociation_3 = power_of_ten(-c.dissociation_3),
          .mono_dissociation = power_of_ten(-c.mono_dissociation),
          .per_mono_protonation = power_of_ten(c.mono_protonation),
          .per_di_protonation = power_of_ten(c.di_protonation),
          .per_mono_m3_per_mol = power_of_ten(c.mono_hydrolysis - 3.0),
          .per_di_m3_per_mol = power_of_ten(c.di_hydrolysis - 3.0),
          .per_tri_m3_per_mol = power_of_ten(c.tri_hydrolysis - 3.0),
          .mono_slope_K = parameters.mono_cyanurate_temperature_share * di_slope_K * ln10,
          .di_slope_K = di_slope_K * ln10};
}

}  // namespace brinecast::models
