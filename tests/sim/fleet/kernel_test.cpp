// The hour of a pool: one physics in every build of the kernel, and books that close.

#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>

#include "models/water/vapour_pressure.hpp"
#include "sim/fleet/advance.hpp"
#include "sim/fleet/books.hpp"
#include "sim/fleet/fleet.hpp"
#include "sim/random/random.hpp"

namespace brinecast::sim {
namespace {

double draw(std::uint32_t number, double low, double high) {
  return low + (high - low) * uniform_draw({.seed = 77, .purpose = Purpose::pool_trait, .time = number});
}

/// Forty pools that differ in everything, five of them more than a block holds.
Scenario varied_pools(std::size_t count) {
  Scenario scenario;
  scenario.sites.push_back({.name = "here", .position = {}, .elevation_m = 0.0});
  scenario.fill_waters.push_back({.name = "works",
                                  .salt_kg_per_m3 = 0.1,
                                  .calcium_mol_per_m3 = 1.5,
                                  .alkalinity_mol_per_m3 = 2.0,
                                  .ph = 7.8,
                                  .temperature_K = 288.0});
  std::uint32_t number = 0;
  auto const between = [&](double low, double high) { return draw(number++, low, high); };
  for (std::size_t i = 0; i < count; ++i) {
    Pool pool;
    pool.name = "pool " + std::to_string(i);
    pool.water_volume_m3 = between(20.0, 150.0);
    pool.surface_area_m2 = pool.water_volume_m3 / between(1.1, 1.8);
    pool.catchment_area_m2 = pool.surface_area_m2 * between(1.0, 1.5);
    pool.leak_m3_per_s = between(0.0, 2e-6);
    pool.cover = i % 3 == 0 ? CoverKind::bubble : CoverKind::none;
    pool.covered_share_of_day = i % 3 == 0 ? 0.5 : 0.0;
    pool.sun_exposure = between(0.4, 1.0);
    pool.wind_exposure = between(0.1, 0.6);
    pool.demand_factor = between(0.5, 2.0);
    pool.output_setting = between(0.1, 1.0);
    pool.pump_hours_per_day = between(4.0, 24.0);
    pool.automatic_refill = i % 4 != 0;
    pool.start.salt_kg_per_m3 = between(1.5, 6.0);
    pool.start.ph = between(7.0, 8.2);
    pool.start.alkalinity_mol_per_m3 = between(1.0, 3.0);
    pool.start.calcium_mol_per_m3 = between(0.5, 6.0);
    pool.start.cyanuric_acid_mol_per_m3 = between(0.0, 0.8);
    pool.start.borate_mol_per_m3 = i % 5 == 0 ? 4.0 : 0.0;
    pool.start.temperature_K = between(281.0, 305.0);
    scenario.pools.push_back(pool);
  }
  return scenario;
}

/// Weather that rains hard, burns and freezes within a few weeks.
HourForcing stormy_hour(std::uint32_t hour) {
  double const day_phase = std::sin((hour % 24 - 8.0) * 0.2618);
  double const season_K = 15.0 * std::sin(hour * 0.01);
  HourForcing weather;
  weather.air_temperature_K = 288.0 + season_K + 6.0 * day_phase;
  weather.vapour_pressure_of_air_Pa = 0.6 * models::saturation_vapour_pressure_Pa(weather.air_temperature_K);
  weather.wind_speed_m_per_s = draw(100'000 + hour, 0.0, 9.0);
  weather.wind_for_gas_transfer = std::pow(weather.wind_speed_m_per_s + 1e-6, 1.7);
  weather.sky_long_wave_W_per_m2 = 290.0 + 2.0 * season_K;
  weather.global_irradiance_W_per_m2 = std::max(0.0, 800.0 * day_phase);
  weather.sunlight_into_water_W_per_m2 = 0.94 * weather.global_irradiance_W_per_m2;
  weather.rain_m = hour % 97 < 3 ? 0.012 : 0.0;
  weather.rain_temperature_K = std::max(273.15, weather.air_temperature_K - 2.0);
  weather.hour_of_day = hour % 24;
  weather.time_s = hour * 3600.0;
  return weather;
}

void bring_day(Fleet& fleet, std::uint32_t day) {
  for (std::size_t b = 0; b < fleet.blocks.size(); ++b) {
    PoolDay& today = fleet.blocks[b].day;
    for (std::size_t lane = 0; lane < block_pools; ++lane) {
      auto const number = static_cast<std::uint32_t>(b * block_pools + lane);
      today.bathers[lane] = std::floor(draw(200'000 + day * 100 + number, 0.0, 5.0));
      today.debris_kg[lane] = draw(300'000 + day * 100 + number, 0.0, 0.5);
      today.air_in_line[lane] = draw(400'000 + day * 100 + number, 0.0, 1.0) < 0.05 ? 1.0 : 0.0;
    }
  }
}

Fleet season_of(Scenario const& scenario, AdvanceBlock advance, std::uint32_t days) {
  auto const settings = kernel_settings(scenario.parameters, scenario.bands);
  Fleet fleet = make_fleet(scenario, 5, 0, settings);
  for (std::uint32_t day = 0; day < days; ++day) {
    bring_day(fleet, day);
    for (std::uint32_t hour = day * 24; hour < (day + 1) * 24; ++hour) {
      HourForcing const weather = stormy_hour(hour);
      for (PoolBlock& block : fleet.blocks) advance(block, weather, settings);
    }
  }
  return fleet;
}

/// The arrays of a group side by side, for comparisons over all of them.
template <class Group>
std::span<LaneArray const> arrays_of(Group const& group) {
  static_assert(sizeof(Group) % sizeof(LaneArray) == 0);
  return {reinterpret_cast<LaneArray const*>(&group), sizeof(Group) / sizeof(LaneArray)};
}

/// Largest difference between two runs over all state of all pools, relative to the larger of value and quantity's
/// mean.
double largest_difference(Fleet const& a, Fleet const& b) {
  double largest = 0.0;
  for (std::size_t block = 0; block < a.blocks.size(); ++block) {
    auto const of_a = arrays_of(a.blocks[block].state);
    auto const of_b = arrays_of(b.blocks[block].state);
    for (std::size_t quantity = 0; quantity < of_a.size(); ++quantity) {
      double mean = 0.0;
      for (double const value : of_a[quantity].values) mean += std::fabs(value) / block_pools;
      for (std::size_t lane = 0; lane < block_pools; ++lane) {
        if (a.pool_of_lane[block][lane] == no_pool) continue;
        double const size = std::max({std::fabs(of_a[quantity][lane]), mean, 1e-12});
        largest = std::max(largest, std::fabs(of_a[quantity][lane] - of_b[quantity][lane]) / size);
      }
    }
  }
  return largest;
}

TEST_CASE("every build of the kernel agrees with the scalar reference within rounding", "[sim][fleet][unit]") {
  Scenario const scenario = varied_pools(40);
  auto const& targets = vector_targets();
  REQUIRE(targets.front().name == "reference");
  REQUIRE(targets.size() >= 2);
  Fleet const reference = season_of(scenario, targets.front().advance, 30);
  for (auto const& target : targets) {
    CAPTURE(target.name);
    // Vector exponentials err by one unit in the last place; a month of hours multiplies that by some hundreds.
    CHECK(largest_difference(season_of(scenario, target.advance, 30), reference) < 1e-9);
  }
}

TEST_CASE("builds with fused multiply-add agree bit for bit", "[sim][fleet][unit]") {
  VectorTarget const* narrow = nullptr;
  VectorTarget const* wide = nullptr;
  for (auto const& target : vector_targets()) {
    if (target.name == "avx2") narrow = &target;
    if (target.name == "avx512") wide = &target;
  }
  if (narrow == nullptr || wide == nullptr) {
    WARN("SKIPPED: this machine has no 512-bit vectors");
    return;
  }
  Scenario const scenario = varied_pools(40);
  Fleet const a = season_of(scenario, narrow->advance, 20);
  Fleet const b = season_of(scenario, wide->advance, 20);
  for (std::size_t block = 0; block < a.blocks.size(); ++block) {
    CHECK(std::memcmp(&a.blocks[block].state, &b.blocks[block].state, sizeof(PoolState)) == 0);
    CHECK(std::memcmp(&a.blocks[block].hours, &b.blocks[block].hours, sizeof(PoolHours)) == 0);
  }
}

TEST_CASE("all books close under storms, heat and frost", "[sim][fleet][conservation]") {
  Fleet const fleet = season_of(varied_pools(40), best_vector_target().advance, 60);
  BookErrors const errors = audit(fleet);
  CAPTURE(errors.water, errors.heat, errors.salt, errors.calcium, errors.alkalinity, errors.inorganic_carbon,
          errors.cyanuric_acid, errors.borate, errors.chlorine);
  CHECK(errors.largest() < 1e-11);
  CHECK(errors.largest() > 0.0);
}

TEST_CASE("a book that is not a number is the worst of all, whichever it is", "[sim][fleet][conservation]") {
  constexpr double missing = std::numeric_limits<double>::quiet_NaN();
  for (double BookErrors::*const book :
       {&BookErrors::water, &BookErrors::heat, &BookErrors::salt, &BookErrors::calcium, &BookErrors::alkalinity,
        &BookErrors::inorganic_carbon, &BookErrors::cyanuric_acid, &BookErrors::borate, &BookErrors::chlorine}) {
    BookErrors errors;
    errors.*book = missing;
    CHECK(std::isnan(errors.largest()));
    errors.*book = 1e-3;
    CHECK(errors.largest() == 1e-3);
  }
  CHECK(std::isnan(worse_of(missing, 1.0)));
  CHECK(std::isnan(worse_of(1.0, missing)));
  CHECK(worse_of(2.0, 1.0) == 2.0);
}

TEST_CASE("a cell that its unit has stopped neither wears nor counts hours nor draws current", "[sim][fleet][unit]") {
  Scenario scenario = varied_pools(8);
  for (Pool& pool : scenario.pools) pool.start.salt_kg_per_m3 = 3.2;
  auto const settings = kernel_settings(scenario.parameters, scenario.bands);
  auto const day_of = [&](double water_K, double salt_share, double working) {
    Fleet fleet = make_fleet(scenario, 5, 0, settings);
    PoolBlock& block = fleet.blocks[0];
    HourForcing weather = stormy_hour(12);
    weather.air_temperature_K = weather.rain_temperature_K = water_K;
    weather.rain_m = 0.0;
    for (std::size_t lane = 0; lane < block_pools; ++lane) {
      block.controls.pump_hours[lane] = 24.0;
      block.controls.output_setting[lane] = 1.0;
      block.controls.cell_working[lane] = working;
      block.state.salt_kg[lane] *= salt_share;
      block.state.heat_J[lane] *=
          (water_K - models::celsius_zero_K) / (block.state.water_temperature_K[lane] - models::celsius_zero_K);
    }
    for (int hour = 0; hour < 4; ++hour) best_vector_target().advance(block, weather, settings);
    return block;
  };
  PoolBlock const running = day_of(298.15, 1.0, 1.0);
  PoolBlock const new_coating = make_fleet(scenario, 5, 0, settings).blocks[0];
  for (PoolBlock const& stopped : {day_of(280.15, 1.0, 1.0), day_of(298.15, 0.5, 1.0), day_of(298.15, 1.0, 0.0)}) {
    for (std::size_t lane = 0; lane < scenario.pools.size(); ++lane) {
      CAPTURE(lane);
      CHECK(stopped.hours.chlorine_produced_mol[lane] == 0.0);
      CHECK(stopped.hours.cell_h[lane] == 0.0);
      CHECK(stopped.state.coating_left[lane] == new_coating.state.coating_left[lane]);
      CHECK(stopped.hours.pump_energy_J[lane] ==
            Approx(4.0 * 3600.0 * scenario.pools[lane].pump_flow_m3_per_s * scenario.parameters.pump_energy_J_per_m3));
      CHECK(stopped.state.check_cell_warning[lane] == 1.0);
      CHECK(running.hours.cell_h[lane] == Approx(4.0));
      CHECK(running.state.coating_left[lane] < new_coating.state.coating_left[lane]);
      CHECK(running.hours.pump_energy_J[lane] > stopped.hours.pump_energy_J[lane]);
    }
  }
}

TEST_CASE("the audit sees a gram of salt that came by no named line", "[sim][fleet][conservation]") {
  Fleet fleet = season_of(varied_pools(8), best_vector_target().advance, 5);
  fleet.blocks[0].state.salt_kg[3] += 0.001;
  CHECK(audit(fleet).salt > 1e-9);
}

TEST_CASE("a pool does not depend on the pools beside it", "[sim][fleet][unit]") {
  Scenario const many = varied_pools(40);
  Scenario few = many;
  few.pools.resize(7);
  Fleet const among_many = season_of(many, best_vector_target().advance, 10);
  Fleet const among_few = season_of(few, best_vector_target().advance, 10);
  for (std::size_t lane = 0; lane < 7; ++lane) {
    CHECK(among_many.blocks[0].state.salt_kg[lane] == among_few.blocks[0].state.salt_kg[lane]);
    CHECK(among_many.blocks[0].state.ph[lane] == among_few.blocks[0].state.ph[lane]);
  }
}

TEST_CASE("rain lowers the salt once the pool is full, evaporation and electrolysis do not", "[sim][fleet][unit]") {
  Scenario scenario = varied_pools(8);
  for (Pool& pool : scenario.pools) {
    pool.leak_m3_per_s = 0.0;
    pool.bathers_per_day = 0.0;
    pool.automatic_refill = false;
  }
  auto const settings = kernel_settings(scenario.parameters, scenario.bands);
  auto const salt_left = [&](double rain_m) {
    Fleet fleet = make_fleet(scenario, 5, 0, settings);
    for (std::uint32_t hour = 0; hour < 240; ++hour) {
      HourForcing weather = stormy_hour(hour);
      weather.rain_m = hour % 24 == 3 ? rain_m : 0.0;
      for (PoolBlock& block : fleet.blocks) best_vector_target().advance(block, weather, settings);
    }
    return fleet.blocks[0].state.salt_kg[2];
  };
  double const start_kg = scenario.pools[2].start.salt_kg_per_m3 * scenario.pools[2].water_volume_m3;
  CHECK(salt_left(0.0) == start_kg);  // exact: nothing left the pool
  double const some_rain = salt_left(0.03);
  double const much_rain = salt_left(0.06);
  CHECK(some_rain < start_kg);
  CHECK(much_rain < some_rain);
}

TEST_CASE("a cloudburst larger than the pool leaves the rain's water in it, as cold and as fresh",
          "[sim][fleet][unit]") {
  Scenario const scenario = varied_pools(8);
  auto const settings = kernel_settings(scenario.parameters, scenario.bands);
  Fleet fleet = make_fleet(scenario, 5, 0, settings);
  HourForcing weather = stormy_hour(8);
  weather.rain_m = 10.0;
  weather.rain_temperature_K = 283.15;
  best_vector_target().advance(fleet.blocks[0], weather, settings);
  PoolState const& state = fleet.blocks[0].state;
  for (std::size_t lane = 0; lane < 8; ++lane) {
    CHECK(state.salt_kg[lane] / state.water_volume_m3[lane] < 0.005 * scenario.pools[lane].start.salt_kg_per_m3);
    CHECK(state.water_temperature_K[lane] == Approx(weather.rain_temperature_K).margin(0.5));
  }
}

}  // namespace
}  // namespace brinecast::sim
