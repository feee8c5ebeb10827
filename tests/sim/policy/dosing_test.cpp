#include <catch2/catch.hpp>

#include "one_pool.hpp"

namespace brinecast::sim {
namespace {

TEST_CASE("water inside every band gets no dose", "[sim][policy][unit]") {
  OnePool one;
  VisitActions const actions = one.visit_after(7).decision.actions;
  CHECK(actions.salt_kg == 0.0);
  CHECK(actions.acid_mol == 0.0);
  CHECK(actions.bicarbonate_mol == 0.0);
  CHECK(actions.calcium_mol == 0.0);
  CHECK(actions.cyanuric_acid_mol == 0.0);
  CHECK(actions.liquid_chlorine_kg == 0.0);
  CHECK(actions.drain_m3 == 0.0);
}

TEST_CASE("salt is topped up by the stated share of the verified deficit", "[sim][policy][unit]") {
  OnePool one;
  one.truth.salt_kg_per_m3 = 2.6;
  Visit const visit = one.visit_after(7);
  CHECK(visit.decision.actions.salt_kg == Approx(0.9 * 0.6 * 50.0));
  CHECK(has(visit.decision.rules, FiredRule::salt_topped_up));
  CHECK(visit.decision.expected_salt_kg_per_m3 == Approx(2.6 + 0.54));
  one.policy.dosing.salt_top_up_share = 0.5;
  one.start();
  CHECK(one.visit_after(7).decision.actions.salt_kg == Approx(0.5 * 0.6 * 50.0));
}

TEST_CASE("salt just inside its band is left alone", "[sim][policy][unit]") {
  OnePool one;
  one.truth.salt_kg_per_m3 = 2.81;
  CHECK(one.visit_after(7).decision.actions.salt_kg == 0.0);
}

TEST_CASE("a unit that shows little salt brings salt only where its display is trusted", "[sim][policy][unit]") {
  OnePool one;
  one.truth.unit_salt_kg_per_m3 = 2.4;  // the water holds 3.2
  Visit const verified = one.visit_after(7);
  CHECK(verified.readings.salt_kg_per_m3.has_value());
  CHECK(verified.decision.actions.salt_kg == 0.0);
  CHECK(has(verified.decision.rules, FiredRule::salt_found_good));
  one.policy.dosing.salt_check = SaltCheck::unit_display;
  one.start();
  Visit const trusted = one.visit_after(7);
  CHECK(trusted.decision.actions.salt_kg == Approx(0.9 * 0.8 * 50.0));
  CHECK(has(trusted.decision.rules, FiredRule::salt_by_unit_display));
}

TEST_CASE("salt is not dosed twice before it has mixed", "[sim][policy][unit]") {
  OnePool one;
  one.truth.salt_kg_per_m3 = one.truth.unit_salt_kg_per_m3 = 2.2;
  CHECK(one.visit_after(7).decision.actions.salt_kg > 0.0);
  CHECK(one.visit_after(1, bit(VisitReason::call_out)).decision.actions.salt_kg == 0.0);
  CHECK(one.visit_after(2, bit(VisitReason::call_out)).decision.actions.salt_kg > 0.0);
}

TEST_CASE("a dose ends with what the van holds, and the log says what was lacking", "[sim][policy][unit]") {
  OnePool one;
  one.truth.salt_kg_per_m3 = one.truth.unit_salt_kg_per_m3 = 2.6;
  one.truth.ph = 8.2;
  one.truth.calcium_mol_per_m3 = 1.0;
  one.truth.cyanuric_acid_mol_per_m3 = 0.1;
  one.truth.alkalinity_mol_per_m3 = 0.9;
  one.truth.free_chlorine_kg_per_m3 = 0.0;
  std::uint32_t every_bit = 0;
  for (Shortage const shortage : {Shortage::salt, Shortage::acid, Shortage::bicarbonate, Shortage::calcium_chloride,
                                  Shortage::cyanuric_acid, Shortage::liquid_chlorine}) {
    every_bit |= bit(shortage);
  }
  VisitActions const whole = one.visit_after(28).decision.actions;
  SuppliesAtHand at_hand;
  SECTION("half of each") {
    at_hand.materials = materials_of(whole, 0.0);
    for (double& amount : at_hand.materials) amount /= 2.0;
    one.start();
    VisitDecision const half = one.visit_after(28, bit(VisitReason::interval), at_hand).decision;
    CHECK(half.shortages == every_bit);
    MaterialAmounts const used = materials_of(half.actions, 0.0);
    for (std::size_t m = 0; m < material_count; ++m) CHECK(used[m] == Approx(at_hand.materials[m]));
    CHECK(half.expected_salt_kg_per_m3 == Approx(2.6 + whole.salt_kg / 2.0 / 50.0));
  }
  SECTION("nothing at all: nothing is done, and the next visit asks again") {
    at_hand.materials = {};
    one.start();
    VisitDecision const none = one.visit_after(28, bit(VisitReason::interval), at_hand).decision;
    CHECK(none.shortages == every_bit);
    for (double const used : materials_of(none.actions, 0.0)) CHECK(used == 0.0);
    for (VisitTask const task : {VisitTask::salt, VisitTask::acid, VisitTask::bicarbonate, VisitTask::calcium,
                                 VisitTask::cyanuric_acid, VisitTask::liquid_chlorine}) {
      CHECK_FALSE(has(none.tasks, task));
    }
    CHECK(one.visit_after(1, bit(VisitReason::call_out)).decision.actions.salt_kg == Approx(whole.salt_kg));
  }
}

TEST_CASE("the largest single dose cuts every dose and the log says so", "[sim][policy][unit]") {
  OnePool one;
  one.truth.salt_kg_per_m3 = 0.5;
  one.truth.free_chlorine_kg_per_m3 = 0.0;
  one.truth.alkalinity_mol_per_m3 = 0.4;
  one.truth.calcium_mol_per_m3 = 0.5;
  one.truth.cyanuric_acid_mol_per_m3 = 0.0;
  one.policy.dosing.largest_free_chlorine_raise_kg_per_m3 = 0.001;
  Visit const visit = one.visit_after(7);
  DosingSpec const& dosing = one.policy.dosing;
  CHECK(visit.decision.actions.salt_kg == Approx(dosing.largest_salt_raise_kg_per_m3 * 50.0));
  CHECK(visit.decision.actions.liquid_chlorine_kg == Approx(0.001 * 50.0));
  CHECK(visit.decision.actions.bicarbonate_mol == Approx(dosing.largest_alkalinity_raise_mol_per_m3 * 50.0));
  CHECK(visit.decision.actions.calcium_mol == Approx(dosing.largest_calcium_raise_mol_per_m3 * 50.0));
  CHECK(visit.decision.actions.cyanuric_acid_mol == Approx(dosing.largest_cyanuric_acid_raise_mol_per_m3 * 50.0));
  CHECK(has(visit.decision.rules, FiredRule::dose_limited));
}

TEST_CASE("acid for pH 8.0 to 7.5 is the amount of the general geochemical code", "[sim][policy][published]") {
  // IPhreeqc, phreeqc.dat: 25 degC, calcium hardness 300, NaCl 3200, alkalinity 100 mg/L as CaCO3, 50 m3, with 50 mg/L
  // of cyanuric acid: 0.617 L of 31.45 % acid, 10.006 mol/L.
  OnePool one;
  one.truth = {.free_chlorine_kg_per_m3 = 0.003,
               .ph = 8.0,
               .alkalinity_mol_per_m3 = 1.998,
               .calcium_mol_per_m3 = 2.997,
               .cyanuric_acid_mol_per_m3 = 0.3874,
               .salt_kg_per_m3 = 3.2,
               .unit_salt_kg_per_m3 = 3.2,
               .water_temperature_K = 298.15};
  CHECK(one.visit_after(7).decision.actions.acid_mol == Approx(0.617 * 10.006).epsilon(0.05));
}

TEST_CASE("acid is for pH above its band, or for alkalinity above its band", "[sim][policy][unit]") {
  OnePool one;
  one.truth.ph = 7.7;
  CHECK(one.visit_after(7).decision.actions.acid_mol == 0.0);
  one.truth.alkalinity_mol_per_m3 = 3.2;
  one.pass_days(28);
  Visit const lowered = one.visit();
  CHECK(lowered.decision.actions.acid_mol > 0.0);
  CHECK(has(lowered.decision.rules, FiredRule::acid_for_alkalinity));
}

TEST_CASE("acid water or little alkalinity gets bicarbonate", "[sim][policy][unit]") {
  OnePool one;
  one.truth.alkalinity_mol_per_m3 = 1.0;
  CHECK(one.visit_after(7).decision.actions.bicarbonate_mol == Approx(0.6 * 50.0));
  OnePool other;
  other.truth.alkalinity_mol_per_m3 = 1.3;
  other.truth.ph = 7.0;
  CHECK(other.visit_after(7).decision.actions.bicarbonate_mol == Approx(0.3 * 50.0));
}

TEST_CASE("one reading of alkalinity asks for bicarbonate once, however long the water stays acid",
          "[sim][policy][unit]") {
  OnePool one;
  one.truth.alkalinity_mol_per_m3 = 1.3;
  one.truth.ph = 7.0;
  CHECK(one.visit_after(7).decision.actions.bicarbonate_mol == Approx(0.3 * 50.0));
  one.policy.tests[Measured::alkalinity].every_d = never;
  for (int week = 0; week < 4; ++week) CHECK(one.visit_after(7).decision.actions.bicarbonate_mol == 0.0);
}

TEST_CASE("stabiliser dissolves over days, so it is not dosed again before its wait", "[sim][policy][unit]") {
  OnePool one;
  one.policy.tests[Measured::cyanuric_acid].every_d = 0.0;
  one.truth.cyanuric_acid_mol_per_m3 = 0.1;
  CHECK(one.visit_after(7).decision.actions.cyanuric_acid_mol > 0.0);
  CHECK(one.visit_after(7).decision.actions.cyanuric_acid_mol == 0.0);
  CHECK(one.visit_after(7).decision.actions.cyanuric_acid_mol > 0.0);
}

TEST_CASE("water is drained only where the policy allows it and the fill water is better", "[sim][policy][unit]") {
  OnePool one;
  one.truth.salt_kg_per_m3 = 5.0;
  CHECK(one.visit_after(7).decision.actions.drain_m3 == 0.0);
  one.policy.dosing.largest_drain_share = 0.25;
  one.start();
  CHECK(one.visit_after(7).decision.actions.drain_m3 == Approx(0.25 * 50.0));
  one.policy.dosing.largest_drain_share = 0.9;
  one.start();
  CHECK(one.visit_after(7).decision.actions.drain_m3 == Approx((5.0 - 3.2) / 5.0 * 50.0));
  one.fill.salt_kg_per_m3 = 3.3;
  one.start();
  CHECK(one.visit_after(7).decision.actions.drain_m3 == 0.0);
}

TEST_CASE("liquid chlorine lifts a low reading to the target, and shocks cloudy water by its stabiliser",
          "[sim][policy][unit]") {
  OnePool one;
  one.truth.free_chlorine_kg_per_m3 = 0.0005;
  CHECK(one.visit_after(7).decision.actions.liquid_chlorine_kg == Approx(0.0025 * 50.0));
  one.truth.free_chlorine_kg_per_m3 = 0.002;
  CHECK(one.visit_after(7).decision.actions.liquid_chlorine_kg == 0.0);
  one.truth.cloudy = true;
  // 0.39 mol/m3 of stabiliser are 50.3 g/m3.
  CHECK(one.visit_after(7).decision.actions.liquid_chlorine_kg == Approx((0.3 * 0.39 * 0.129074 - 0.002) * 50.0));
  one.policy.dosing.shock_per_cyanuric_acid = 0.0;
  CHECK(one.visit_after(7).decision.actions.liquid_chlorine_kg == Approx(0.004 * 50.0));
}

TEST_CASE("the chlorine target follows the stabiliser that was read", "[sim][policy][unit]") {
  OnePool one;
  one.truth.cyanuric_acid_mol_per_m3 = 0.62;  // 80 mg/L
  one.truth.free_chlorine_kg_per_m3 = 0.0005;
  CHECK(one.visit_after(7).decision.actions.liquid_chlorine_kg == Approx((0.05 * 0.62 * 0.129074 - 0.0005) * 50.0));
}

TEST_CASE(
    "the smaller the share of the deficit that is topped up, the more rarely a meter's error overshoots the target",
    "[sim][policy][unit]") {
  auto const overshoots = [](double share) {
    PolicySpec policy;
    policy.tests[Measured::salt] = {TestMethod::meter, 0.0};
    policy.dosing.salt_top_up_share = share;
    int count = 0;
    for (std::uint32_t i = 0; i < 400; ++i) {
      OnePool one(policy);
      one.truth.salt_kg_per_m3 = one.truth.unit_salt_kg_per_m3 = 2.5;
      one.pass_days(7);
      DrawKey const key{.seed = 7, .pool = i};
      Visit const visit = visit_pool(one.policy, one.pool, one.fill, one.record, one.truth, one.today(), 1, key);
      count += 2.5 + visit.decision.actions.salt_kg / 50.0 > 3.2 + 1e-9 ? 1 : 0;
    }
    return count;
  };
  // The same luck for all three, so the order is certain and only its strictness is a matter of the 400 draws.
  int const full = overshoots(1.0);
  int const usual = overshoots(0.9);
  int const cautious = overshoots(0.7);
  CHECK(full > usual);
  CHECK(usual > cautious);
  CHECK(cautious < 400 / 10);
}

}  // namespace
}  // namespace brinecast::sim
