// Packs of one supply: taken until none is left, back after the lead time.

#include "sim/ensemble/depot_stock.hpp"

#include <catch2/catch.hpp>

namespace brinecast::sim {
namespace {

TEST_CASE("packs are handed out until none is left and come back after the lead time", "[sim][ensemble][unit]") {
  DepotStock stock(2, 3.5);
  CHECK(stock.take(1) == 1);
  CHECK(stock.take(5) == 1);
  CHECK(stock.take(1) == 0);
  stock.put_back(1);
  CHECK(stock.in_hand() == 1);
  stock.order(10, 1);
  stock.order(11, 4);
  stock.receive(13);
  CHECK(stock.in_hand() == 1);
  CHECK(stock.under_way() == 5);
  stock.receive(14);
  CHECK(stock.in_hand() == 2);
  CHECK(stock.under_way() == 4);
  stock.receive(15);
  CHECK(stock.in_hand() == 6);
  CHECK(stock.under_way() == 0);
}

TEST_CASE("an order without a lead time is there the next morning", "[sim][ensemble][unit]") {
  DepotStock stock(0, 0.0);
  stock.order(4, 1);
  stock.receive(4);
  CHECK(stock.take(1) == 0);
  stock.receive(5);
  CHECK(stock.take(1) == 1);
}

}  // namespace
}  // namespace brinecast::sim
