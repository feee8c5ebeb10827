#include <catch2/catch.hpp>

#include "one_pool.hpp"

namespace brinecast::sim {
namespace {

using std::chrono::August;
using std::chrono::June;
using std::chrono::March;
using std::chrono::November;

TEST_CASE("a fixed interval asks for a visit on its day and not before", "[sim][policy][unit]") {
  OnePool one;
  one.pass_days(6);
  CHECK(one.reasons() == 0);
  one.pass_days(1);
  CHECK(one.reasons() == bit(VisitReason::interval));
  one.visit();
  CHECK(next_due_day(one.policy, one.pool, one.record, one.today()) == 14.0);
}

TEST_CASE("a visit a day or two late keeps its weekday, one half an interval late starts a new rhythm",
          "[sim][policy][unit]") {
  OnePool one;
  one.visit_after(9);
  CHECK(next_due_day(one.policy, one.pool, one.record, one.today()) == 14.0);
  one.visit_after(10);  // day 19, five days late
  CHECK(next_due_day(one.policy, one.pool, one.record, one.today()) == 26.0);
}

TEST_CASE("a rule for a season changes the interval on its dates only", "[sim][policy][unit]") {
  OnePool one;
  one.policy.visits.rules = {every(3.5)};
  one.policy.visits.rules[0].dates = {June / 1, August / 31};
  CHECK(one.interval_d() == 7.0);  // 1 March
  one.pass_days(92);               // 1 June
  CHECK(one.interval_d() == 3.5);
  one.pass_days(92);  // 1 September
  CHECK(one.interval_d() == 7.0);
  one.policy.visits.rules[0].dates = {November / 1, March / 15};  // over the new year
  CHECK(one.interval_d() == 7.0);
  one.pass_days(61);
  CHECK(one.interval_d() == 3.5);
}

TEST_CASE("a rule for a class of pools leaves other pools alone", "[sim][policy][unit]") {
  OnePool one;
  one.policy.visits.rules = {every(2.0)};
  one.policy.visits.rules[0].pool_class = "holiday let";
  CHECK(one.interval_d() == 7.0);
  one.pool.pool_class = "holiday let";
  CHECK(one.interval_d() == 2.0);
}

TEST_CASE("a rule on water temperature follows the last reading", "[sim][policy][unit]") {
  OnePool one;
  one.policy.visits.rules = {every(4.0)};
  one.policy.visits.rules[0].water_above_K = 299.15;
  one.visit_after(7);
  CHECK(one.interval_d() == 7.0);
  one.truth.water_temperature_K = 301.15;
  one.visit_after(7);
  CHECK(one.interval_d() == 4.0);
}

TEST_CASE("a rule on air temperature follows the mean of the last week and is off while nothing is known",
          "[sim][policy][unit]") {
  OnePool one;
  one.policy.visits.rules = {every(14.0)};
  one.policy.visits.rules[0].air_below_K = 285.15;
  CHECK(one.interval_d() == 7.0);
  one.pass_days(7, 280.15);
  CHECK(one.interval_d() == 14.0);
  one.pass_days(7, 295.15);
  CHECK(one.interval_d() == 7.0);
}

TEST_CASE("of two rules that hold the first decides", "[sim][policy][unit]") {
  OnePool one;
  one.policy.visits.rules = {every(5.0), every(3.0)};
  CHECK(one.interval_d() == 5.0);
  CHECK(matching_rule(one.policy, one.pool, one.record, one.today()) == 0);
}

TEST_CASE("steady readings lengthen an adaptive interval up to its limit, drift shortens it down to its limit",
          "[sim][policy][unit]") {
  OnePool one;
  one.policy.visits.adaptive = {.used = true, .shortest_d = 4.0, .longest_d = 10.0, .steady_visits = 2};
  one.visit_after(7);
  CHECK(one.interval_d() == 7.0);
  CHECK(has(one.visit_after(7).decision.rules, FiredRule::interval_lengthened));
  CHECK(one.interval_d() == Approx(7.0 * 1.3));
  for (int i = 0; i < 6; ++i) one.visit_after(10);
  CHECK(one.interval_d() == 10.0);
  one.truth.ph = 8.1;
  CHECK(has(one.visit_after(10).decision.rules, FiredRule::interval_shortened));
  CHECK(one.interval_d() == Approx(6.0));
  for (int i = 0; i < 6; ++i) one.visit_after(6);
  CHECK(one.interval_d() == 4.0);
}

TEST_CASE("an adaptive interval that is off never moves", "[sim][policy][unit]") {
  OnePool one;
  for (int i = 0; i < 8; ++i) one.visit_after(7);
  CHECK(one.interval_d() == 7.0);
}

struct TriggerCase {
  char const* name;
  VisitReason reason;
  void (*arm)(VisitTriggers&);
  void (*cause)(OnePool&);
};

TEST_CASE("each trigger alone brings a visit forward, for its own reason, and not when it is off",
          "[sim][policy][unit]") {
  auto const trigger = GENERATE(
      TriggerCase{"rain", VisitReason::rain, [](VisitTriggers& t) { t.rain_m = 0.04; },
                  [](OnePool& one) { one.rain_m[9] = one.rain_m[10] = 0.025; }},
      TriggerCase{"heat", VisitReason::heat, [](VisitTriggers& t) { t.heat_K = 308.15; },
                  [](OnePool& one) { one.air_highest_K[8] = one.air_highest_K[9] = one.air_highest_K[10] = 310.15; }},
      TriggerCase{"bathers", VisitReason::bathers, [](VisitTriggers& t) { t.bathers = 20.0; },
                  [](OnePool& one) { report_bathers(one.record, 9, 25.0); }},
      TriggerCase{"warning", VisitReason::warning, [](VisitTriggers& t) { t.warning = true; },
                  [](OnePool& one) { report_warning(one.record); }});
  CAPTURE(trigger.name);
  OnePool one;
  one.visit_after(7);
  one.pass_days(4);
  trigger.cause(one);
  CHECK(one.reasons() == 0);
  trigger.arm(one.policy.visits.triggers);
  CHECK(one.reasons() == bit(trigger.reason));
  one.policy.visits.triggers.shortest_gap_d = 6.0;
  CHECK(one.reasons() == 0);
}

TEST_CASE("rain that fell before the last visit does not trigger another", "[sim][policy][unit]") {
  OnePool one;
  one.policy.visits.triggers.rain_m = 0.04;
  one.policy.visits.triggers.rain_days = 7;
  one.pass_days(7);
  one.rain_m[6] = 0.06;
  one.visit();
  one.pass_days(3);
  CHECK(one.reasons() == 0);
}

TEST_CASE("a triggered visit early in the interval leaves the rhythm, a late one replaces the regular visit",
          "[sim][policy][unit]") {
  OnePool one;
  one.visit_after(7);
  one.visit_after(2, bit(VisitReason::rain));
  CHECK(next_due_day(one.policy, one.pool, one.record, one.today()) == 14.0);
  one.visit_after(4, bit(VisitReason::call_out));  // day 13
  CHECK(next_due_day(one.policy, one.pool, one.record, one.today()) == 21.0);
}

TEST_CASE("a remote reading out of its band asks for a visit, one inside does not", "[sim][policy][unit]") {
  OnePool one;
  one.policy.visits.remote.used = true;
  one.visit_after(7);
  one.pass_days(2);
  REQUIRE(wants_remote_reading(one.policy, one.record, one.today()));
  read_remotely(one.policy, one.record, one.truth, one.today(), {});
  CHECK(one.reasons() == 0);
  CHECK_FALSE(wants_remote_reading(one.policy, one.record, one.today()));
  one.pass_days(1);
  one.truth.free_chlorine_kg_per_m3 = 0.0002;
  read_remotely(one.policy, one.record, one.truth, one.today(), {});
  CHECK(one.reasons() == bit(VisitReason::remote_reading));
}

TEST_CASE("a remote reading sets the output from afar only where the policy says so", "[sim][policy][unit]") {
  OnePool one;
  one.policy.visits.remote.used = true;
  one.truth.free_chlorine_kg_per_m3 = 0.0015;
  one.pass_days(2);
  CHECK_FALSE(read_remotely(one.policy, one.record, one.truth, one.today(), {}));
  one.policy.visits.remote.set_output = true;
  auto const setting = read_remotely(one.policy, one.record, one.truth, one.today(), {});
  REQUIRE(setting);
  CHECK(*setting > 0.5);
}

TEST_CASE("planning sees the mean interval of the season's calendar", "[sim][policy][unit]") {
  OnePool one;
  CHECK(typical_interval_d(one.policy, one.pool, one.season) == Approx(7.0));
  one.policy.visits.rules = {every(3.5)};
  one.policy.visits.rules[0].dates = {June / 1, August / 31};
  // 92 of 365 days at twice the visits
  CHECK(typical_interval_d(one.policy, one.pool, one.season) == Approx(365.0 / (273.0 / 7.0 + 92.0 / 3.5)));
  CHECK(typical_service_s(one.policy, one.pool, one.season) > 600.0);
  CHECK(typical_load_kg(one.policy, one.pool, one.season) > 0.5);
}

}  // namespace
}  // namespace brinecast::sim
