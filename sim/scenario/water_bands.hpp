#pragma once

namespace brinecast::sim {

/// Water that counts as good: what the shares in range are shares of.
struct WaterBands {
  double free_chlorine_low_kg_per_m3 = 0.001;   // common practice, no source: 1 to 5 mg/L in stabilised salt pools
  double free_chlorine_high_kg_per_m3 = 0.005;
  double ph_low = 7.2;                          // common practice, no source
  double ph_high = 7.8;
  double saturation_index_low = -0.3;           // common practice, no source
  double saturation_index_high = 0.3;
  double salt_low_kg_per_m3 = 2.7;              // common practice, no source
  double salt_high_kg_per_m3 = 4.5;
};

}  // namespace brinecast::sim
