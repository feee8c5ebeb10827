// What practitioners know, as properties of whole seasons.

#include "small_fleet.hpp"

namespace brinecast::sim {
namespace {

TEST_CASE("a steady fleet under adaptive testing ends with fewer tests and the same water",
          "[sim][seasons][statistics]") {
  // Steady: little rain to dilute what was dosed.
  tools::SmallFleet setting{};
  setting["weather"] = "rain_factor = 0.1";
  PolicySpec fixed;
  fixed.tests[Measured::alkalinity].every_d = fixed.tests[Measured::salt].every_d = 7.0;
  fixed.tests[Measured::calcium].every_d = fixed.tests[Measured::cyanuric_acid].every_d = 14.0;
  PolicySpec adaptive = fixed;
  adaptive.tests.adaptive.used = true;
  adaptive.tests.adaptive.rarest_free_chlorine_d = 7.0;  // chlorine and pH at every visit
  auto const before = seasons(setting, fixed);
  auto const after = seasons(setting, adaptive);
  CHECK(count_tests(after) < 0.85 * count_tests(before));
  // Same weather and bathers: what remains is the noise of doses, a few hours in a hundred days.
  CHECK(mean(after, &PoolTally::free_chlorine_in_range) ==
        Approx(mean(before, &PoolTally::free_chlorine_in_range)).margin(0.02));
}

TEST_CASE("topping up by the unit's own drifting sensor overdoses salt, verifying first does not",
          "[sim][seasons][statistics]") {
  // Sensors whose gains spread by 20 %: half of the displays read low. Salt cannot leave but by water, so what they ask
  // for stays.
  tools::SmallFleet setting{};
  setting["model"] = "sensor_gain_spread = 0.2";
  PolicySpec verified;
  PolicySpec trusting;
  trusting.dosing.salt_check = SaltCheck::unit_display;
  auto const with_test = seasons(setting, verified);
  auto const by_display = seasons(setting, trusting);
  auto const highest_salt = [](std::vector<TaskResult> const& results) {
    float highest = 0.0F;
    for (TaskResult const& result : results) highest = std::max(highest, result.days.salt[4].back());
    return highest;
  };
  INFO("95 % quantile of salt at the end: verified " << highest_salt(with_test) << ", by display "
                                                     << highest_salt(by_display));
  CHECK(highest_salt(with_test) < 3.7F);
  CHECK(highest_salt(by_display) > highest_salt(with_test) + 0.3F);
}

TEST_CASE("where winters are cold, no rain dilutes and nobody closes, the learned output keeps chlorine from climbing",
          "[sim][seasons][statistics]") {
  // The bound is a figure of this fleet and no law: 0.1 % of the readings were above 10 mg/L when it was set, against 4
  // % with an output that only follows the learned demand.
  tools::SmallFleet setting{};
  setting["days"] = "365";
  setting["weather"] = "rain_factor = 0.0\nwarming = \"-14 K\"";
  auto const care = seasons(setting, PolicySpec{}, 1);
  int const all = count_visits(care, [](VisitRecord const& visit) { return !std::isnan(visit.free_chlorine_reading); });
  int const high = count_visits(care, [](VisitRecord const& visit) { return visit.free_chlorine_reading > 0.010F; });
  INFO(high << " of " << all << " readings above 10 mg/L");
  CHECK(high < 0.01 * all);
}

PolicySpec closing_policy() {
  PolicySpec policy;
  policy.year.closes = true;
  policy.year.close_on = std::chrono::November / 1;
  policy.year.open_on = std::chrono::April / 10;
  policy.year.winter_watch_d = 28.0;
  return policy;
}

/// October to August in a valley 14 K colder.
tools::SmallFleet cold_year() {
  tools::SmallFleet setting{};
  setting["first_day"] = "2027-10-01";
  setting["days"] = "320";
  setting["weather"] = "warming = \"-14 K\"";
  return setting;
}

TEST_CASE("not closing in a freezing climate breaks cells, closing thoroughly does not", "[sim][seasons][unit]") {
  // Pumps without a frost guard: with one, an open pool keeps its water moving.
  tools::SmallFleet setting = cold_year();
  setting["model"] = "pump_frost_guard_K = \"253.15 K\"";
  PolicySpec const open_all_year;
  auto const left_open = seasons(setting, open_all_year);
  auto const closed = seasons(setting, closing_policy());
  INFO("broken: left open " << sum(left_open, &PoolTally::freeze_breaks) << ", closed "
                            << sum(closed, &PoolTally::freeze_breaks));
  CHECK(sum(left_open, &PoolTally::freeze_breaks) > 0.0);
  CHECK(sum(closed, &PoolTally::freeze_breaks) == 0.0);
}

TEST_CASE("closing by bypass alone leaves the lines to the frost", "[sim][seasons][unit]") {
  PolicySpec careless = closing_policy();
  careless.year.how = Closing::bypass_only;
  CHECK(sum(seasons(cold_year(), careless), &PoolTally::freeze_breaks) > 0.0);
}

TEST_CASE("closed pools are opened again, and salt is added for what was drained", "[sim][seasons][unit]") {
  auto const closed = seasons(cold_year(), closing_policy());
  CHECK(count_reason(closed, VisitReason::closing) == 24 * 2);
  CHECK(count_reason(closed, VisitReason::opening) == 24 * 2);
  CHECK(count_visits(closed, [](VisitRecord const& visit) {
          return has(visit.reasons, VisitReason::opening) && visit.salt_added > 0.0F;
        }) > 24);
  CHECK(count_rule(closed, FiredRule::unit_powered) == 24 * 2);
}

TEST_CASE("powering the unit before the water is balanced costs the cell", "[sim][seasons][statistics]") {
  PolicySpec balanced = closing_policy();
  PolicySpec hasty = closing_policy();
  hasty.year.balance_first = false;
  auto const patient = seasons(cold_year(), balanced, 3);
  auto const powered = seasons(cold_year(), hasty, 3);
  double const patient_wear = 1.0 - mean(patient, &PoolTally::coating_left);
  double const hasty_wear = 1.0 - mean(powered, &PoolTally::coating_left);
  double const patient_scale = mean(patient, &PoolTally::largest_scale);
  double const hasty_scale = mean(powered, &PoolTally::largest_scale);
  INFO("wear: balanced first " << patient_wear << ", power first " << hasty_wear << "; scale: " << patient_scale << ", "
                               << hasty_scale);
  CHECK((hasty_wear > patient_wear || hasty_scale > patient_scale));
}

}  // namespace
}  // namespace brinecast::sim
