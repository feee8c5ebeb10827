#pragma once
// What is measured with the flags of one instruction set: the machine's own limits and where the kernel's time goes.

#include <cstdint>

#include "sim/fleet/forcing.hpp"
#include "sim/fleet/kernel_settings.hpp"
#include "sim/fleet/pool_block.hpp"

namespace brinecast::tools {

inline constexpr int phenomena = 11;

/// Functions of one instruction set. The chains do their operation `rounds` times on `chain_lanes()` independent
/// numbers and return something of the outcome, so that no compiler leaves them out.
struct TargetMeasures {
  int (*chain_lanes)();
  double (*multiply_adds)(std::int64_t rounds);
  double (*divisions)(std::int64_t rounds);
  double (*square_roots)(std::int64_t rounds);
  /// A block's hour; adds to ticks[phenomena] what the processor's time stamp counter gained in each, where there is
  /// one.
  void (*advance_watched)(sim::PoolBlock& block, sim::HourForcing const& weather, sim::KernelSettings const& settings,
                          std::uint64_t* ticks);
};

TargetMeasures measures_portable();
TargetMeasures measures_sse4();
TargetMeasures measures_avx2();
TargetMeasures measures_avx512();

}  // namespace brinecast::tools
