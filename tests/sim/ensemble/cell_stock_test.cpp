// Spare cells: taken until none is left, ordered one for one, back after the lead time.

#include "sim/ensemble/cell_stock.hpp"

#include <catch2/catch.hpp>

namespace brinecast::sim {
namespace {

TEST_CASE("cells are handed out until none is left and come back after the lead time", "[sim][ensemble][unit]") {
  CellStock stock(2, 3.5);
  CHECK(stock.take());
  CHECK(stock.take());
  CHECK_FALSE(stock.take());
  stock.put_back();
  CHECK(stock.in_hand() == 1);
  stock.order(10);
  stock.order(11);
  stock.receive(13);
  CHECK(stock.in_hand() == 1);
  CHECK(stock.under_way() == 2);
  stock.receive(14);
  CHECK(stock.in_hand() == 2);
  CHECK(stock.under_way() == 1);
  stock.receive(15);
  CHECK(stock.in_hand() == 3);
  CHECK(stock.under_way() == 0);
}

TEST_CASE("an order without a lead time is there the next morning", "[sim][ensemble][unit]") {
  CellStock stock(0, 0.0);
  stock.order(4);
  stock.receive(4);
  CHECK_FALSE(stock.take());
  stock.receive(5);
  CHECK(stock.take());
}

}  // namespace
}  // namespace brinecast::sim
