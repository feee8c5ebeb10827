#include <catch2/catch.hpp>
#include <cmath>
#include <set>

#include "one_pool.hpp"

namespace brinecast::sim {
namespace {

TEST_CASE("tests follow their intervals", "[sim][policy][unit]") {
  OnePool one;
  Visit const first = one.visit_after(7);
  CHECK(first.readings.calcium_mol_per_m3.has_value());  // never read before
  Visit const second = one.visit_after(7);
  CHECK(second.readings.free_chlorine_kg_per_m3.has_value());
  CHECK_FALSE(second.readings.calcium_mol_per_m3.has_value());
  CHECK_FALSE(second.readings.alkalinity_mol_per_m3.has_value());
  CHECK(one.visit_after(21).readings.alkalinity_mol_per_m3.has_value());
}

TEST_CASE("a method decides what a test costs in time and money", "[sim][policy][unit]") {
  WorkSpec const work;
  Prices const prices;
  TestPlan kits;
  TestPlan strips;
  for (Measured const quantity : {Measured::free_chlorine, Measured::ph, Measured::alkalinity}) {
    kits[quantity] = TestMethod::kit;
    strips[quantity] = TestMethod::strip;
  }
  CHECK(testing_s(work, kits) == 3 * work.test_kit_s);
  CHECK(testing_s(work, strips) == work.test_strip_s);
  CHECK(testing_cost(prices, kits) == Approx(3 * prices.test_kit_each));
  CHECK(testing_cost(prices, strips) == Approx(prices.test_strip_each));
}

TEST_CASE("readings scatter about the truth with the method's own error", "[sim][policy][statistics]") {
  // 4000 draws: the mean lies within 5 standard errors of truth + bias, the standard deviation within 8 % (7 of its
  // standard errors); false alarms below 1e-5 for all methods together.
  constexpr int draws = 4000;
  double const truth = 0.003;
  for (auto const& error :
       {ReadingError{.sd_relative = 0.1, .sd = 0.0002}, ReadingError{.bias_relative = 0.2, .sd = 0.0005},
        ReadingError{.bias = 0.0004, .sd_relative = 0.05}}) {
    double sum = 0.0;
    double squares = 0.0;
    for (std::uint32_t i = 0; i < draws; ++i) {
      double const reading = read_with_error(error, truth, {.seed = 3, .purpose = Purpose::test_error, .time = i});
      sum += reading;
      squares += reading * reading;
    }
    double const mean = sum / draws;
    double const sd = std::hypot(error.sd_relative * truth, error.sd);
    CHECK(std::abs(mean - (truth * (1 + error.bias_relative) + error.bias)) < 5 * sd / std::sqrt(draws));
    CHECK(std::sqrt(squares / draws - mean * mean) == Approx(sd).epsilon(0.08));
  }
}

TEST_CASE("a strip shows steps, never less than nothing", "[sim][policy][unit]") {
  ReadingError const strip{.sd = 0.001, .step = 0.0005};
  for (std::uint32_t i = 0; i < 200; ++i) {
    double const reading = read_with_error(strip, 0.0004, {.seed = 5, .time = i});
    CHECK(reading >= 0.0);
    CHECK(reading / 0.0005 == Approx(std::round(reading / 0.0005)).margin(1e-9));
  }
}

TEST_CASE("the same hour brings the same luck, another hour another", "[sim][policy][unit]") {
  PolicySpec const policy;
  TestPlan plan;
  plan[Measured::ph] = TestMethod::meter;
  TrueWater const truth;
  WaterReadings a;
  WaterReadings b;
  WaterReadings c;
  measure(policy.tests, plan, truth, {.seed = 1, .purpose = Purpose::test_error, .time = 10}, a);
  measure(policy.tests, plan, truth, {.seed = 1, .purpose = Purpose::test_error, .time = 10}, b);
  measure(policy.tests, plan, truth, {.seed = 1, .purpose = Purpose::test_error, .time = 11}, c);
  CHECK(*a.ph == *b.ph);
  CHECK(*a.ph != *c.ph);
}

TEST_CASE("every typical method is worse in strips than in meters", "[sim][policy][unit]") {
  auto const spread = [](TestMethod method, Measured quantity, double truth) {
    ReadingError const& error =
        typical_reading_errors()[static_cast<std::size_t>(method)][static_cast<std::size_t>(quantity)];
    return std::hypot(error.sd_relative * truth, error.sd, error.step / std::sqrt(12.0));
  };
  CHECK(spread(TestMethod::strip, Measured::free_chlorine, 0.003) >
        spread(TestMethod::kit, Measured::free_chlorine, 0.003));
  CHECK(spread(TestMethod::kit, Measured::free_chlorine, 0.003) > 0.0);
  for (Measured const quantity :
       {Measured::ph, Measured::alkalinity, Measured::calcium, Measured::cyanuric_acid, Measured::salt}) {
    double const truth = quantity == Measured::ph ? 7.5 : quantity == Measured::cyanuric_acid ? 0.4 : 2.5;
    CHECK(spread(TestMethod::strip, quantity, truth) > spread(TestMethod::meter, quantity, truth));
  }
}

TEST_CASE("adaptive testing makes steady tests rarer and returns when a reading leaves its band",
          "[sim][policy][unit]") {
  auto const tests_of_a_year = [](OnePool& one) {
    int tests = 0;
    for (int i = 0; i < 52; ++i) tests += one.visit_after(7).readings.alkalinity_mol_per_m3 ? 1 : 0;
    return tests;
  };
  OnePool fixed;
  OnePool adaptive;
  adaptive.policy.tests.adaptive.used = true;
  CHECK(tests_of_a_year(fixed) == 13);
  CHECK(tests_of_a_year(adaptive) <= 8);
  CHECK(adaptive.record[Measured::alkalinity].learned_every_d == 60.0);
  adaptive.truth.alkalinity_mol_per_m3 = 1.0;
  bool denser = false;
  for (int i = 0; i < 9; ++i)
    denser = denser || has(adaptive.visit_after(7).decision.rules, FiredRule::test_made_denser);
  CHECK(denser);
  CHECK(adaptive.record[Measured::alkalinity].learned_every_d == 28.0);
}

TEST_CASE("adaptive testing does not make rarer what has no band to stay in", "[sim][policy][unit]") {
  OnePool one;
  one.policy.tests.adaptive.used = true;
  one.policy.tests[Measured::cell_voltage] = {TestMethod::meter, 0.0};
  for (int i = 0; i < 20; ++i) {
    WaterReadings const readings = one.visit_after(7).readings;
    CHECK(readings.water_temperature_K);
    CHECK(readings.unit_salt_kg_per_m3);
    CHECK(readings.cell_voltage_V);
  }
}

TEST_CASE("adaptive testing never tests chlorine and pH more rarely than its limit", "[sim][policy][unit]") {
  OnePool one;
  one.policy.tests.adaptive.used = true;
  int last = 0;
  for (int week = 1; week <= 52; ++week) {
    if (!one.visit_after(7).readings.ph) continue;
    CHECK(week - last <= 2);
    last = week;
  }
  CHECK(last >= 51);
}

TEST_CASE("every reason, rule and shortage has its own words", "[sim][policy][unit]") {
  std::set<std::string_view> seen;
  for (std::uint32_t i = 0; i < visit_reason_count; ++i) seen.insert(words(static_cast<VisitReason>(i)));
  for (std::uint32_t i = 0; i < fired_rule_count; ++i) seen.insert(words(static_cast<FiredRule>(i)));
  for (std::uint32_t i = 0; i < shortage_count; ++i) seen.insert(words(static_cast<Shortage>(i)));
  CHECK(seen.size() == visit_reason_count + fired_rule_count + shortage_count);
  CHECK(seen.count("") == 0);
  CHECK(words_of_reasons(bit(VisitReason::rain) | bit(VisitReason::call_out)) ==
        "the owner called; heavy rain had fallen");
}

TEST_CASE("more work takes more time", "[sim][policy][unit]") {
  OnePool plain;
  double const plain_s = plain.visit_after(7).decision.actions.service_s;
  OnePool busy;
  busy.truth.salt_kg_per_m3 = 2.0;
  busy.truth.ph = 8.2;
  Visit const visit = busy.visit_after(7);
  WorkSpec const work;
  CHECK(visit.decision.actions.service_s - plain_s ==
        Approx(work.salt_s + visit.decision.actions.salt_kg * work.salt_s_per_kg + work.acid_s)
            .margin(work.output_s + work.pump_hours_s));
}

}  // namespace
}  // namespace brinecast::sim
