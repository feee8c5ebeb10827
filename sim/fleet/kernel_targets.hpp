#pragma once
// The kernel's builds, one for each instruction set; see sim/fleet/CMakeLists.txt.

#include "sim/fleet/forcing.hpp"
#include "sim/fleet/kernel_settings.hpp"
#include "sim/fleet/pool_block.hpp"

namespace brinecast::sim {

void advance_portable(PoolBlock& block, HourForcing const& weather, KernelSettings const& settings);
void advance_sse4(PoolBlock& block, HourForcing const& weather, KernelSettings const& settings);
void advance_avx2(PoolBlock& block, HourForcing const& weather, KernelSettings const& settings);
void advance_avx512(PoolBlock& block, HourForcing const& weather, KernelSettings const& settings);

}  // namespace brinecast::sim
