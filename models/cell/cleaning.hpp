#pragma once
// Acid cleaning of a cell: CaCO3 + 2 HCl = CaCl2 + CO2 + H2O.
// Strong acid burns and its fumes harm; acid goes into water, outdoors, with power off. Follow label and local code.

#include "models/parameters.hpp"

namespace brinecast::models {

struct CleaningInputs {
  double scale_kg_per_m2;
  double coating_left;  // share of its life
  double coating_life_h;
  int cycles;  // baths in fresh acid, one after the other
};
struct CleaningOutcome {
  double scale_kg_per_m2;
  double coating_left;
  double dissolved_kg_per_m2;
};

/// Every bath dissolves what its acid can reach, leaves a share of what it attacks, and costs coating life whether or
/// not there was scale.
CleaningOutcome clean_with_acid(CleaningInputs const& in, Parameters const& parameters);

/// Baths that bring the scale under the visible limit, at least one.
int cleaning_cycles_needed(double scale_kg_per_m2, Parameters const& parameters);

/// kg of CaCO3 that a mol of HCl dissolves.
double scale_dissolved_by_acid_kg_per_mol();

/// What an inspection shows: 0 clean, 1 dusting, 2 flakes, 3 bridged.
int scale_grade(double scale_kg_per_m2, Parameters const& parameters);

}  // namespace brinecast::models
