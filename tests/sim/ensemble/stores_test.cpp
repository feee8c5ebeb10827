// Chemicals in depot and vans: whole packs, shared when scarce, ordered by (s, S).

#include "sim/ensemble/stores.hpp"

#include <catch2/catch.hpp>
#include <cmath>

namespace brinecast::sim {
namespace {

constexpr std::size_t salt = index_of(Material::salt), acid = index_of(Material::acid);

/// Salt alone is limited: bags of 20 kg in lots of 10.
Supplies salt_supplies(int in_stock, int on_van) {
  Supplies supplies;
  supplies[Material::salt] = {.pack = 20.0,
                              .lead_days = 3.0,
                              .packs_per_order = 10.0,
                              .packs_in_stock = in_stock,
                              .reorder_at = std::nullopt,
                              .packs_on_van = on_van};
  return supplies;
}

MaterialAmounts salt_of(double amount_kg) {
  MaterialAmounts amounts{};
  amounts[salt] = amount_kg;
  return amounts;
}

TEST_CASE("what a scenario does not limit is endless", "[sim][ensemble][unit]") {
  Supplies const supplies;
  Stores const stores(supplies, 1);
  CHECK_FALSE(stores.limited());
  for (double const amount : stores.on_van(0)) CHECK(std::isinf(amount));
}

TEST_CASE("a van loads whole packs until it holds its load, and keeps its opened one", "[sim][ensemble][unit]") {
  Supplies const supplies = salt_supplies(100, 4);
  Stores stores(supplies, 1);
  REQUIRE(stores.limited());
  CHECK(std::isinf(stores.on_van(0)[acid]));
  CHECK(stores.on_van(0)[salt] == 0.0);
  stores.load({0});
  CHECK(stores.on_van(0)[salt] == 80.0);
  stores.use(0, salt_of(30.0));
  CHECK(stores.on_van(0)[salt] == 50.0);
  stores.load({0});
  CHECK(stores.on_van(0)[salt] == 90.0);  // one bag is open
  stores.load({0});
  CHECK(stores.on_van(0)[salt] == 90.0);
  stores.use(0, salt_of(90.0));
  CHECK(stores.on_van(0)[salt] == 0.0);
}

TEST_CASE("scarce packs are shared in turn among the vans that go out", "[sim][ensemble][unit]") {
  Supplies const supplies = salt_supplies(5, 4);
  Stores stores(supplies, 3);
  stores.load({0, 2});
  CHECK(stores.on_van(0)[salt] == 60.0);
  CHECK(stores.on_van(1)[salt] == 0.0);
  CHECK(stores.on_van(2)[salt] == 40.0);
}

TEST_CASE("the depot orders whole lots once it is down to the reorder level, and not twice", "[sim][ensemble][unit]") {
  Supplies supplies = salt_supplies(19, 7);
  SECTION("at half by default") {}
  SECTION("at a stated level") { supplies[Material::salt].reorder_at = 9; }
  Stores stores(supplies, 1);
  stores.load({0});
  stores.order(0);  // twelve left: nothing is ordered
  stores.use(0, salt_of(3 * 20.0));
  stores.load({0});
  stores.order(1);  // nine left: a lot of ten
  stores.order(1);
  stores.use(0, salt_of(140.0));
  stores.receive(3);
  stores.load({0});
  CHECK(stores.on_van(0)[salt] == 140.0);
  stores.use(0, salt_of(140.0));
  stores.load({0});
  CHECK(stores.on_van(0)[salt] == 40.0);  // the last two
  stores.use(0, salt_of(40.0));
  stores.receive(4);
  stores.load({0});
  CHECK(stores.on_van(0)[salt] == 140.0);
  stores.use(0, salt_of(140.0));
  stores.load({0});
  CHECK(stores.on_van(0)[salt] == 60.0);  // of the one lot
}

TEST_CASE("a van's load may be limited with a depot that never runs out", "[sim][ensemble][unit]") {
  Supplies supplies = salt_supplies(0, 2);
  supplies[Material::salt].packs_in_stock.reset();
  Stores stores(supplies, 1);
  for (int day = 0; day < 1000; ++day) {
    stores.receive(day);
    stores.load({0});
    REQUIRE(stores.on_van(0)[salt] == 40.0);
    stores.use(0, salt_of(40.0));
    stores.order(day);
  }
}

}  // namespace
}  // namespace brinecast::sim
