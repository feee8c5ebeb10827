// What runs short over whole seasons, and the maker's warranty on cells.

#include <map>

#include "rule_kinds.hpp"
#include "small_fleet.hpp"

namespace brinecast::sim {
namespace {

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

TEST_CASE("vans that run out of salt leave pools short of it, and the season takes no more than there was",
          "[sim][seasons][unit]") {
  tools::SmallFleet plenty{};
  plenty["weather"] = "rain_factor = 2.0";  // washes salt out
  tools::SmallFleet scarce = plenty;
  scarce["supplies"] = "salt_bag = \"20 kg\"\nsalt_in_stock = 10\nsalt_on_van = 3\nsalt_lead_time = \"366 d\"";
  auto const endless = seasons(plenty, PolicySpec{}, 1);
  auto const short_of_salt = seasons(scarce, PolicySpec{}, 1);
  double const there_kg = 10 * 20.0;
  REQUIRE(sum(endless, &PoolTally::salt_added) > 2.0 * there_kg);
  CHECK(sum(endless, &PoolTally::shortages) == 0.0);
  CHECK(sum(short_of_salt, &PoolTally::salt_added) == Approx(there_kg));
  CHECK(sum(short_of_salt, &PoolTally::salt_added) < there_kg * (1.0 + 1e-9));
  CHECK(count_visits(short_of_salt, [](VisitRecord const& visit) { return has(visit.shortages, Shortage::salt); }) ==
        sum(short_of_salt, &PoolTally::shortages));
  CHECK(mean(short_of_salt, &PoolTally::salt_in_range) < mean(endless, &PoolTally::salt_in_range));
  // A short lead time brings it back.
  scarce["supplies"] = "salt_bag = \"20 kg\"\nsalt_in_stock = 10\nsalt_on_van = 3\nsalt_lead_time = \"2 d\"";
  auto const restored = seasons(scarce, PolicySpec{}, 1);
  CHECK(sum(restored, &PoolTally::salt_added) > 2.0 * there_kg);
  // No van gives more in a day than it can hold in the morning: three bags, and less than one that is open.
  std::map<std::pair<std::uint32_t, int>, double> of_van_and_day;
  for (VisitRecord const& visit : restored[0].visits) {
    of_van_and_day[{visit.technician, static_cast<int>(visit.time_s / 86400.0)}] += visit.salt_added;
  }
  for (auto const& [van_and_day, salt_kg] : of_van_and_day) CHECK(salt_kg < 80.0);
}

struct Scarce {
  Shortage shortage;
  char const* stock;   // one small pack in the depot and on each van, none to come
  char const* traits;  // water that asks for it
  PoolColumn added;
};

TEST_CASE("each thing that runs out is noted by its own name, and less of it reaches the pools",
          "[sim][seasons][statistics]") {
  std::vector<Scarce> const all = {
      {Shortage::cell, "cells_in_stock = 0\ncell_lead_time = \"366 d\"", "cell_age = \"9000 h\"",
       &PoolTally::cells_replaced},
      {Shortage::salt, "salt_bag = \"1 kg\"\nsalt_in_stock = 1\nsalt_on_van = 1\nsalt_lead_time = \"366 d\"",
       "start_salt = \"2400 mg/L\"", &PoolTally::salt_added},
      {Shortage::acid, "acid_drum = \"1 L\"\nacid_in_stock = 1\nacid_on_van = 1\nacid_lead_time = \"366 d\"", "",
       &PoolTally::acid_added},
      {Shortage::bicarbonate,
       "bicarbonate_bag = \"1 kg\"\nbicarbonate_in_stock = 1\nbicarbonate_on_van = 1\nother_lead_time = \"366 d\"",
       "start_alkalinity = \"40 mg/L\"", &PoolTally::bicarbonate_added},
      {Shortage::calcium_chloride,
       "calcium_bag = \"1 kg\"\ncalcium_in_stock = 1\ncalcium_on_van = 1\nother_lead_time = \"366 d\"",
       "start_calcium = \"60 mg/L\"", &PoolTally::calcium_chloride_added},
      {Shortage::cyanuric_acid,
       "cyanuric_bag = \"1 kg\"\ncyanuric_in_stock = 1\ncyanuric_on_van = 1\nother_lead_time = \"366 d\"",
       "start_cyanuric_acid = \"10 mg/L\"", &PoolTally::cyanuric_acid_added},
      {Shortage::liquid_chlorine,
       "liquid_chlorine_drum = \"1 L\"\nliquid_chlorine_in_stock = 1\nliquid_chlorine_on_van = 1\n"
       "other_lead_time = \"366 d\"",
       "output_setting = \"10 %\"\ndemand_factor = 3", &PoolTally::liquid_chlorine_added},
  };
  CHECK(all.size() == all_names<Shortage>().size());
  for (Scarce const& scarce : all) {
    CAPTURE(name_of(scarce.shortage));
    auto const with = [&](std::string const& supplies) {
      return seasons({{"traits", scarce.traits}, {"supplies", supplies}}, PolicySpec{}, 4);
    };
    auto const endless = with("cells_in_stock = 1000");
    auto const short_of_it =
        with(scarce.shortage == Shortage::cell ? scarce.stock : std::string("cells_in_stock = 1000\n") + scarce.stock);
    auto const noted = [&](std::vector<TaskResult> const& results, bool itself) {
      return count_visits(results, [&](VisitRecord const& visit) {
        return itself ? has(visit.shortages, scarce.shortage) : (visit.shortages & ~bit(scarce.shortage)) != 0;
      });
    };
    CHECK(noted(short_of_it, true) > 0);
    CHECK(noted(short_of_it, false) == 0);
    CHECK(sum(endless, &PoolTally::shortages) == 0.0);
    auto const change = paired_change(endless, short_of_it, [&scarce](TaskResult const& result, std::size_t pool) {
      return (result.pools.*scarce.added)[pool];
    });
    CAPTURE(change.before, change.mean, change.standard_error);
    CHECK(change.mean < -3.0 * change.standard_error);
  }
}

}  // namespace
}  // namespace brinecast::sim
