#include <catch2/catch.hpp>

#include "one_pool.hpp"

namespace brinecast::sim {
namespace {

using std::chrono::April;
using std::chrono::October;

OnePool closing_by_date() {
  OnePool one;
  one.policy.year.closes = true;
  one.policy.year.close_on = October / 15;
  one.policy.year.open_on = April / 10;
  one.season.first_day = std::chrono::sys_days{std::chrono::year{2031} / 10 / 1};
  one.start(5.0);
  return one;
}

TEST_CASE("a pool closes from its date on, also when that day was missed, and a region that never closes does not",
          "[sim][policy][unit]") {
  OnePool one = closing_by_date();
  one.pass_days(13);  // 14 October
  CHECK_FALSE(has(one.reasons(), VisitReason::closing));
  one.pass_days(3);  // 17 October
  CHECK(has(one.reasons(), VisitReason::closing));
  one.policy.year.closes = false;
  CHECK_FALSE(has(one.reasons(), VisitReason::closing));
}

TEST_CASE("a pool closes once its water is cold, within the closing season", "[sim][policy][unit]") {
  OnePool one;
  one.policy.year.closes = true;
  one.policy.year.close_below_water_K = 285.15;
  one.truth.water_temperature_K = 283.15;
  one.visit_after(7);
  one.pass_days(1);
  CHECK_FALSE(has(one.reasons(), VisitReason::closing));  // March
  one.pass_days(230, 283.15);                             // October, the reading is old, the air cold
  CHECK(has(one.reasons(), VisitReason::closing));
}

TEST_CASE("closing switches the cell off and does what its kind says", "[sim][policy][unit]") {
  auto const how = GENERATE(Closing::bypass_only, Closing::lower_level, Closing::drain_lines);
  OnePool one = closing_by_date();
  one.policy.year.how = how;
  VisitActions const actions = one.visit_after(15, bit(VisitReason::closing)).decision.actions;
  CHECK(actions.close == how);
  CHECK(actions.cell_powered == false);
  CHECK(actions.lowered_m3 == Approx(how == Closing::bypass_only ? 0.0 : 7.5));
  CHECK(actions.pump_hours_per_day.has_value() == (how != Closing::bypass_only));
  CHECK(one.record.stage == PoolStage::closed);
}

TEST_CASE("a closed pool is only watched, at its interval", "[sim][policy][unit]") {
  OnePool one = closing_by_date();
  one.visit_after(15, bit(VisitReason::closing));
  one.policy.visits.triggers.warning = true;
  report_warning(one.record);
  one.pass_days(40);
  CHECK(one.reasons() == 0);
  one.policy.year.winter_watch_d = 28.0;
  CHECK(one.reasons() == bit(VisitReason::winter_watch));
  Visit const watch = one.visit(bit(VisitReason::winter_watch));
  CHECK_FALSE(watch.readings.ph);
  CHECK_FALSE(watch.readings.unit_salt_kg_per_m3);  // the display is dark
  CHECK(watch.decision.actions.salt_kg == 0.0);
  CHECK(one.reasons() == 0);
  // Backwash and level wait for the opening, however long they have been due.
  one.pool.automatic_refill = false;
  one.truth.level_below_normal_m = 0.5;
  one.pass_days(100);
  Visit const late = one.visit(bit(VisitReason::winter_watch));
  CHECK(late.decision.actions.backwash_m3 == 0.0);
  CHECK_FALSE(late.decision.actions.refill_to_normal);
  CHECK(late.decision.actions.debris_removed_share > 0.0);
}

TEST_CASE("a season that begins between closing and opening finds the pool closed and opens it on its date",
          "[sim][policy][unit]") {
  OnePool one = closing_by_date();
  one.season.first_day = std::chrono::sys_days{std::chrono::year{2032} / 4 / 1};
  one.start(0.0);
  CHECK(one.record.stage == PoolStage::closed);
  one.pass_days(8);
  CHECK(one.reasons() == 0);
  one.pass_days(1);
  CHECK(one.reasons() == bit(VisitReason::opening));
}

TEST_CASE("a pool opens once the air is warm", "[sim][policy][unit]") {
  OnePool one = closing_by_date();
  one.policy.year.open_on.reset();
  one.policy.year.open_above_air_K = 288.15;
  one.visit_after(15, bit(VisitReason::closing));
  one.pass_days(170, 278.15);  // 3 April
  CHECK(one.reasons() == 0);
  one.pass_days(7, 290.15);
  CHECK(one.reasons() == bit(VisitReason::opening));
}

TEST_CASE(
    "opening tests everything, adds salt for what was drained, and keeps the unit off until a later visit finds "
    "balanced water",
    "[sim][policy][unit]") {
  OnePool one = closing_by_date();
  one.visit_after(15, bit(VisitReason::closing));
  one.pass_days(180);
  one.truth.salt_kg_per_m3 = 2.4;
  one.truth.ph = 8.0;
  Visit const opening = one.visit(bit(VisitReason::opening));
  CHECK(opening.decision.actions.open);
  CHECK(opening.decision.actions.refill_to_normal);
  CHECK(opening.decision.actions.salt_kg == Approx(0.9 * 0.8 * 50.0));
  CHECK(opening.decision.actions.acid_mol > 0.0);
  CHECK(opening.decision.actions.cell_powered == false);
  CHECK(opening.readings.calcium_mol_per_m3.has_value());
  one.pass_days(2);
  CHECK(has(one.reasons(), VisitReason::return_visit));
  Visit const unbalanced = one.visit(bit(VisitReason::return_visit));
  CHECK(has(unbalanced.decision.rules, FiredRule::unit_kept_off));
  one.truth.salt_kg_per_m3 = 3.1;
  one.truth.ph = 7.5;
  Visit const balanced = one.visit_after(2, bit(VisitReason::return_visit));
  CHECK(balanced.decision.actions.cell_powered == true);
  CHECK(one.record.stage == PoolStage::in_service);
}

TEST_CASE("power first means power at the opening visit", "[sim][policy][unit]") {
  OnePool one = closing_by_date();
  one.policy.year.balance_first = false;
  one.visit_after(15, bit(VisitReason::closing));
  one.truth.ph = 8.3;
  Visit const opening = one.visit_after(180, bit(VisitReason::opening));
  CHECK(opening.decision.actions.cell_powered == true);
}

TEST_CASE("water that never balances is powered after the largest number of returns", "[sim][policy][unit]") {
  OnePool one = closing_by_date();
  one.visit_after(15, bit(VisitReason::closing));
  one.truth.ph = 8.3;
  one.visit_after(180, bit(VisitReason::opening));
  int returns = 0;
  while (one.record.stage == PoolStage::balancing && returns < 10) {
    one.visit_after(2, bit(VisitReason::return_visit));
    ++returns;
  }
  CHECK(returns == one.policy.year.largest_returns);
}

}  // namespace
}  // namespace brinecast::sim
