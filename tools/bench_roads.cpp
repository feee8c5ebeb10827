// Time of travel-time matrices on invented road networks of two sizes, checked against plain Dijkstra searches.

#include <fmt/format.h>

#include <algorithm>
#include <chrono>

#include "sim/parallel/parallel_loop.hpp"
#include "sim/random/random.hpp"
#include "sim/rounds/road_network.hpp"

namespace {

using namespace brinecast::sim;

/// A city as a grid of streets 100 m apart: every 10th is an arterial road, every 50th a motorway; 12 % of the minor
/// stretches are missing and 5 % are one-way.
RoadNetwork grid_city(std::uint32_t side) {
  auto const node = [&](std::uint32_t row, std::uint32_t column) { return row * side + column; };
  auto const speed_m_per_s = [](std::uint32_t street) {
    return street % 50 == 0 ? 28.0 : street % 10 == 0 ? 16.0 : 9.0;
  };
  std::vector<Position> positions;
  std::vector<RoadArc> arcs;
  for (std::uint32_t row = 0; row < side; ++row) {
    for (std::uint32_t column = 0; column < side; ++column) positions.push_back({column * 0.001, row * 0.0009});
  }
  std::uint32_t stretch = 0;
  auto const build = [&](std::uint32_t from, std::uint32_t to, double speed) {
    DrawKey const key{.seed = 1, .purpose = Purpose::round_search, .time = stretch++};
    auto const [fate, length] = uniform_pair(key);
    bool const minor = speed < 10.0;
    if (minor && fate < 0.12) return;
    double const length_m = 80.0 + 40.0 * length;
    auto const cost =
        drive_cost(static_cast<std::uint32_t>(10.0 * length_m / speed), static_cast<std::uint32_t>(10.0 * length_m));
    arcs.push_back({from, to, cost, true});
    if (!minor || fate < 0.95) arcs.push_back({to, from, cost, true});
  };
  for (std::uint32_t row = 0; row < side; ++row) {
    for (std::uint32_t column = 0; column < side; ++column) {
      if (column + 1 < side) build(node(row, column), node(row, column + 1), speed_m_per_s(row));
      if (row + 1 < side) build(node(row, column), node(row + 1, column), speed_m_per_s(column));
    }
  }
  return RoadNetwork(std::move(positions), std::move(arcs)).largest_connected_part();
}

double seconds_of(auto const& work) {
  auto const start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

bool measure(std::uint32_t side, double bar_s) {
  RoadNetwork const city = grid_city(side);
  constexpr std::size_t stops = 1000;
  std::vector<std::uint32_t> places;
  for (std::uint32_t stop = 0; stop < stops; ++stop) {
    DrawKey const key{.seed = 2, .purpose = Purpose::round_search, .time = stop};
    places.push_back(static_cast<std::uint32_t>(uniform_draw(key) * city.nodes()));
  }
  int const cores = threads_at_hand();
  std::vector<DriveCost> costs, again;
  auto const seconds_on = [&](int threads, std::vector<DriveCost>& found) {
    return seconds_of(
        [&] { LoopThreads(threads).run(1, [&](std::size_t) { found = fastest_drive_costs(city, places); }); });
  };
  double const one_core_s = seconds_on(1, costs);
  double const all_cores_s = seconds_on(cores, again);
  bool right = costs == again;
  constexpr std::size_t checked_rows = 10;
  double const plain_s = seconds_of([&] {
    for (std::size_t row = 0; row < stops; row += stops / checked_rows) {
      auto const reached = city.drive_costs_from(places[row]);
      for (std::size_t column = 0; column < stops; ++column)
        right &= reached[places[column]] == costs[row * stops + column];
    }
  });
  fmt::print(
      "{:>8} nodes {:>9} arcs  {} x {}: {:6.2f} s on 1 core, {:6.2f} s on {} (bar {:.1f} s); one plain search {:.1f} "
      "ms; {}\n",
      city.nodes(), boost::num_edges(city.graph()), stops, stops, one_core_s, all_cores_s, cores, bar_s,
      1000.0 * plain_s / checked_rows, right ? "equal to plain searches" : "WRONG");
  return right;
}

}  // namespace

int main() {
  bool const small = measure(145, 1.2);
  bool const large = measure(710, 40.0);
  return small && large ? 0 : 1;
}
