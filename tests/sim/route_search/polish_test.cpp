#include <algorithm>
#include <catch2/catch.hpp>
#include <numeric>

#include "problems.hpp"

using namespace brinecast::sim::search;

namespace {

struct Day {
  std::unique_ptr<testing::Generated> generated;
  std::vector<TourStop> stops;
  Tour tour;
};

Day day_with(testing::Traits const& traits) {
  Day day{.generated = generate(traits), .stops = {}, .tour = {}};
  for (Customer const& customer : day.generated->problem.customers)
    day.stops.push_back({.place = customer.place,
                         .service_duration = customer.service_duration,
                         .opens = customer.opens,
                         .closes = customer.closes});
  VehicleKind const& kind = day.generated->problem.kinds.front();
  day.tour = {.travel_cost = day.generated->problem.travel_cost,
              .travel_duration = day.generated->problem.travel_duration,
              .start_place = kind.start_place,
              .end_place = kind.end_place,
              .leaves = 20,
              .duration_cost = 1,
              .lateness_cost = 9,
              .stops = day.stops};
  return day;
}

}  // namespace

TEST_CASE("polishing ends where no single move of the order helps", "[sim][route_search][unit]") {
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    INFO("day " << seed);
    Day const day = day_with(
        {.seed = seed, .customers = 11, .asymmetric = seed % 2 == 0, .own_homes = true, .windows = seed % 3 == 0});
    std::vector<int> order(day.stops.size());
    std::iota(order.begin(), order.end(), 0);
    Amount const before = tour_cost(day.tour, order);
    Amount const after = polish_route(day.tour, order);
    CHECK(after <= before);
    CHECK(after == tour_cost(day.tour, order));
    std::vector<int> sorted = order;
    std::sort(sorted.begin(), sorted.end());
    for (std::size_t index = 0; index < sorted.size(); ++index) CHECK(sorted[index] == static_cast<int>(index));

    for (std::size_t first = 0; first < order.size(); ++first)
      for (std::size_t last = first + 1; last < order.size(); ++last) {
        std::vector<int> turned = order;
        std::reverse(turned.begin() + static_cast<std::ptrdiff_t>(first),
                     turned.begin() + static_cast<std::ptrdiff_t>(last) + 1);
        CHECK(tour_cost(day.tour, turned) >= after);
      }
    for (std::size_t length = 1; length <= 3; ++length)
      for (std::size_t first = 0; first + length <= order.size(); ++first)
        for (std::size_t place = 0; place + length <= order.size(); ++place)
          for (bool const turn : {false, true}) {
            std::vector<int> chain(order.begin() + static_cast<std::ptrdiff_t>(first),
                                   order.begin() + static_cast<std::ptrdiff_t>(first + length));
            std::vector<int> moved = order;
            moved.erase(moved.begin() + static_cast<std::ptrdiff_t>(first),
                        moved.begin() + static_cast<std::ptrdiff_t>(first + length));
            if (turn) std::reverse(chain.begin(), chain.end());
            moved.insert(moved.begin() + static_cast<std::ptrdiff_t>(place), chain.begin(), chain.end());
            CHECK(tour_cost(day.tour, moved) >= after);
          }
  }
}

TEST_CASE("polishing days of six stops comes within one percent of the best order on average",
          "[sim][route_search][unit]") {
  double ratio_sum = 0.0;
  constexpr int days = 60;
  for (std::uint64_t seed = 1; seed <= days; ++seed) {
    Day const day = day_with({.seed = seed, .customers = 6, .asymmetric = true, .own_homes = true});
    std::vector<int> order{0, 1, 2, 3, 4, 5};
    std::vector<int> trial = order;
    Amount best = unlimited;
    do best = std::min(best, tour_cost(day.tour, trial));
    while (std::next_permutation(trial.begin(), trial.end()));
    Amount const polished = polish_route(day.tour, order);
    CHECK(polished >= best);
    ratio_sum += static_cast<double>(polished) / static_cast<double>(best);
  }
  CHECK(ratio_sum / days < 1.01);
}

TEST_CASE("empty and single orders stay as they are", "[sim][route_search][hostile]") {
  Day const day = day_with({.seed = 1, .customers = 3, .own_homes = true});
  std::vector<int> none;
  CHECK(polish_route(day.tour, none) == tour_cost(day.tour, none));
  std::vector<int> one{2};
  CHECK(polish_route(day.tour, one) == tour_cost(day.tour, one));
  CHECK(one == std::vector<int>{2});
}
