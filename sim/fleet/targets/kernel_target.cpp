// Compiled once for each instruction set, with BRINECAST_ADVANCE naming the function it defines.
// Includes nothing that leaves shared inline functions behind: the linker could take this file's build of them.

#include "sim/fleet/vector_lanes.hpp"
// The lanes come first: the kernel's templates look their operations up by argument.
#include "sim/fleet/kernel.hpp"
#include "sim/fleet/kernel_targets.hpp"

namespace brinecast::sim {

void BRINECAST_ADVANCE(PoolBlock& block, HourForcing const& weather, KernelSettings const& settings) {
  advance_block<HWY_NAMESPACE::LanePair>(block, weather, settings);
}

}  // namespace brinecast::sim
