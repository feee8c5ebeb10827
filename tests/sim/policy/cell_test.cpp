#include <catch2/catch.hpp>

#include "models/cell/voltage.hpp"
#include "models/water/conductivity.hpp"
#include "one_pool.hpp"

namespace brinecast::sim {
namespace {

int baths(Visit const& visit) { return visit.decision.actions.acid_clean_cycles; }

TEST_CASE("a cell is inspected by days, by operating hours, or when its lamp is lit", "[sim][policy][unit]") {
  OnePool one;
  CHECK(one.visit_after(7).readings.scale_grade == -1);
  CHECK(one.visit_after(83).readings.scale_grade == 0);
  one.policy.cell.inspect_every_operating_h = 100.0;
  one.truth.cell_operating_h = 101.0;
  CHECK(one.visit_after(7).readings.scale_grade == 0);
  CHECK(one.visit_after(7).readings.scale_grade == -1);
  one.truth.warning_check_cell = true;
  CHECK(one.visit_after(7).readings.scale_grade == 0);
}

TEST_CASE("what an inspection shows decides on cleaning and on the number of baths", "[sim][policy][unit]") {
  OnePool one;
  one.truth.scale_grade = 1;
  CHECK(baths(one.visit_after(90)) == 0);
  one.truth.scale_grade = 2;
  Visit const flakes = one.visit_after(90);
  CHECK(baths(flakes) == 2);
  CHECK(has(flakes.decision.rules, FiredRule::cleaned_by_grade));
  one.truth.scale_grade = 3;
  CHECK(baths(one.visit_after(90)) == 3);
  one.policy.cell.clean_at_grade = 4;  // never
  CHECK(baths(one.visit_after(90)) == 0);
}

struct CleaningCase {
  char const* name;
  FiredRule rule;
  void (*arm)(CellSpec&);
  void (*cause)(OnePool&);
};

TEST_CASE("each cleaning rule alone cleans the cell, and without it the cell is left alone", "[sim][policy][unit]") {
  auto const rule = GENERATE(
      CleaningCase{"calendar", FiredRule::cleaned_by_calendar, [](CellSpec& c) { c.clean_every_d = 30.0; },
                   [](OnePool&) {}},
      CleaningCase{"operating hours", FiredRule::cleaned_by_operating_hours,
                   [](CellSpec& c) { c.clean_every_operating_h = 300.0; },
                   [](OnePool& one) { one.truth.cell_operating_h = 320.0; }},
      CleaningCase{"voltage", FiredRule::cleaned_by_voltage, [](CellSpec& c) { c.clean_at_voltage_rise = 0.1; },
                   [](OnePool& one) { one.truth.cell_voltage_V = 6.8; }},
      CleaningCase{"saturation", FiredRule::cleaned_by_saturation,
                   [](CellSpec& c) { c.clean_after_saturated_visits = 2; },
                   [](OnePool& one) {
                     one.truth.calcium_mol_per_m3 = 5.0;
                     one.truth.ph = 7.8;
                     one.truth.alkalinity_mol_per_m3 = 2.7;
                     one.truth.water_temperature_K = 303.15;
                   }},
      CleaningCase{"warning", FiredRule::cleaned_on_warning, [](CellSpec& c) { c.clean_on_warning = true; },
                   [](OnePool& one) { one.truth.warning_check_cell = true; }});
  CAPTURE(rule.name);
  for (bool const armed : {false, true}) {
    OnePool one;
    one.policy.tests[Measured::cell_voltage] = {TestMethod::meter, 0.0};
    one.policy.tests[Measured::calcium].every_d = 0.0;
    one.policy.tests[Measured::alkalinity].every_d = 0.0;
    one.policy.cell.replace_failed = false;
    if (armed) rule.arm(one.policy.cell);
    one.visit_after(7);
    rule.cause(one);
    one.visit_after(14);
    Visit const visit = one.visit_after(14);
    bool const cleaned = one.record.cell_cleaned_day > 0.0;
    CHECK(cleaned == armed);
    if (armed && baths(visit) > 0) CHECK(has(visit.decision.rules, rule.rule));
  }
}

TEST_CASE("cold or dilute water raises the voltage and does not pass for scale", "[sim][policy][unit]") {
  OnePool one;
  one.policy.tests[Measured::cell_voltage] = {TestMethod::meter, 0.0};
  one.policy.tests[Measured::salt] = {TestMethod::meter, 0.0};
  one.policy.tests[Measured::water_temperature] = {TestMethod::meter, 0.0};
  one.policy.cell.clean_at_voltage_rise = 0.05;
  one.policy.cell.replace_failed = false;
  // The voltage of a clean cell and of one whose plates are covered by a quarter, models/cell/voltage.hpp.
  auto const set_water = [&one](double temperature_K, double salt_kg_per_m3, double covered) {
    one.truth.water_temperature_K = temperature_K;
    one.truth.salt_kg_per_m3 = one.truth.unit_salt_kg_per_m3 = salt_kg_per_m3;
    one.truth.cell_voltage_V = models::cell_voltage_V<double>(
        {.conductivity_S_per_m =
             models::conductivity_S_per_m<double>({.salt_kg_per_m3 = salt_kg_per_m3,
                                                   .calcium_mol_per_m3 = one.truth.calcium_mol_per_m3,
                                                   .alkalinity_mol_per_m3 = one.truth.alkalinity_mol_per_m3,
                                                   .temperature_K = temperature_K}),
         .share_covered = covered,
         .coating_left = 1.0},
        models::Parameters{});
    return one.truth.cell_voltage_V;
  };
  double const warm_V = set_water(301.15, 3.4, 0.0);
  one.visit_after(7);
  double const cold_V = set_water(287.15, 2.9, 0.0);
  REQUIRE(cold_V > 1.05 * warm_V);
  CHECK_FALSE(has(one.visit_after(14).decision.rules, FiredRule::cleaned_by_voltage));
  REQUIRE(set_water(301.15, 3.4, 0.25) < cold_V);
  CHECK(has(one.visit_after(14).decision.rules, FiredRule::cleaned_by_voltage));
}

TEST_CASE("a cell gets the baths for which the van holds acid; without one it waits for the next visit",
          "[sim][policy][unit]") {
  OnePool one;
  one.policy.cell = CellSpec{};
  one.policy.cell.clean_every_d = 30.0;
  one.policy.cell.cycles_by_grade = {2, 2, 2, 2};
  one.start();
  SuppliesAtHand at_hand{.acid_mol_per_bath = 5.0};
  auto const with_acid = [&at_hand](double acid_mol) {
    at_hand.materials[index_of(Material::acid)] = acid_mol * bought_per_action(Material::acid);
    return at_hand;
  };
  VisitDecision const none = one.visit_after(31, bit(VisitReason::interval), with_acid(4.9)).decision;
  CHECK(none.actions.acid_clean_cycles == 0);
  CHECK_FALSE(has(none.tasks, VisitTask::clean_cell));
  CHECK(none.shortages == bit(Shortage::acid));
  VisitDecision const one_bath = one.visit_after(1, bit(VisitReason::interval), with_acid(9.0)).decision;
  CHECK(one_bath.actions.acid_clean_cycles == 1);
  CHECK(has(one_bath.rules, FiredRule::cleaned_by_calendar));
  CHECK(one_bath.shortages == bit(Shortage::acid));
  CHECK(one.visit_after(1, bit(VisitReason::interval), with_acid(10.0)).decision.actions.acid_clean_cycles == 0);
  VisitDecision const both = one.visit_after(30, bit(VisitReason::interval), with_acid(10.0)).decision;
  CHECK(both.actions.acid_clean_cycles == 2);
  CHECK(both.shortages == 0);
}

TEST_CASE("with acid enough a cell gets its baths whatever acid the water took before", "[sim][policy][unit]") {
  // The bath's acid is added to the water's and what is there compared with the sum: no dose may lose a bath to
  // rounding.
  int doses = 0;
  for (int i = 0; i < 200; ++i) {
    OnePool one;
    one.policy.cell = CellSpec{};
    one.policy.cell.clean_every_d = 30.0;
    one.policy.cell.cycles_by_grade = {1, 1, 1, 1};
    one.truth.ph = 7.9 + 0.001 * i;
    one.start();
    Visit const visit = one.visit_after(31, bit(VisitReason::interval), {.acid_mol_per_bath = 3.1 + 0.01 * (i % 7)});
    doses += visit.decision.actions.acid_mol > 0.0 ? 1 : 0;
    REQUIRE(baths(visit) == 1);
    REQUIRE(visit.decision.shortages == 0);
  }
  CHECK(doses == 200);
}

TEST_CASE("salt first: a lit lamp in water short of salt gets salt and a restart, and the cell stays shut",
          "[sim][policy][unit]") {
  OnePool one;
  one.truth.warning_check_cell = one.truth.warning_low_salt = true;
  one.truth.salt_kg_per_m3 = one.truth.unit_salt_kg_per_m3 = 2.2;
  one.truth.scale_grade = 2;
  Visit const visit = one.visit_after(7);
  CHECK(visit.decision.actions.salt_kg > 0.0);
  CHECK(visit.decision.actions.power_cycle);
  CHECK(visit.readings.scale_grade == -1);
  CHECK(baths(visit) == 0);
}

TEST_CASE("salt first: a lit lamp in cold water is left to the cold", "[sim][policy][unit]") {
  OnePool one;
  one.truth.warning_check_cell = true;
  one.truth.water_temperature_K = 286.15;
  Visit const visit = one.visit_after(7);
  CHECK(has(visit.decision.rules, FiredRule::cold_water));
  CHECK_FALSE(visit.decision.actions.power_cycle);
  CHECK(baths(visit) == 0);
}

TEST_CASE("salt first spares an innocent cell that clean first puts in acid", "[sim][policy][unit]") {
  OnePool one;
  one.truth.warning_check_cell = true;
  Visit const salt_first = one.visit_after(7);
  CHECK(has(salt_first.decision.rules, FiredRule::restarted));
  CHECK(baths(salt_first) == 0);
  one.policy.cell.warning_order = WarningOrder::clean_first;
  one.start();
  Visit const clean_first = one.visit_after(7);
  CHECK(has(clean_first.decision.rules, FiredRule::cleaned_on_warning));
  CHECK(baths(clean_first) == 1);
}

TEST_CASE("a dead cell that the water dusts anew after every cleaning is given up", "[sim][policy][unit]") {
  OnePool one;
  one.truth.warning_check_cell = true;
  one.truth.scale_grade = 1;
  int cleanings = 0, weeks = 0;
  bool replaced = false;
  for (; weeks < 10 && !replaced; ++weeks) {
    Visit const visit = one.visit_after(7);
    cleanings += baths(visit) > 0 ? 1 : 0;
    replaced = has(visit.decision.rules, FiredRule::failed_cell_replaced);
  }
  CHECK(replaced);
  CHECK(weeks <= 6);
  CHECK(cleanings >= 1);

  // Flakes again after a week are scale indeed.
  OnePool hard;
  hard.truth.warning_check_cell = true;
  hard.truth.scale_grade = 2;
  for (int week = 0; week < 10; ++week) {
    Visit const visit = hard.visit_after(7);
    CHECK(baths(visit) > 0);
    CHECK_FALSE(visit.decision.actions.replace_cell);
  }
}

TEST_CASE("no order of remedies gives up a cell for cold water or for want of salt", "[sim][policy][unit]") {
  for (bool const cold : {true, false}) {
    OnePool one;
    one.policy.cell.warning_order = WarningOrder::clean_first;
    one.start();
    one.truth.warning_check_cell = true;
    if (cold) one.truth.water_temperature_K = 283.15;
    if (!cold) one.truth.salt_kg_per_m3 = one.truth.unit_salt_kg_per_m3 = 2.0;
    for (int week = 0; week < 10; ++week) CHECK_FALSE(one.visit_after(7).decision.actions.replace_cell);
  }
}

TEST_CASE("salt first: a lit lamp on a dusted cell is reason enough to clean", "[sim][policy][unit]") {
  OnePool one;
  one.truth.warning_check_cell = true;
  one.truth.scale_grade = 1;
  CHECK(baths(one.visit_after(7)) == 1);
}

TEST_CASE("a lamp that no remedy puts out has the cell replaced, unless the policy never does", "[sim][policy][unit]") {
  for (bool const replaces : {true, false}) {
    OnePool one;
    one.policy.cell.replace_failed = replaces;
    one.truth.warning_check_cell = true;
    bool replaced = false;
    for (int i = 0; i < 3; ++i) replaced = one.visit_after(7).decision.actions.replace_cell || replaced;
    CHECK(replaced == replaces);
  }
}

TEST_CASE("visits in quick succession do not condemn a cell: the lamp has to stay for two weeks",
          "[sim][policy][unit]") {
  OnePool one;
  one.truth.warning_check_cell = true;
  for (int i = 0; i < 4; ++i) CHECK_FALSE(one.visit_after(3).decision.actions.replace_cell);
  CHECK(one.visit_after(3).decision.actions.replace_cell == false);
  CHECK(one.visit_after(3).decision.actions.replace_cell);
}

TEST_CASE("a cell is replaced in advance at its operating hours, once", "[sim][policy][unit]") {
  OnePool one;
  one.truth.cell_operating_h = 8000.0;
  CHECK_FALSE(one.visit_after(7).decision.actions.replace_cell);
  one.policy.cell.replace_after_operating_h = 7500.0;
  CHECK(one.visit_after(7).decision.actions.replace_cell);
  one.truth.cell_operating_h = 8100.0;
  CHECK_FALSE(one.visit_after(7).decision.actions.replace_cell);
}

}  // namespace
}  // namespace brinecast::sim
