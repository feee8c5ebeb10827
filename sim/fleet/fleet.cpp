#include "sim/fleet/fleet.hpp"

#include <algorithm>
#include <cmath>

#include "models/carbonate/ph.hpp"
#include "models/cell/coating.hpp"
#include "models/chlorine/speciation.hpp"
#include "models/chlorine/sunlight_loss.hpp"
#include "sim/fleet/kernel.hpp"
#include "sim/random/random.hpp"

namespace brinecast::sim {

namespace {

/// Equilibrium constants of a water.
struct WaterMedium {
  double temperature_K, salt_kg_per_m3, calcium_mol_per_m3, alkalinity_mol_per_m3;
};
models::WaterEquilibrium<double> equilibrium_of(WaterMedium const& in) {
  return models::water_equilibrium<double>(
      {.temperature_K = in.temperature_K,
       .medium = {.chloride_mol_per_m3 =
                      in.salt_kg_per_m3 / models::molar_mass_NaCl_kg_per_mol + 2.0 * in.calcium_mol_per_m3,
                  .calcium_mol_per_m3 = in.calcium_mol_per_m3,
                  .alkalinity_mol_per_m3 = in.alkalinity_mol_per_m3},
       .free_calcium_mol_per_m3 = in.calcium_mol_per_m3});
}

double fill_carbon_mol_per_m3(FillWater const& fill) {
  auto const k = equilibrium_of({.temperature_K = fill.temperature_K,
                                 .salt_kg_per_m3 = fill.salt_kg_per_m3,
                                 .calcium_mol_per_m3 = fill.calcium_mol_per_m3,
                                 .alkalinity_mol_per_m3 = fill.alkalinity_mol_per_m3});
  models::AcidBaseTotals<double> totals{};
  totals.alkalinity = fill.alkalinity_mol_per_m3;
  return models::inorganic_carbon_for_ph(fill.ph, totals, k);
}

void set_traits(PoolTraits& traits, std::size_t lane, Pool const& pool, FillWater const& fill,
                models::Parameters const& parameters) {
  traits.normal_volume_m3[lane] = pool.water_volume_m3;
  traits.surface_area_m2[lane] = pool.surface_area_m2;
  traits.catchment_area_m2[lane] = pool.catchment_area_m2;
  traits.rim_volume_m3[lane] = pool.water_volume_m3 + pool.freeboard_m * pool.surface_area_m2;
  traits.refill_volume_m3[lane] =
      pool.automatic_refill ? pool.water_volume_m3 - pool.refill_below_m * pool.surface_area_m2 : 0.0;
  traits.leak_m3_per_s[lane] = pool.leak_m3_per_s;
  traits.fill_salt_kg_per_m3[lane] = fill.salt_kg_per_m3;
  traits.fill_calcium_mol_per_m3[lane] = fill.calcium_mol_per_m3;
  traits.fill_alkalinity_mol_per_m3[lane] = fill.alkalinity_mol_per_m3;
  traits.fill_inorganic_carbon_mol_per_m3[lane] = fill_carbon_mol_per_m3(fill);
  traits.fill_temperature_K[lane] = fill.temperature_K;
  // The cover is off around two in the afternoon.
  double const uncovered_h = pool.cover == CoverKind::none ? 24.0 : 24.0 * (1.0 - pool.covered_share_of_day);
  traits.uncovered_h[lane] = uncovered_h;
  traits.uncovered_from_h[lane] = std::fmod(14.0 - 0.5 * uncovered_h + 24.0, 24.0);
  traits.cover_passes_vapour[lane] = parameters.cover_passes_vapour;
  traits.cover_passes_sun[lane] =
      pool.cover == CoverKind::solid ? parameters.solid_cover_passes_sun : parameters.bubble_cover_passes_sun;
  traits.sun_exposure[lane] = pool.sun_exposure;
  traits.wind_exposure[lane] = pool.wind_exposure;
  traits.wind_exposure_for_gas[lane] = models::wind_for_gas_transfer(pool.wind_exposure);
  traits.solar_absorptance[lane] = pool.solar_absorptance;
  traits.demand_factor[lane] = pool.demand_factor;
  traits.gas_exchange_factor[lane] = pool.gas_exchange_factor;
  traits.cell_rated_kg_per_s[lane] = pool.cell_rated_production_kg_per_s;
  traits.cell_plate_area_m2[lane] = pool.cell_plate_area_m2;
  traits.reversals_per_s[lane] = pool.reversal_interval_s > 0.0 ? 1.0 / pool.reversal_interval_s : 0.0;
  traits.pump_power_W[lane] = pool.pump_flow_m3_per_s * parameters.pump_energy_J_per_m3;
  traits.ultraviolet_depth_mean[lane] =
      models::depth_mean_of_ultraviolet(pool.water_volume_m3 / pool.surface_area_m2, parameters);
}

void set_water(PoolBlock& block, std::size_t lane, Pool const& pool, KernelSettings const& settings) {
  PoolState& state = block.state;
  StartingWater const& water = pool.start;
  double const volume = pool.water_volume_m3;
  state.water_volume_m3[lane] = volume;
  state.heat_J[lane] = volume * heat_capacity_J_per_m3_K * (water.temperature_K - models::celsius_zero_K);
  state.salt_kg[lane] = volume * water.salt_kg_per_m3;
  state.calcium_mol[lane] = volume * water.calcium_mol_per_m3;
  state.alkalinity_mol[lane] = volume * water.alkalinity_mol_per_m3;
  state.cyanuric_acid_mol[lane] = volume * water.cyanuric_acid_mol_per_m3;
  state.borate_mol[lane] = volume * water.borate_mol_per_m3;
  double const chlorine_mol_per_m3 = water.free_chlorine_kg_per_m3 / models::molar_mass_Cl2_kg_per_mol;
  state.free_chlorine_mol[lane] = volume * chlorine_mol_per_m3;
  state.algae[lane] = settings.parameters.algae_floor;
  state.water_temperature_K[lane] = water.temperature_K;
  // The carbon that makes the stated pH with the stated alkalinity.
  auto const k = equilibrium_of({.temperature_K = water.temperature_K,
                                 .salt_kg_per_m3 = water.salt_kg_per_m3,
                                 .calcium_mol_per_m3 = water.calcium_mol_per_m3,
                                 .alkalinity_mol_per_m3 = water.alkalinity_mol_per_m3});
  auto const chlorine =
      models::chlorine_speciation<double>({.hydrogen_activity = models::exp10(-water.ph),
                                           .temperature_K = water.temperature_K,
                                           .free_chlorine_mol_per_m3 = chlorine_mol_per_m3,
                                           .cyanuric_acid_mol_per_m3 = water.cyanuric_acid_mol_per_m3},
                                          k, settings.cyanurates);
  models::AcidBaseTotals<double> const totals{
      .alkalinity = water.alkalinity_mol_per_m3,
      .inorganic_carbon = 0.0,
      .cyanuric_acid = water.cyanuric_acid_mol_per_m3 - chlorine.bound_cyanurate_mol_per_m3,
      .chlorinated_cyanurate = chlorine.bound_cyanurate_mol_per_m3,
      .borate = water.borate_mol_per_m3,
      .free_hypochlorous = chlorine.hypochlorous_mol_per_m3 + chlorine.hypochlorite_mol_per_m3};
  state.inorganic_carbon_mol[lane] = volume * models::inorganic_carbon_for_ph(water.ph, totals, k);
  state.ph[lane] = water.ph;
  settle_pool(block, lane, settings);
}

template <class Group>
void copy_lane(Group& group, std::size_t from, std::size_t to) {
  static_assert(sizeof(Group) % sizeof(LaneArray) == 0);
  auto* arrays = reinterpret_cast<LaneArray*>(&group);
  for (std::size_t i = 0; i < sizeof(Group) / sizeof(LaneArray); ++i) arrays[i][to] = arrays[i][from];
}

void pad_block(PoolBlock& block, std::size_t used) {
  block.lanes_used = (used + widest_group - 1) / widest_group * widest_group;
  for (std::size_t lane = used; lane < block_pools; ++lane) {
    copy_lane(block.state, 0, lane);
    copy_lane(block.traits, 0, lane);
    copy_lane(block.controls, 0, lane);
    block.controls.counted[lane] = 0.0;
  }
}

}  // namespace

double draw_coating_life_h(Scenario const& scenario, std::uint64_t seed, std::uint32_t replicate, PoolId pool,
                           std::uint32_t cell_number) {
  return models::coating_life_h(uniform_draw({.seed = seed,
                                              .replicate = replicate,
                                              .pool = static_cast<std::uint32_t>(pool),
                                              .purpose = Purpose::coating_life,
                                              .time = 0,
                                              .index = cell_number}),
                                scenario.parameters);
}

void install_cell(PoolBlock& block, std::size_t lane, double coating_life_h) {
  block.traits.coating_life_h[lane] = coating_life_h;
  block.state.coating_left[lane] = 1.0;
  block.state.scale_kg_per_m2[lane] = 0.0;
  block.state.check_cell_warning[lane] = 0.0;
  block.controls.cell_working[lane] = 1.0;
}

void settle_pool(PoolBlock& block, std::size_t lane, KernelSettings const& settings) {
  PoolState& state = block.state;
  double const volume = state.water_volume_m3[lane];
  double const temperature_K = state.water_temperature_K[lane];
  double const cyanuric = state.cyanuric_acid_mol[lane] / volume;
  auto const k = equilibrium_of({.temperature_K = temperature_K,
                                 .salt_kg_per_m3 = state.salt_kg[lane] / volume,
                                 .calcium_mol_per_m3 = state.calcium_mol[lane] / volume,
                                 .alkalinity_mol_per_m3 = state.alkalinity_mol[lane] / volume});
  double ph = state.ph[lane];
  double hypochlorous = 0.0;
  constexpr int most_rounds = 12;
  for (int round = 0; round < most_rounds; ++round) {
    auto const chlorine =
        models::chlorine_speciation<double>({.hydrogen_activity = models::exp10(-ph),
                                             .temperature_K = temperature_K,
                                             .free_chlorine_mol_per_m3 = state.free_chlorine_mol[lane] / volume,
                                             .cyanuric_acid_mol_per_m3 = cyanuric},
                                            k, settings.cyanurates, models::converged_newton_steps);
    models::AcidBaseTotals<double> const totals{
        .alkalinity = state.alkalinity_mol[lane] / volume,
        .inorganic_carbon = state.inorganic_carbon_mol[lane] / volume,
        .cyanuric_acid = cyanuric - chlorine.bound_cyanurate_mol_per_m3,
        .chlorinated_cyanurate = chlorine.bound_cyanurate_mol_per_m3,
        .borate = state.borate_mol[lane] / volume,
        .free_hypochlorous = chlorine.hypochlorous_mol_per_m3 + chlorine.hypochlorite_mol_per_m3};
    double const next = models::follow_ph(ph, totals, k).ph;
    hypochlorous = chlorine.hypochlorous_mol_per_m3;
    bool const settled = std::fabs(next - ph) < 1e-9;
    ph = next;
    if (settled) break;
  }
  state.ph[lane] = ph;
  state.hypochlorous_mol_per_m3[lane] = hypochlorous;
}

Fleet make_fleet(Scenario const& scenario, std::uint64_t seed, std::uint32_t replicate,
                 KernelSettings const& settings) {
  Fleet fleet;
  fleet.slot_of_pool.resize(scenario.pools.size());
  models::Parameters const& parameters = scenario.parameters;
  for (std::size_t site = 0; site < scenario.sites.size(); ++site) {
    std::size_t used = block_pools;  // of the current block; full: start one
    for (std::size_t i = 0; i < scenario.pools.size(); ++i) {
      Pool const& pool = scenario.pools[i];
      if (index_of(pool.site) != site) continue;
      if (used == block_pools) {
        fleet.blocks.emplace_back();
        fleet.site_of_block.push_back(SiteId{static_cast<std::uint32_t>(site)});
        fleet.pool_of_lane.emplace_back();
        fleet.pool_of_lane.back().fill(no_pool);
        used = 0;
      }
      PoolBlock& block = fleet.blocks.back();
      std::size_t const lane = used++;
      auto const number = static_cast<std::uint32_t>(i);
      fleet.slot_of_pool[i] = {static_cast<std::uint32_t>(fleet.blocks.size() - 1), static_cast<std::uint32_t>(lane)};
      fleet.pool_of_lane.back()[lane] = number;
      set_traits(block.traits, lane, pool, scenario.fill_waters[pool.fill_water], parameters);
      install_cell(block, lane, draw_coating_life_h(scenario, seed, replicate, PoolId{number}, 0));
      block.state.coating_left[lane] = std::max(0.0, 1.0 - pool.cell_age_h / block.traits.coating_life_h[lane]);
      auto const sensor = [&](std::uint32_t index) {
        return normal_draw({.seed = seed,
                            .replicate = replicate,
                            .pool = number,
                            .purpose = Purpose::salt_sensor,
                            .time = 0,
                            .index = index});
      };
      block.traits.sensor_gain[lane] = std::max(0.5, 1.0 + parameters.sensor_gain_spread * sensor(0));
      constexpr double seconds_per_year = 365.25 * models::seconds_per_day;
      block.traits.sensor_drift_per_s[lane] = parameters.sensor_drift_per_year / seconds_per_year * sensor(1);
      PoolControls& controls = block.controls;
      controls.pump_start_h[lane] = pool.pump_start_hour;
      controls.pump_hours[lane] = pool.pump_hours_per_day;
      controls.output_setting[lane] = pool.output_setting;
      controls.cell_powered[lane] = 1.0;
      controls.open[lane] = 1.0;
      controls.counted[lane] = 1.0;
      set_water(block, lane, pool, settings);
      // What the display shows until the pump first runs: the water as the sensor's gain has it.
      block.state.unit_salt_kg_per_m3[lane] = block.traits.sensor_gain[lane] * pool.start.salt_kg_per_m3;
      pad_block(block, used);
    }
  }
  for (PoolBlock& block : fleet.blocks) block.start = block.state;
  return fleet;
}

}  // namespace brinecast::sim
