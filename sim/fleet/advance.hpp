#pragma once
// Advances blocks of pools with the widest instructions that this machine has.

#include <string>
#include <string_view>
#include <vector>

#include "sim/fleet/forcing.hpp"
#include "sim/fleet/kernel_settings.hpp"
#include "sim/fleet/pool_block.hpp"

namespace brinecast::sim {

using AdvanceBlock = void (*)(PoolBlock& block, HourForcing const& weather, KernelSettings const& settings);

/// One build of the kernel. All but `reference` use the same vector mathematics and agree within rounding; those with
/// fused multiply-add (avx2, avx512) agree bit for bit.
struct VectorTarget {
  std::string_view name;  // reference, portable, sse4, avx2, avx512
  int pools_at_once = 1;
  AdvanceBlock advance = nullptr;
};

/// The targets that this machine can run, narrowest first; the first is the readable scalar reference.
std::vector<VectorTarget> const& vector_targets();

/// The widest of them, or the one that the environment variable BRINECAST_VECTOR_TARGET names.
VectorTarget const& best_vector_target();

/// Why the target that `BRINECAST_VECTOR_TARGET` names cannot be taken, or "".
std::string fault_of_wanted_target();

}  // namespace brinecast::sim
