#pragma once
// Water that bathers carry and splash out: 0.5 to 4 L each, common practice, no source.

#include "models/lanes.hpp"
#include "models/parameters.hpp"

namespace brinecast::models {

/// m3 lost for this many bathers' stays.
template <class Lanes>
Lanes splash_m3(Lanes bathers, Parameters const& parameters) {
  return bathers * parameters.splash_m3_per_bather;
}

}  // namespace brinecast::models
