#pragma once
// The pools of a scenario as blocks, and one pool of a block for the work that is done pool by pool.

#include <array>
#include <cstdint>
#include <vector>

#include "sim/fleet/kernel_settings.hpp"
#include "sim/fleet/pool_block.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

/// Where a pool stands in the blocks.
struct Slot {
  std::uint32_t block = 0;
  std::uint32_t lane = 0;
};

inline constexpr std::uint32_t no_pool = 0xffffffffU;

/// Pools of one site share blocks; what is left of a site's last block repeats its first pool and counts for nothing.
struct Fleet {
  std::vector<PoolBlock> blocks;
  std::vector<SiteId> site_of_block;
  std::vector<std::array<std::uint32_t, block_pools>> pool_of_lane;  // [block][lane]
  std::vector<Slot> slot_of_pool;                                    // [pool]
};

/// The fleet at the season's start. What differs from replicate to replicate (coating lives, sensors) is drawn here.
Fleet make_fleet(Scenario const& scenario, std::uint64_t seed, std::uint32_t replicate, KernelSettings const& settings);

/// Brings pH and the forms of chlorine of one pool to rest after something was poured in.
void settle_pool(PoolBlock& block, std::size_t lane, KernelSettings const& settings);

/// A new cell: full coating, clean plates, a life drawn for this pool's n-th cell.
void install_cell(PoolBlock& block, std::size_t lane, double coating_life_h);
double draw_coating_life_h(Scenario const& scenario, std::uint64_t seed, std::uint32_t replicate, PoolId pool,
                           std::uint32_t cell_number);

}  // namespace brinecast::sim
