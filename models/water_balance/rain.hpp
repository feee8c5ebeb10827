#pragma once
// Rain on a pool, overflow at the rim and how they dilute what is dissolved.

#include "models/lanes.hpp"

namespace brinecast::models {

template <class Lanes>
struct RainInputs {
  Lanes water_volume_m3;
  Lanes rain_volume_m3;  // on the surface and the catchment
  Lanes rim_volume_m3;   // volume at which the pool overflows
};

template <class Lanes>
struct RainOutcome {
  Lanes overflow_m3;
  Lanes share_kept;  // of every dissolved amount
};

/// The rain first fills the freeboard; what follows displaces mixed water, so that dissolved amounts fall by
/// exp(-overflow / volume). Mass conservation of a mixed basin.
/// Check: 3.2 kg/m3 in 50 m3 and 1.6 m3 of rain give 3.1008 with freeboard, 3.0992 brim-full.
template <class Lanes>
RainOutcome<Lanes> collect_rain(RainInputs<Lanes> const& in) {
  Lanes const overflow = max(in.water_volume_m3 + in.rain_volume_m3 - in.rim_volume_m3, Lanes(0.0));
  if (!any(overflow > 0.0)) return {overflow, Lanes(1.0)};  // most hours of most pools
  Lanes const volume_at_rim = max(max(in.rim_volume_m3, in.water_volume_m3), Lanes(1e-6));
  return {overflow, exp(-overflow / volume_at_rim)};
}

}  // namespace brinecast::models
