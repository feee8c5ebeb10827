#include "models/carbonate/saturation.hpp"

#include <cmath>

namespace brinecast::models {

double tabulated_saturation_index(TabulatedIndexInputs const& in) {
  double const solids = (std::log10(in.dissolved_solids_mg_per_L) - 1.0) / 10.0;
  double const temperature = -13.12 * std::log10(in.temperature_K) + 34.55;
  double const calcium = std::log10(in.calcium_hardness_mg_per_L_as_CaCO3) - 0.4;
  double const alkalinity = std::log10(in.alkalinity_mg_per_L_as_CaCO3);
  return in.ph - (9.3 + solids + temperature - calcium - alkalinity);
}

}  // namespace brinecast::models
