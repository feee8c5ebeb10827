#include "models/cell/coating.hpp"

#include <cmath>

namespace brinecast::models {

double coating_life_h(double uniform, Parameters const& parameters) {
  return parameters.coating_life_scale_h * std::pow(-std::log1p(-uniform), 1.0 / parameters.coating_life_shape);
}

}  // namespace brinecast::models
