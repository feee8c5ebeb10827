#include "models/cell/cleaning.hpp"

#include <algorithm>

#include "models/constants.hpp"

namespace brinecast::models {

CleaningOutcome clean_with_acid(CleaningInputs const& in, Parameters const& parameters) {
  double scale = in.scale_kg_per_m2;
  for (int cycle = 0; cycle < in.cycles; ++cycle) {
    double const reached = std::min(scale, parameters.cleaning_capacity_kg_per_m2);
    scale -= reached * (1.0 - parameters.cleaning_left_share);
  }
  double const worn = in.cycles * parameters.cleaning_wear_h / in.coating_life_h;
  return {scale, std::max(0.0, in.coating_left - worn), in.scale_kg_per_m2 - scale};
}

int cleaning_cycles_needed(double scale_kg_per_m2, Parameters const& parameters) {
  constexpr int most = 10;
  int cycles = 1;
  while (cycles < most && clean_with_acid({.scale_kg_per_m2 = scale_kg_per_m2,
                                           .coating_left = 1.0,
                                           .coating_life_h = parameters.coating_life_scale_h,
                                           .cycles = cycles},
                                          parameters)
                                  .scale_kg_per_m2 > parameters.scale_visible_kg_per_m2) {
    ++cycles;
  }
  return cycles;
}

double scale_dissolved_by_acid_kg_per_mol() { return 0.5 * molar_mass_CaCO3_kg_per_mol; }

int scale_grade(double scale_kg_per_m2, Parameters const& parameters) {
  int grade = 0;
  for (double const limit :
       {parameters.scale_visible_kg_per_m2, parameters.scale_flakes_kg_per_m2, parameters.scale_bridged_kg_per_m2}) {
    grade += scale_kg_per_m2 >= limit ? 1 : 0;
  }
  return grade;
}

}  // namespace brinecast::models
