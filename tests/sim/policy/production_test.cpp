#include <catch2/catch.hpp>

#include "one_pool.hpp"

namespace brinecast::sim {
namespace {

/// Visits every week at the same reading until the setting settles.
double settled_setting(OnePool& one, int visits = 1) {
  for (int i = 0; i < visits; ++i) one.visit_after(7);
  return one.record.output_setting;
}

TEST_CASE("too little chlorine raises a learned output, too much lowers it", "[sim][policy][unit]") {
  OnePool low;
  low.policy.production.learn_pump_hours = false;
  low.visit_after(7);
  low.truth.free_chlorine_kg_per_m3 = 0.0015;
  double const before = low.record.output_setting;
  CHECK(has(low.visit_after(7).decision.rules, FiredRule::output_raised));
  CHECK(low.record.output_setting > before);

  OnePool high;
  high.policy.production.learn_pump_hours = false;
  high.visit_after(7);
  high.truth.free_chlorine_kg_per_m3 = 0.007;
  CHECK(has(high.visit_after(7).decision.rules, FiredRule::output_lowered));
}

TEST_CASE("the learned setting approaches setting times target over reading, even when the rating is wrong",
          "[sim][policy][unit]") {
  // A pool in balance at 2 g/m3 with output 0.4: the right setting for 3 g/m3 is 0.6, whatever the cell really makes.
  for (double const rating_factor : {0.6, 1.0, 1.6}) {
    OnePool one;
    one.pool.cell_rated_production_kg_per_s *= rating_factor;
    one.pool.output_setting = 0.4;
    one.policy.production.learn_pump_hours = false;
    one.start();
    one.truth.free_chlorine_kg_per_m3 = 0.002;
    one.policy.production.gain = 1.0;
    CHECK(settled_setting(one) == Approx(0.6).epsilon(1e-6));
  }
}

TEST_CASE("cold water keeps the output: raising it would not help", "[sim][policy][unit]") {
  OnePool one;
  one.truth.free_chlorine_kg_per_m3 = 0.0012;
  one.truth.water_temperature_K = 287.15;
  Visit const visit = one.visit_after(7);
  CHECK(has(visit.decision.rules, FiredRule::cold_water));
  CHECK_FALSE(visit.decision.actions.output_setting);
}

TEST_CASE("a reading above the band turns the output down in proportion, in cold water and under a lit lamp too",
          "[sim][policy][unit]") {
  for (bool const lamp : {false, true}) {
    CAPTURE(lamp);
    OnePool one;
    one.policy.production.learn_pump_hours = false;
    one.visit_after(7);
    one.record.decay_per_day = 3.0;  // learned from a unit that stood still: the balance alone would raise the output
    one.truth.free_chlorine_kg_per_m3 = 0.012;
    one.truth.water_temperature_K = 285.15;
    one.truth.warning_check_cell = lamp;
    double const before = one.record.output_setting;
    CHECK(has(one.visit_after(7).decision.rules, FiredRule::output_lowered));
    CHECK(one.record.output_setting <= before * 0.003 / 0.012 + 1e-12);
  }
}

TEST_CASE("a lit lamp leaves the setting alone while chlorine is not above its band: what the unit made is unknown",
          "[sim][policy][unit]") {
  OnePool one;
  one.truth.free_chlorine_kg_per_m3 = 0.0012;
  one.truth.warning_check_cell = true;
  CHECK_FALSE(one.visit_after(7).decision.actions.output_setting);
}

TEST_CASE("a kept output never moves, a stepped one moves by its step, a calendar sets what it says",
          "[sim][policy][unit]") {
  OnePool one;
  one.policy.production.rule = OutputRule::kept;
  one.truth.free_chlorine_kg_per_m3 = 0.0012;
  CHECK(settled_setting(one) == 0.5);
  one.policy.production.rule = OutputRule::stepped;
  CHECK(settled_setting(one) == Approx(0.6));
  one.policy.production.rule = OutputRule::calendar;
  one.policy.production.calendar = {
      {.dates = {std::chrono::March / 1, std::chrono::May / 31}, .output_setting = 0.35, .pump_hours_per_day = 8.0}};
  Visit const visit = one.visit_after(7);
  CHECK(visit.decision.actions.output_setting == 0.35);
  CHECK(visit.decision.actions.pump_hours_per_day == 8.0);
  CHECK(has(visit.decision.rules, FiredRule::output_by_calendar));
}

TEST_CASE("pump hours follow once the output alone does not reach, and make the same chlorine", "[sim][policy][unit]") {
  OnePool one;
  one.pool.output_setting = 0.9;
  one.start();
  one.truth.free_chlorine_kg_per_m3 = 0.0028;
  Visit const longer = one.visit_after(7);
  CHECK(has(longer.decision.rules, FiredRule::pump_lengthened));
  CHECK(one.record.pump_hours_per_day == 12.0);
  CHECK(one.record.output_setting < 0.9);

  OnePool idle;
  idle.pool.output_setting = 0.2;
  idle.start();
  idle.truth.free_chlorine_kg_per_m3 = 0.0035;
  CHECK(has(idle.visit_after(7).decision.rules, FiredRule::pump_shortened));
  CHECK(idle.record.pump_hours_per_day == 8.0);
  idle.policy.production.learn_pump_hours = false;
  idle.visit_after(7);
  CHECK(idle.record.pump_hours_per_day == 8.0);
}

TEST_CASE("warming water raises the output ahead of the demand", "[sim][policy][unit]") {
  auto const setting_at_warming = [](double warming_K) {
    OnePool one;
    one.policy.production.learn_pump_hours = false;
    one.policy.production.gain = 1.0;
    one.truth.water_temperature_K = 295.15;
    one.visit_after(7);
    one.record.output_setting = 0.5;
    one.record.free_chlorine_after_kg_per_m3 = 0.003;
    one.record.decay_per_day = 0.0;
    one.truth.water_temperature_K += warming_K;
    return settled_setting(one);
  };
  CHECK(setting_at_warming(4.0) > setting_at_warming(0.0));
  CHECK(setting_at_warming(-4.0) < setting_at_warming(0.0));
}

TEST_CASE("the expected free chlorine is the solution of production and decay", "[sim][policy][unit]") {
  double const steady = 0.002 / 0.4;
  CHECK(expected_free_chlorine_kg_per_m3(0.001, 0.002, 0.4, 0.0) == Approx(0.001));
  CHECK(expected_free_chlorine_kg_per_m3(0.001, 0.002, 0.4, 1000.0) == Approx(steady));
  // By explicit Euler with a step of 1e-4 d.
  double value = 0.001;
  for (int i = 0; i < 30000; ++i) value += 1e-4 * (0.002 - 0.4 * value);
  CHECK(expected_free_chlorine_kg_per_m3(0.001, 0.002, 0.4, 3.0) == Approx(value).epsilon(1e-4));
}

TEST_CASE("backwash, debris and level follow their own limits", "[sim][policy][unit]") {
  OnePool one;
  VisitActions const first = one.visit_after(7).decision.actions;
  CHECK(first.debris_removed_share == 0.9);
  CHECK(first.backwash_m3 == 0.0);
  CHECK_FALSE(first.refill_to_normal);
  one.pool.automatic_refill = false;
  one.truth.level_below_normal_m = 0.08;
  VisitActions const later = one.visit_after(21).decision.actions;
  CHECK(later.backwash_m3 == Approx(0.003 * 180.0));
  CHECK(later.refill_to_normal);
  one.policy.upkeep.backwash_after_rain_m = 0.05;
  one.pass_days(7);
  one.rain_m.back() = 0.06;
  CHECK(one.visit().decision.actions.backwash_m3 > 0.0);
}

}  // namespace
}  // namespace brinecast::sim
