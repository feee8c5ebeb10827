#pragma once
// A leak through the shell or a fitting.

#include "models/lanes.hpp"

namespace brinecast::models {

template <class Lanes>
struct LeakInputs {
  Lanes leak_at_normal_level_m3_per_s;
  Lanes water_volume_m3;
  Lanes normal_volume_m3;
};

/// An orifice near the floor: the flow goes with the root of the depth (Torricelli), so it slows as the pool empties.
/// m3/s; 0 from an empty pool.
template <class Lanes>
Lanes leak_m3_per_s(LeakInputs<Lanes> const& in) {
  return in.leak_at_normal_level_m3_per_s * sqrt(max(in.water_volume_m3, Lanes(0.0)) / in.normal_volume_m3);
}

}  // namespace brinecast::models
