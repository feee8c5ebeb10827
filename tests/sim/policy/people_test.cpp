#include <catch2/catch.hpp>
#include <cmath>

#include "one_pool.hpp"

namespace brinecast::sim {
namespace {

constexpr double warm_K = 301.15;

double mean_bathers(Pool const& pool, Season const& season, std::chrono::sys_days date, double highest_K) {
  double sum = 0.0;
  for (std::uint32_t i = 0; i < 2000; ++i)
    sum += bathers_of_day(pool, season, date, highest_K, {.seed = 4, .replicate = i});
  return sum / 2000;
}

TEST_CASE("bathers come by weekday, holiday and heat, and average what the pool list says",
          "[sim][policy][statistics]") {
  // Poisson means over 2000 draws, tolerance 5 standard errors: false alarms below 1e-5.
  Pool pool;
  pool.bathers_per_day = 2.0;
  Season season;
  std::chrono::sys_days const monday{std::chrono::year{2031} / 6 / 2};
  auto const check = [&](std::chrono::sys_days date, double highest_K, double expected) {
    CHECK(std::abs(mean_bathers(pool, season, date, highest_K) - expected) < 5 * std::sqrt(expected / 2000) + 1e-12);
  };
  check(monday, warm_K, 1.2);
  check(monday + std::chrono::days{5}, warm_K, 4.0);
  check(monday, 288.15, 0.0);
  check(monday + std::chrono::days{5}, 312.15, 8.0);
  season.holidays = {monday};
  check(monday, warm_K, 3.0);
  CHECK((5 * 0.6 + 2 * 2.0) / 7 == Approx(1.0));
}

TEST_CASE("owners help once a week at their diligence, and not where the policy leaves them out",
          "[sim][policy][unit]") {
  OnePool one;
  auto const helps = [&one](double diligence) {
    one.pool.owner_diligence = diligence;
    int days = 0;
    for (std::uint32_t day = 0; day < 700; ++day) {
      days += owner_care(one.policy, one.pool, static_cast<int>(day), {.seed = 2, .time = day}).fills_to_normal ? 1 : 0;
    }
    return days;
  };
  CHECK(helps(1.0) == 100);
  CHECK(helps(0.0) == 0);
  int const some = helps(0.5);
  CHECK(some > 25);  // binomial(100, 0.5): 5 standard deviations, false alarms below 1e-6
  CHECK(some < 75);
  one.policy.people.owners_help = false;
  CHECK(helps(1.0) == 0);
}

TEST_CASE("owners call about what they see, diligent ones sooner, and nobody calls about clear water",
          "[sim][policy][unit]") {
  OnePool one;
  auto const calls = [&one](PoolSight sight, double diligence) {
    one.pool.owner_diligence = diligence;
    int count = 0;
    for (std::uint32_t day = 0; day < 1000; ++day)
      count += owner_calls(one.policy, one.pool, sight, {.seed = 2, .time = day}) ? 1 : 0;
    return count;
  };
  CHECK(calls({}, 1.0) == 0);
  CHECK(calls({.warning_lit = true}, 1.0) > calls({.warning_lit = true}, 0.3));
  CHECK(calls({.algae_visible = true}, 0.0) > 0);
  one.policy.people.call_chance_per_day = 0.0;
  CHECK(calls({.cloudy = true}, 1.0) == 0);
}

TEST_CASE("complaints and cancellations can be switched off", "[sim][policy][unit]") {
  PolicySpec policy;
  policy.people.complaint_chance_per_day = 1.0;
  policy.people.cancel_chance_per_complaint = 1.0;
  PoolSight const cloudy{.cloudy = true};
  CHECK(customer_mood(policy, cloudy, {}).complains);
  CHECK_FALSE(customer_mood(policy, cloudy, {}).cancels);
  CHECK_FALSE(customer_mood(policy, {}, {}).complains);
  policy.people.cancellations = true;
  CHECK(customer_mood(policy, cloudy, {}).cancels);
  policy.people.complaints = false;
  CHECK_FALSE(customer_mood(policy, cloudy, {}).complains);
}

TEST_CASE("a policy's fees replace the pool's where it states them", "[sim][policy][unit]") {
  PolicySpec policy;
  Pool pool;
  pool.fee_per_month = 120.0;
  pool.fee_per_visit = 10.0;
  CHECK(fee_per_month(policy, pool) == 120.0);
  CHECK(fee_per_visit(policy, pool, true) == 0.0);
  policy.fees = {.per_month = 90.0, .per_visit = 15.0, .per_call_out = 60.0};
  CHECK(fee_per_month(policy, pool) == 90.0);
  CHECK(fee_per_visit(policy, pool, false) == 15.0);
  CHECK(fee_per_visit(policy, pool, true) == 60.0);
}

}  // namespace
}  // namespace brinecast::sim
