#include "results/run_size.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <system_error>
#include <vector>

#include "results/assembly.hpp"
#include "results/store.hpp"
#include "sim/ensemble/ensemble.hpp"
#include "sim/fleet/forcing.hpp"
#include "sim/fleet/pool_block.hpp"
#include "sim/policy/policy.hpp"
#include "sim/scenario/limits.hpp"

namespace brinecast::results {

namespace {

// Measured on runs of 8 to 100,000 pools, 10 days to 30 years, 1 to 200 replicates (Debian 12, x86-64).
constexpr double program_bytes = 27e6;
constexpr double held_bytes_a_pool = 8000;          // the pool's card, its entries in the plans and in the description
constexpr double held_bytes_a_planned_stop = 5000;  // a policy's stop at a pool, in plan, description and its text
constexpr double season_bytes_a_pool = 1500;        // what the company keeps in mind of a pool while a season runs
constexpr double journal_bytes_a_visit = sizeof(sim::VisitRecord);
constexpr double file_bytes_a_visit = 22;           // compressed
constexpr double file_share_of_other_values = 0.7;  // of the journal's bytes, once compressed

double pairs_bytes(RunShape const& shape) {
  double const places = shape.pools + 2 * shape.technicians;
  constexpr double bytes_a_place_on_roads = 6000;  // labels instead of pairs
  if (places <= static_cast<double>(sim::most_places_of_pairs)) return 8 * places * places;
  return places * (shape.on_roads ? bytes_a_place_on_roads : sizeof(sim::Position));
}

/// Bytes of one finished season besides its visits.
double values_bytes(RunShape const& shape) {
  constexpr double pool_values = sizeof(sim::PoolTally) / sizeof(std::vector<double>);
  constexpr double day_values = sizeof(sim::DayTally) / sizeof(std::vector<float>);
  constexpr double technician_values = sizeof(sim::TechnicianTally) / sizeof(std::vector<float>);
  constexpr double trace_values = (sizeof(sim::PoolTrace) - sizeof(std::size_t)) / sizeof(std::vector<float>);
  return sizeof(double) * pool_values * shape.pools +
         sizeof(float) * shape.days *
             (day_values + technician_values * shape.technicians + 24 * trace_values * shape.trace_pools);
}

double season_bytes(RunShape const& shape) {
  return values_bytes(shape) + journal_bytes_a_visit * shape.visits_of_a_season;
}

double memory_bytes(RunShape const& shape) {
  double const held = program_bytes + pairs_bytes(shape) + shape.weather_file_bytes +
                      shape.pools * (held_bytes_a_pool + shape.policies * held_bytes_a_planned_stop);
  double const busy = std::min(shape.threads, shape.policies * shape.replicates);
  double const weather = (busy + 1) * shape.sites * shape.days * (24 * sizeof(sim::HourForcing) + 3 * sizeof(double));
  double const blocks = std::ceil(shape.pools / sim::block_pools + shape.sites) * sizeof(sim::PoolBlock);
  double const season = season_bytes(shape), all_seasons = shape.policies * shape.replicates * season;
  double const simulating = weather + busy * (blocks + shape.pools * season_bytes_a_pool + season) +
                            std::min(all_seasons, std::max<double>(most_queued_bytes, 2 * season));
  // The result file is put together from a few seasons at a time: as the journal has them, decoded, and as chunks.
  double const group = std::min(all_seasons, std::max<double>(journal_bytes_per_group, season));
  double const tallies = std::min(all_seasons, std::max<double>(tally_bytes_per_batch, values_bytes(shape)));
  double const chunk_bytes_a_visit = shape.threads * (sizeof(double) + sizeof(float));
  double const log = std::min(visits_per_chunk + shape.visits_of_a_season,
                              shape.policies * shape.replicates * shape.visits_of_a_season) *
                     (2 * journal_bytes_a_visit + chunk_bytes_a_visit);
  double const writing = 2 * group + 2 * tallies + log;
  return held + std::max(simulating, writing);
}

/// The largest whole `value` from 1 to `most` with which `fits`, or 0 when none does; `fits` is monotone.
template <class Fits>
double largest_that(double most, Fits const& fits) {
  if (!fits(1.0)) return 0.0;
  double low = 1.0, high = std::floor(most) + 1.0;
  while (high - low > 1.0) {
    double const middle = std::floor(0.5 * (low + high));
    (fits(middle) ? low : high) = middle;
  }
  return low;
}

RunShape with_pools(RunShape shape, double pools) {
  shape.visits_of_a_season *= pools / std::max(shape.pools, 1.0);
  shape.pools = pools;
  return shape;
}

/// One way to make a run smaller, and the most that fits that way.
struct Way {
  std::string_view words;  // with {} for the number
  double now;
  RunShape (*changed)(RunShape shape, double to);
};

std::string what_fits(RunShape const& shape, auto const& fits) {
  std::array<Way, 5> const ways{{
      {"{} replicates", shape.replicates, [](RunShape s, double to) { return s.replicates = to, s; }},
      {"--threads {}", shape.threads, [](RunShape s, double to) { return s.threads = to, s; }},
      {"{} policies", shape.policies, [](RunShape s, double to) { return s.policies = to, s; }},
      {"{} hourly traces", shape.trace_pools, [](RunShape s, double to) { return s.trace_pools = to, s; }},
      {"{} pools", shape.pools, with_pools},
  }};
  std::vector<std::string> found;
  for (Way const& way : ways) {
    if (way.now <= 1.0) continue;
    double const most = largest_that(way.now, [&](double to) { return fits(way.changed(shape, to)); });
    if (most > 0.0) found.push_back(fmt::format(fmt::runtime(way.words), most));
  }
  if (found.empty()) return "make the scenario smaller in more than one way";
  return fmt::format("{} would fit", fmt::join(found, ", or "));
}

}  // namespace

RunShape shape_of(sim::Scenario const& scenario, int threads) {
  RunShape shape{.pools = static_cast<double>(scenario.pools.size()),
                 .technicians = static_cast<double>(scenario.technicians.size()),
                 .sites = static_cast<double>(scenario.sites.size()),
                 .days = static_cast<double>(scenario.season.days),
                 .policies = static_cast<double>(scenario.policies.size()),
                 .replicates = static_cast<double>(scenario.replicates),
                 .trace_pools = static_cast<double>(scenario.outputs.trace_pools.size()),
                 .threads = static_cast<double>(threads),
                 .on_roads = scenario.roads.kind == sim::RoadKind::osm_extract};
  for (auto const& policy : scenario.policies) {
    for (auto const& pool : scenario.pools) {
      shape.visits_of_a_season +=
          shape.days / sim::typical_interval_d(policy, pool, scenario.season) / std::max(shape.policies, 1.0);
    }
  }
  if (!scenario.outputs.visit_log) shape.visits_of_a_season = 0.0;
  for (auto const* file : {&scenario.weather.hourly_file, &scenario.weather.daily_file}) {
    std::error_code error;
    auto const bytes = file->empty() ? 0 : std::filesystem::file_size(*file, error);
    if (!error) shape.weather_file_bytes += static_cast<double>(bytes);
  }
  return shape;
}

RunSize size_of(RunShape const& shape) {
  double const seasons = shape.policies * shape.replicates;
  RunSize size;
  size.visits = seasons * shape.visits_of_a_season;
  size.memory_bytes = memory_bytes(shape);
  size.disk_bytes = 0.3e6 + seasons * (values_bytes(shape) * (1.0 + file_share_of_other_values) +
                                       shape.visits_of_a_season * (journal_bytes_a_visit + file_bytes_a_visit));
  return size;
}

std::string fault_of_size(RunShape const& shape, Room const& room) {
  RunSize const size = size_of(shape);
  if (size.visits > static_cast<double>(sim::most_visits)) {
    return fmt::format(
        "the run would log about {:.3g} visits, more than the {} accepted; {}, or visit_log = false under "
        "[outputs]",
        size.visits, sim::most_visits, what_fits(shape, [](RunShape const& other) {
          return size_of(other).visits <= static_cast<double>(sim::most_visits);
        }));
  }
  if (size.memory_bytes > room.memory_bytes) {
    return fmt::format("the run needs about {} of memory, and {} has {}; {}", bytes_text(size.memory_bytes),
                       room.memory_bound, bytes_text(room.memory_bytes), what_fits(shape, [&](RunShape const& other) {
                         return size_of(other).memory_bytes <= room.memory_bytes;
                       }));
  }
  if (size.disk_bytes > room.disk_bytes) {
    return fmt::format("the run needs about {} of disk, and {} are free where --out lies; {}",
                       bytes_text(size.disk_bytes), bytes_text(room.disk_bytes),
                       what_fits(shape, [&](RunShape const& o) { return size_of(o).disk_bytes <= room.disk_bytes; }));
  }
  return "";
}

std::string bytes_text(double bytes) {
  static constexpr std::array<std::string_view, 5> units{"B", "kB", "MB", "GB", "TB"};
  std::size_t unit = 0;
  for (; bytes >= 999.5 && unit + 1 < units.size(); bytes /= 1000.0) ++unit;
  return fmt::format("{:.3g} {}", bytes, units[unit]);
}

}  // namespace brinecast::results
