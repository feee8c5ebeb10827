#include <algorithm>

#include "sim/rounds/search/route_search.hpp"

namespace brinecast::sim::search {

namespace {

constexpr std::size_t longest_chain = 3;

}  // namespace

Amount tour_cost(Tour const& tour, std::span<int const> order) {
  Amount cost = 0;
  Amount clock = tour.leaves;
  std::size_t place = tour.start_place;
  auto drive = [&](std::size_t to) {
    cost += tour.travel_cost(place, to);
    if (tour.travel_duration.places != 0) clock += tour.travel_duration(place, to);
    place = to;
  };
  for (int const index : order) {
    TourStop const& stop = tour.stops[static_cast<std::size_t>(index)];
    drive(stop.place);
    clock = std::max(clock, stop.opens);
    if (clock > stop.closes) cost += tour.lateness_cost * (clock - stop.closes);
    clock += stop.service_duration;
  }
  drive(tour.end_place);
  return cost + tour.duration_cost * (clock - tour.leaves);
}

Amount polish_route(Tour const& tour, std::vector<int>& order) {
  Amount cost = tour_cost(tour, order);
  std::size_t const size = order.size();
  std::vector<int> trial;
  auto accept = [&] {
    Amount const new_cost = tour_cost(tour, trial);
    if (new_cost >= cost) return false;
    cost = new_cost;
    order.swap(trial);
    return true;
  };
  auto turn_sections = [&] {
    bool improved = false;
    for (std::size_t first = 0; first + 1 < size; ++first)
      for (std::size_t last = first + 1; last < size; ++last) {
        trial = order;
        std::reverse(trial.begin() + static_cast<std::ptrdiff_t>(first),
                     trial.begin() + static_cast<std::ptrdiff_t>(last + 1));
        improved = accept() || improved;
      }
    return improved;
  };
  auto move_chains = [&] {
    bool improved = false;
    for (std::size_t length = 1; length <= std::min(longest_chain, size - 1); ++length)
      for (std::size_t first = 0; first + length <= size; ++first)
        for (std::size_t place = 0; place + length <= size; ++place) {
          if (place == first) continue;
          for (bool const turned : {false, true}) {
            if (turned && length == 1) break;
            trial = order;
            auto const chain = trial.begin() + static_cast<std::ptrdiff_t>(first);
            auto const chain_end = chain + static_cast<std::ptrdiff_t>(length);
            auto const target = trial.begin() + static_cast<std::ptrdiff_t>(place);
            if (turned) std::reverse(chain, chain_end);
            if (place < first)
              std::rotate(target, chain, chain_end);
            else
              std::rotate(chain, chain_end, target + static_cast<std::ptrdiff_t>(length));
            improved = accept() || improved;
          }
        }
    return improved;
  };
  if (size < 2) return cost;
  for (bool improved = true; improved;) {
    improved = turn_sections();
    improved = move_chains() || improved;
  }
  return cost;
}

}  // namespace brinecast::sim::search
