#include "models/freezing/freezing.hpp"

#include <cmath>

namespace brinecast::models {

double freeze_break_probability(double dose_K_s, Parameters const& parameters) {
  return -std::expm1(-std::pow(dose_K_s / parameters.freeze_break_dose_K_s, parameters.freeze_break_shape));
}

}  // namespace brinecast::models
