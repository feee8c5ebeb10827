// Each kind of rule alone changes the season, in the expected direction, against the same weather and luck.

#include "small_fleet.hpp"

namespace brinecast::sim {
namespace {

tools::SmallFleet const warm{};

/// The default care, simulated once.
std::vector<TaskResult> const& usual() {
  static std::vector<TaskResult> const results = seasons(warm, PolicySpec{});
  return results;
}

template <class Change>
std::vector<TaskResult> changed(Change const& change, tools::SmallFleet const& setting = warm) {
  PolicySpec policy;
  change(policy);
  return seasons(setting, policy);
}

TEST_CASE("rarer visits mean fewer visits and no better water", "[sim][seasons][unit]") {
  auto const rare = changed([](PolicySpec& p) { p.visits.interval_d = 21.0; });
  CHECK(sum(rare, &PoolTally::visits) < 0.6 * sum(usual(), &PoolTally::visits));
  CHECK(mean(rare, &PoolTally::free_chlorine_in_range) <= mean(usual(), &PoolTally::free_chlorine_in_range) + 0.01);
}

TEST_CASE("a summer rule adds visits in summer", "[sim][seasons][unit]") {
  auto const summer = changed([](PolicySpec& p) {
    VisitRule rule;
    rule.interval_d = 3.5;
    rule.dates = {std::chrono::June / 1, std::chrono::August / 31};
    p.visits.rules = {rule};
  });
  CHECK(sum(summer, &PoolTally::visits) > 1.1 * sum(usual(), &PoolTally::visits));
}

TEST_CASE("triggers for rain and heat make their own visits", "[sim][seasons][unit]") {
  auto const rain = changed([](PolicySpec& p) { p.visits.triggers.rain_m = 0.05; });
  CHECK(count_reason(rain, VisitReason::rain) > 0);
  CHECK(count_reason(usual(), VisitReason::rain) == 0);
  auto const heat = changed([](PolicySpec& p) { p.visits.triggers.heat_K = 308.65; });
  CHECK(count_reason(heat, VisitReason::heat) > 0);
  CHECK(sum(heat, &PoolTally::visits) > sum(usual(), &PoolTally::visits));
}

TEST_CASE("bathers bring visits where use is a trigger", "[sim][seasons][unit]") {
  auto const crowded = changed([](PolicySpec& p) { p.visits.triggers.bathers = 8.0; });
  CHECK(count_reason(crowded, VisitReason::bathers) > 0);
}

TEST_CASE("remote readings replace part of the visits' watch and cost what they cost", "[sim][seasons][unit]") {
  auto const rare = changed([](PolicySpec& p) { p.visits.interval_d = 21.0; });
  auto const remote = changed([](PolicySpec& p) {
    p.visits.interval_d = 21.0;
    p.visits.remote.used = true;
    p.visits.remote.set_output = true;
  });
  CHECK(sum(remote, &PoolTally::remote_readings) > 0.9 * 24 * 2 * 244);
  CHECK(sum(rare, &PoolTally::remote_readings) == 0.0);
  CHECK(count_reason(remote, VisitReason::remote_reading) > 0);
  CHECK(mean(remote, &PoolTally::free_chlorine_in_range) > mean(rare, &PoolTally::free_chlorine_in_range));
}

TEST_CASE("an adaptive interval of a steady fleet makes fewer visits", "[sim][seasons][unit]") {
  auto const adaptive = changed([](PolicySpec& p) {
    p.visits.adaptive.used = true;
    p.visits.adaptive.longest_d = 14.0;
    p.visits.adaptive.free_chlorine_drift_kg_per_m3 = 0.02;
    p.visits.adaptive.ph_drift = 3.0;
    p.visits.adaptive.salt_drift_kg_per_m3 = 3.0;
  });
  CHECK(count_rule(adaptive, FiredRule::interval_lengthened) > 0);
  CHECK(count_rule(adaptive, FiredRule::interval_shortened) > 0);
  CHECK(sum(adaptive, &PoolTally::visits) < sum(usual(), &PoolTally::visits));
}

TEST_CASE("a learned output keeps the chlorine better than one that is never touched", "[sim][seasons][unit]") {
  auto const kept = changed([](PolicySpec& p) { p.production.rule = OutputRule::kept; });
  CHECK(mean(usual(), &PoolTally::free_chlorine_in_range) > mean(kept, &PoolTally::free_chlorine_in_range));
  CHECK(count_rule(kept, FiredRule::output_raised) + count_rule(kept, FiredRule::output_lowered) == 0);
}

TEST_CASE("a calendar and steps set the output by their own rule", "[sim][seasons][unit]") {
  auto const calendar = changed([](PolicySpec& p) {
    p.production.rule = OutputRule::calendar;
    p.production.calendar = {{.dates = {}, .output_setting = 0.9, .pump_hours_per_day = 14.0}};
  });
  CHECK(sum(calendar, &PoolTally::chlorine_produced) > sum(usual(), &PoolTally::chlorine_produced));
  auto const stepped = changed([](PolicySpec& p) { p.production.rule = OutputRule::stepped; });
  CHECK(count_rule(stepped, FiredRule::output_raised) > 0);
}

TEST_CASE("no dose of a kind is made without its rule", "[sim][seasons][unit]") {
  auto const none = changed([](PolicySpec& p) {
    p.dosing.salt_kg_per_m3.low = 0.0;
    p.dosing.ph.high = 14.0;
    p.dosing.ph.low = 0.0;
    p.dosing.alkalinity_mol_per_m3 = {0.0, 1.6, 100.0};
    p.dosing.calcium_mol_per_m3.low = 0.0;
    p.dosing.cyanuric_acid_mol_per_m3.low = 0.0;
  });
  CHECK(sum(none, &PoolTally::salt_added) == 0.0);
  CHECK(sum(none, &PoolTally::bicarbonate_added) == 0.0);
  CHECK(sum(none, &PoolTally::calcium_chloride_added) == 0.0);
  CHECK(sum(none, &PoolTally::cyanuric_acid_added) == 0.0);
  CHECK(sum(usual(), &PoolTally::salt_added) > 0.0);
  CHECK(sum(usual(), &PoolTally::acid_added) > sum(none, &PoolTally::acid_added));
  CHECK(mean(usual(), &PoolTally::ph_in_range) > mean(none, &PoolTally::ph_in_range));
  CHECK(mean(usual(), &PoolTally::salt_in_range) > mean(none, &PoolTally::salt_in_range));
}

TEST_CASE("draining what is too much takes fill water", "[sim][seasons][unit]") {
  auto const drains = changed([](PolicySpec& p) {
    p.dosing.largest_drain_share = 0.3;
    p.dosing.cyanuric_acid_mol_per_m3.high = 0.45;
  });
  CHECK(count_rule(drains, FiredRule::water_drained) > 0);
  CHECK(sum(drains, &PoolTally::fill_water) > sum(usual(), &PoolTally::fill_water));
}

TEST_CASE("backwashing more often takes water", "[sim][seasons][unit]") {
  auto const often = changed([](PolicySpec& p) { p.upkeep.backwash_every_d = 7.0; });
  CHECK(sum(often, &PoolTally::fill_water) > sum(usual(), &PoolTally::fill_water));
}

TEST_CASE("strips cost less time than kits", "[sim][seasons][unit]") {
  auto const strips = changed([](PolicySpec& p) {
    for (Measured const quantity :
         {Measured::free_chlorine, Measured::ph, Measured::alkalinity, Measured::calcium, Measured::cyanuric_acid}) {
      p.tests[quantity].method = TestMethod::strip;
    }
  });
  double const strip_s = sum(strips, &PoolTally::service_time) / sum(strips, &PoolTally::visits);
  CHECK(strip_s < sum(usual(), &PoolTally::service_time) / sum(usual(), &PoolTally::visits));
}

TEST_CASE("each cleaning rule cleans for its own reason, and never means never", "[sim][seasons][unit]") {
  tools::SmallFleet hard_water;
  hard_water["traits"] = "start_calcium = \"700 mg/L\"";
  auto const only = [&hard_water](auto const& arm) {
    return changed(
        [&arm](PolicySpec& p) {
          p.dosing.ph = {7.2, 7.8, 8.2};
          p.cell.inspect_every_d = never;
          p.cell.clean_at_grade = 4;
          p.cell.replace_failed = false;
          p.tests[Measured::cell_voltage] = {TestMethod::meter, 0.0};
          p.tests[Measured::alkalinity].every_d = 14.0;
          arm(p);
        },
        hard_water);
  };
  auto const by_days = only([](PolicySpec& p) { p.cell.clean_every_d = 56.0; });
  CHECK(count_rule(by_days, FiredRule::cleaned_by_calendar) >= 24 * 2 * 3);
  auto const by_hours = only([](PolicySpec& p) { p.cell.clean_every_operating_h = 500.0; });
  CHECK(count_rule(by_hours, FiredRule::cleaned_by_operating_hours) > 0);
  auto const by_index = only([](PolicySpec& p) {
    p.cell.clean_after_saturated_visits = 2;
    p.cell.saturation_index_limit = 0.0;
  });
  CHECK(count_rule(by_index, FiredRule::cleaned_by_saturation) > 0);
  auto const by_voltage = only([](PolicySpec& p) { p.cell.clean_at_voltage_rise = 0.03; });
  CHECK(count_rule(by_voltage, FiredRule::cleaned_by_voltage) > 0);
  auto const by_lamp = only([](PolicySpec& p) { p.cell.clean_on_warning = true; });
  CHECK(count_rule(by_lamp, FiredRule::cleaned_on_warning) > 0);
  auto const by_look = only([](PolicySpec& p) {
    p.cell.inspect_every_d = 28.0;
    p.cell.clean_at_grade = 1;
  });
  CHECK(count_rule(by_look, FiredRule::cleaned_by_grade) > 0);
  // Acid wears the coating, whatever it dissolves.
  CHECK(mean(by_days, &PoolTally::coating_left) < mean(by_look, &PoolTally::coating_left) + 0.02);
}

TEST_CASE("a cell replaced in advance is a new cell", "[sim][seasons][unit]") {
  auto const renewed = changed([](PolicySpec& p) { p.cell.replace_after_operating_h = 3000.0; });
  CHECK(sum(renewed, &PoolTally::cells_replaced) > sum(usual(), &PoolTally::cells_replaced));
  CHECK(mean(renewed, &PoolTally::coating_left) > mean(usual(), &PoolTally::coating_left));
}

TEST_CASE("a cell that fails within its warranty is replaced free, one renewed in advance is paid",
          "[sim][seasons][unit]") {
  tools::SmallFleet setting{};
  setting["model"] = "coating_life_scale_h = \"1000 h\"";
  tools::SmallFleet warranted = setting;
  warranted["supplies"] = "cell_warranty = \"100000 h\"";
  double const price = Prices{}.cell_each;
  auto const saved = [&](PolicySpec const& policy) {
    auto const paid = seasons(setting, policy, 1);
    auto const free = seasons(warranted, policy, 1);
    REQUIRE(sum(paid, &PoolTally::cells_replaced) > 0.0);
    CHECK(sum(paid, &PoolTally::cells_replaced) == sum(free, &PoolTally::cells_replaced));
    return std::pair{sum(paid, &PoolTally::cost) - sum(free, &PoolTally::cost),
                     price * sum(paid, &PoolTally::cells_replaced)};
  };
  auto const [failed, failed_price] = saved(PolicySpec{});
  CHECK(failed == Approx(failed_price));
  PolicySpec in_advance;
  in_advance.cell.replace_failed = false;
  in_advance.cell.replace_after_operating_h = 1000.0;
  CHECK(saved(in_advance).first == Approx(0.0).margin(1e-6));
}

TEST_CASE("no spare cell and a long lead time mean more days without production, and are logged",
          "[sim][seasons][unit]") {
  tools::SmallFleet plenty{};
  plenty["model"] = "coating_life_scale_h = \"1000 h\"";
  tools::SmallFleet scarce = plenty;
  tools::SmallFleet more = plenty;
  plenty["supplies"] = "cells_in_stock = 1000";
  more["supplies"] = "cells_in_stock = 100000\ncell_lead_time = \"300 d\"";
  scarce["supplies"] = "cells_in_stock = 0\ncell_lead_time = \"60 d\"";
  auto const unlimited = seasons(plenty, PolicySpec{}, 1);
  auto const waiting = seasons(scarce, PolicySpec{}, 1);
  REQUIRE(sum(unlimited, &PoolTally::cells_replaced) > 0.0);
  CHECK(sum(unlimited, &PoolTally::shortages) == 0.0);
  CHECK(sum(waiting, &PoolTally::shortages) > 0.0);
  CHECK(sum(waiting, &PoolTally::shortages) ==
        count_visits(waiting, [](VisitRecord const& visit) { return has(visit.shortages, Shortage::cell); }));
  CHECK(sum(waiting, &PoolTally::cells_replaced) > 0.0);
  CHECK(sum(waiting, &PoolTally::cells_replaced) < sum(unlimited, &PoolTally::cells_replaced));
  CHECK(sum(waiting, &PoolTally::days_without_production) > sum(unlimited, &PoolTally::days_without_production));
  // With stock to spare its size and the lead time change nothing.
  auto const spare = seasons(more, PolicySpec{}, 1);
  CHECK(spare[0].pools.chlorine_produced == unlimited[0].pools.chlorine_produced);
  CHECK(spare[0].pools.cost == unlimited[0].pools.cost);
}

TEST_CASE("complaints and lost customers can be switched off", "[sim][seasons][unit]") {
  auto const poor = [](bool people_mind) {
    return changed([people_mind](PolicySpec& p) {
      p.visits.interval_d = 28.0;
      p.production.rule = OutputRule::kept;
      p.dosing.free_chlorine_kg_per_m3.low = 0.0;
      p.people.complaints = people_mind;
      p.people.cancellations = people_mind;
      p.people.complaint_chance_per_day = 0.5;
      p.people.cancel_chance_per_complaint = 0.5;
    });
  };
  auto const minded = poor(true);
  auto const unminded = poor(false);
  CHECK(sum(minded, &PoolTally::complaints) > 0.0);
  CHECK(sum(minded, &PoolTally::lost_customers) > 0.0);
  CHECK(sum(unminded, &PoolTally::complaints) == 0.0);
  CHECK(sum(unminded, &PoolTally::lost_customers) == 0.0);
}

TEST_CASE("owners who never call make no call-outs", "[sim][seasons][unit]") {
  auto const silent = changed([](PolicySpec& p) { p.people.call_chance_per_day = 0.0; });
  CHECK(sum(silent, &PoolTally::call_outs) == 0.0);
  auto const anxious = changed([](PolicySpec& p) { p.people.call_chance_per_day = 1.0; });
  CHECK(sum(anxious, &PoolTally::call_outs) > 0.0);
}

TEST_CASE("vans that run out of salt leave pools short of it, and the season takes no more than there was",
          "[sim][seasons][unit]") {
  tools::SmallFleet plenty{};
  plenty["weather"] = "rain_factor = 2.0";  // washes salt out
  tools::SmallFleet scarce = plenty;
  scarce["supplies"] = "salt_bag = \"20 kg\"\nsalt_in_stock = 10\nsalt_on_van = 3\nsalt_lead_time = \"366 d\"";
  auto const endless = seasons(plenty, PolicySpec{}, 1);
  auto const short_of_salt = seasons(scarce, PolicySpec{}, 1);
  double const there_kg = (10 + 2 * 3) * 20.0;
  REQUIRE(sum(endless, &PoolTally::salt_added) > 2.0 * there_kg);
  CHECK(sum(endless, &PoolTally::shortages) == 0.0);
  CHECK(sum(short_of_salt, &PoolTally::salt_added) == Approx(there_kg).epsilon(0.1));
  CHECK(sum(short_of_salt, &PoolTally::salt_added) < there_kg * (1.0 + 1e-9));
  CHECK(count_visits(short_of_salt, [](VisitRecord const& visit) { return has(visit.shortages, Shortage::salt); }) ==
        sum(short_of_salt, &PoolTally::shortages));
  CHECK(mean(short_of_salt, &PoolTally::salt_in_range) < mean(endless, &PoolTally::salt_in_range));
  // A short lead time brings it back.
  scarce["supplies"] = "salt_bag = \"20 kg\"\nsalt_in_stock = 10\nsalt_on_van = 3\nsalt_lead_time = \"2 d\"";
  auto const restored = seasons(scarce, PolicySpec{}, 1);
  CHECK(sum(restored, &PoolTally::salt_added) > 2.0 * there_kg);
  // No van gives more in a day than it holds in the morning.
  std::map<std::pair<std::uint32_t, int>, double> of_van_and_day;
  for (VisitRecord const& visit : restored[0].visits) {
    of_van_and_day[{visit.technician, static_cast<int>(visit.time_s / 86400.0)}] += visit.salt_added;
  }
  for (auto const& [van_and_day, salt_kg] : of_van_and_day) CHECK(salt_kg < 60.0 * (1.0 + 1e-6));
}

}  // namespace
}  // namespace brinecast::sim
