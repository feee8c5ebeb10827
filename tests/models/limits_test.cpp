#include <catch2/catch.hpp>
#include <cmath>

#include "models/sample/sample.hpp"
#include "sim/fleet/books.hpp"
#include "tests/models/one_pool.hpp"

namespace brinecast::tests {

using namespace models;

namespace {

void require_physical(OnePool const& pool) {
  sim::PoolState const& s = pool.state();
  for (NamedState const& variable : state_variables) {
    INFO(variable.name);
    REQUIRE(std::isfinite((s.*variable.array)[0]));
  }
  CHECK(s.water_volume_m3[0] > 0.0);
  CHECK(s.salt_kg[0] >= 0.0);
  CHECK(s.calcium_mol[0] >= 0.0);
  CHECK(s.free_chlorine_mol[0] >= 0.0);
  CHECK(s.combined_chlorine_mol[0] >= 0.0);
  CHECK(s.inorganic_carbon_mol[0] >= 0.0);
  CHECK(s.ice_m[0] >= 0.0);
  CHECK(s.scale_kg_per_m2[0] >= 0.0);
  CHECK(s.coating_left[0] >= 0.0);
  CHECK(s.coating_left[0] <= 1.0);
  CHECK(s.algae[0] > 0.0);
  CHECK(s.ph[0] > 2.0);
  CHECK(s.ph[0] < 12.0);
  CHECK(s.water_temperature_K[0] > 260.0);
  CHECK(s.water_temperature_K[0] < 330.0);
  CHECK(sim::audit(pool.fleet).largest() < 1e-9);
}

}  // namespace

TEST_CASE("every book closes over a season of summer, storm and refill", "[models][kernel][conservation]") {
  sim::Pool pool = busy_pool();
  pool.automatic_refill = true;
  pool.freeboard_m = 0.08;
  OnePool running = one_pool(pool);
  run_hours(running, {.rain_m_per_h = 0.012, .rain_from_h = 15, .rain_hours = 2}, 100 * 24);
  require_physical(running);
  CHECK(running.block().books.overflow_m3[0] > 1.0);
  run_hours(running, {}, 100 * 24);
  require_physical(running);
  CHECK(running.block().books.refill_m3[0] > 1.0);
}

TEST_CASE("salt stays where only evaporation, refill without salt and the cell are at work",
          "[models][kernel][conservation]") {
  sim::Pool pool = busy_pool();
  pool.automatic_refill = true;
  pool.leak_m3_per_s = 0.0;
  OnePool running = one_pool(pool);
  running.block().day.bathers[0] = 0.0;
  double const before = running.state().salt_kg[0];
  run_hours(running, {}, 60 * 24);
  CHECK(running.block().books.evaporation_m3[0] > 3.0);
  CHECK(running.block().books.chlorine_made_mol[0] > 10.0);
  CHECK(running.state().salt_kg[0] == before);
}

TEST_CASE("extremes stay finite and physical", "[models][kernel][hostile]") {
  sim::Pool pool = busy_pool();
  SECTION("a pool that leaks nearly empty") {
    pool.leak_m3_per_s = 2e-4;
    OnePool running = one_pool(pool);
    run_hours(running, {}, 30 * 24);
    CHECK(running.state().water_volume_m3[0] < 10.0);
    require_physical(running);
  }
  SECTION("a deluge on a brim-full pool") {
    pool.freeboard_m = 0.0;
    OnePool running = one_pool(pool);
    run_hours(running, {.rain_m_per_h = 0.3, .rain_from_h = 0, .rain_hours = 24}, 3 * 24);
    CHECK(running.state().salt_kg[0] < 1.0);
    require_physical(running);
  }
  SECTION("no chlorine at all") {
    pool.output_setting = 0.0;
    pool.start.free_chlorine_kg_per_m3 = 0.0;
    OnePool running = one_pool(pool);
    running.block().state.combined_chlorine_mol[0] = 0.0;
    running.block().start = running.block().state;
    run_hours(running, {}, 40 * 24);
    CHECK(running.state().free_chlorine_mol[0] == 0.0);
    CHECK(running.state().algae[0] >= 1.0);
    require_physical(running);
  }
  SECTION("a shock of 20 mg/L without stabiliser") {
    pool.start.free_chlorine_kg_per_m3 = 0.020;
    pool.start.cyanuric_acid_mol_per_m3 = 0.0;
    OnePool running = one_pool(pool);
    run_hours(running, {}, 5 * 24);
    require_physical(running);
  }
  SECTION("a frozen surface and its thaw") {
    pool.start.temperature_K = 275.15;
    OnePool running = one_pool(pool);
    running.block().controls.open[0] = 0.0;
    run_hours(running, {.mean_air_K = 255.15, .air_swing_K = 5.0, .dew_point_K = 250.15, .noon_cos_zenith = 0.3},
              20 * 24);
    CHECK(running.state().ice_m[0] > 0.1);
    CHECK(running.state().water_temperature_K[0] == Approx(273.15 - 0.19).margin(0.02));
    require_physical(running);
    run_hours(running, {.mean_air_K = 290.15}, 40 * 24);
    CHECK(running.state().ice_m[0] == 0.0);
    require_physical(running);
  }
  SECTION("no salt, no calcium, no alkalinity") {
    pool.start.salt_kg_per_m3 = 0.0;
    pool.start.calcium_mol_per_m3 = 0.0;
    pool.start.alkalinity_mol_per_m3 = 0.02;
    pool.start.ph = 6.0;
    OnePool running = one_pool(pool);
    run_hours(running, {}, 10 * 24);
    require_physical(running);
  }
  SECTION("a desert afternoon at 50 degC") {
    OnePool running = one_pool(pool);
    run_hours(running, {.mean_air_K = 313.15, .air_swing_K = 10.0, .dew_point_K = 273.15, .wind_m_per_s = 8.0},
              20 * 24);
    require_physical(running);
  }
}

TEST_CASE("following the pH agrees with solving it", "[models][carbonate][convergence]") {
  Parameters const parameters;
  CyanurateSet const set = cyanurate_set(parameters);
  for (double const alkalinity : {0.6, 1.2, 2.0, 3.2}) {
    for (double const ph : {6.8, 7.2, 7.6, 8.0, 8.4}) {
      for (double const cyanuric : {0.0, 0.4, 0.8}) {
        WaterComposition const water = composition_of(TestedWater{.temperature_K = 298.15,
                                                                  .ph = ph,
                                                                  .salt_kg_per_m3 = 3.2,
                                                                  .calcium_mol_per_m3 = 3.0,
                                                                  .alkalinity_mol_per_m3 = alkalinity,
                                                                  .cyanuric_acid_mol_per_m3 = cyanuric},
                                                      set);
        auto const k = properties_of(water, set).equilibrium;
        AcidBaseTotals<double> const totals{.alkalinity = alkalinity,
                                            .inorganic_carbon = water.inorganic_carbon_mol_per_m3,
                                            .cyanuric_acid = cyanuric,
                                            .chlorinated_cyanurate = 0.0,
                                            .borate = 0.0,
                                            .free_hypochlorous = 0.0};
        double const solved = solve_ph(totals, k).ph;
        INFO("alkalinity " << alkalinity << " pH " << ph << " cyanuric acid " << cyanuric);
        CHECK(follow_ph(solved + 0.1, totals, k).ph == Approx(solved).margin(1e-6));
        CHECK(follow_ph(solved - 0.1, totals, k).ph == Approx(solved).margin(1e-6));
        CHECK(follow_ph(solved + 0.02, totals, k).ph == Approx(solved).margin(1e-9));
      }
    }
  }
}

TEST_CASE("the pH is found from any other, also of water that an acid has used up",
          "[models][carbonate][convergence]") {
  auto const k =
      properties_of(composition_of(TestedWater{.temperature_K = 273.15, .ph = 7.5}, cyanurate_set(Parameters{})),
                    cyanurate_set(Parameters{}))
          .equilibrium;
  for (double const alkalinity : {-2.0, -0.2, -1e-3, 0.0, 1e-3, 0.3, 2.0, 20.0}) {
    for (double const carbon : {0.0, 1e-3, 0.3, 3.0}) {
      AcidBaseTotals<double> const totals{.alkalinity = alkalinity,
                                          .inorganic_carbon = carbon,
                                          .cyanuric_acid = 0.01,
                                          .chlorinated_cyanurate = 0.0,
                                          .borate = 0.0,
                                          .free_hypochlorous = 0.0};
      double const solved = solve_ph(totals, k).ph;
      for (double start = 2.0; start <= 13.0; start += 0.5) {
        INFO("alkalinity " << alkalinity << " carbon " << carbon << " from pH " << start);
        double ph = start, distance = std::fabs(start - solved);
        for (int hour = 0; hour < 12; ++hour) {
          ph = follow_ph(ph, totals, k).ph;
          REQUIRE(std::fabs(ph - solved) <= distance + 1e-9);
          distance = std::fabs(ph - solved);
        }
        CHECK(ph == Approx(solved).margin(1e-6));
      }
    }
  }
}

TEST_CASE("the means of a decay agree with their definition", "[models][unit]") {
  for (double const x : {0.0, 1e-9, 1e-4, 0.99e-3, 1.01e-3, 0.1, 1.0, 20.0}) {
    double const expected = x > 0.0 ? -std::expm1(-x) / x : 1.0;
    CHECK(mean_of_decay(x, std::exp(-x)) == Approx(expected).epsilon(1e-12));
  }
  CHECK(mean_of_slow_decay(0.1) == Approx(-std::expm1(-0.1) / 0.1).epsilon(2e-7));
  CHECK(mean_of_slow_decay(1e6) < 1e-5);
  CHECK(exp_of_small(0.2) == Approx(std::exp(0.2)).epsilon(1e-6));
  CHECK(after_loss<double>({.amount = 2.0, .source_per_s = 3.0, .loss_rate_per_s = 0.5, .step_s = 4.0}) ==
        Approx(2.0 * std::exp(-2.0) + 6.0 * (1.0 - std::exp(-2.0))).epsilon(1e-13));
}

}  // namespace brinecast::tests
