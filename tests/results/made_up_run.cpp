#include "tests/results/made_up_run.hpp"

#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "results/digest.hpp"
#include "results/schema.hpp"
#include "sim/random/random.hpp"

namespace brinecast::tests {

namespace {

/// A running draw of one task.
class Luck {
 public:
  Luck(std::uint64_t seed, std::uint32_t replicate, std::uint32_t stream)
      : key_{.seed = seed, .replicate = replicate, .pool = stream, .purpose = sim::Purpose::resample} {}
  double uniform() { return next(sim::uniform_draw); }
  double normal() { return next(sim::normal_draw); }

 private:
  double next(double (*draw)(sim::DrawKey const&)) {
    ++key_.index;
    return draw(key_);
  }
  sim::DrawKey key_;
};

}  // namespace

results::RunDescription made_up_run(RunSize const& size) {
  results::RunDescription run;
  run.program_version = "0.1.0";
  run.vector_target = "AVX2";
  run.scenario_name = "Made-up valley";
  run.scenario_path = "valley.toml";
  run.scenario_text = "name = \"Made-up valley\"  # früh übt sich\n";
  run.scenario_sha256 = results::sha256(run.scenario_text);
  run.currency = "USD";
  run.seed = size.seed;
  run.replicates = size.replicates;
  using namespace std::chrono;
  run.first_day = sys_days{year{2031} / March / 20};
  run.days = size.days;
  run.utc_offset_h = -8.0;
  std::vector<std::string> const names = {"weekly", "every ten days", "fortnightly"};
  std::vector<double> const intervals = {7, 10, 14};
  for (std::size_t p = 0; p < size.policies; ++p) {
    run.policies.push_back({p < 3 ? names[p] : fmt::format("policy {}", p), "", p < 3 ? intervals[p] : 7.0, 10});
  }
  for (std::size_t i = 0; i < size.pools; ++i) {
    run.pools.push_back({fmt::format("Gull Läne {}", i + 1), i % 2 == 0 ? "Harbour" : "Hill",
                         i % 3 == 0 ? "holiday let" : "home", "valley", -120.0 + 0.001 * static_cast<double>(i), 38.0,
                         40.0 + static_cast<double>(i % 7)});
  }
  for (std::size_t t = 0; t < size.technicians; ++t) {
    run.technicians.push_back(
        {fmt::format("technician {}", t + 1), -120.0, 38.0, -120.0, 38.0, 28800, 28800, 1800, 3600, 400});
  }
  for (std::size_t i = 0; i < size.traces; ++i) run.trace_pools.push_back(static_cast<std::uint32_t>(i));
  for (int d = 0; d < size.days; ++d) run.working_days.push_back(weekday{run.first_day + days{d}}.iso_encoding() <= 5);
  run.parameters = {{"evaporation_factor", "1", "factor on evaporation", "none", 1.0}};
  run.supplies = {{"salt", "kg", "bag", 18.14, 49, 1.0, 7, 0.45, 0},
                  {"acid", "m3", "drum", 0.0568, 0, 1160, 5, 2400, 0},
                  {"bicarbonate", "kg", "bag", 22.68, 0, 1.0, 7, 1.6, 0},
                  {"calcium_chloride", "kg", "bag", 22.68, 0, 1.0, 7, 1.9, 0},
                  {"cyanuric_acid", "kg", "bag", 22.68, 0, 1.0, 7, 7.0, 0},
                  {"liquid_chlorine", "m3", "drum", 0.0568, 0, 1200, 7, 1300, 0},
                  {"cells", "1", "cell", 1, 0, 5, 14, 650, 2}};
  for (std::uint32_t p = 0; p < size.policies; ++p) {
    for (std::uint32_t i = 0; i < size.pools; ++i) {
      auto const technician = static_cast<std::uint32_t>(i % size.technicians);
      auto const at = static_cast<std::int32_t>(28800 + 600 * (i % 40));
      run.planned_stops.push_back({p, i % 10, technician, i / 10, i, at, at, at + 500});
    }
  }
  run.route_lines = "roads";
  for (std::uint32_t p = 0; p < size.policies; ++p) {
    for (std::uint32_t day = 0; day < 10; ++day) {
      for (std::uint32_t t = 0; t < size.technicians; ++t) {
        // A line of three to five points north of the yard, another for each round.
        std::uint32_t const points = 3 + (p + day + t) % 3;
        run.planned_rounds.push_back({p, day, t, points, 28800, 36000, 1800, 12000, 0, 55.5});
        for (std::uint32_t i = 0; i < points; ++i) {
          run.route_points.push_back({-120.0 + 0.001 * static_cast<double>(day + i), 38.0 + 0.002 * (i + t)});
        }
      }
    }
  }
  run.input_files = {{"pools.csv", results::sha256("pools"), "name,volume (m3)\n"}};
  return run;
}

sim::TaskResult made_up_result(results::RunDescription const& run, std::size_t policy, std::uint32_t replicate) {
  auto const lengths = results::axis_lengths(run);
  auto const length = [&](results::Axis axis) { return lengths[static_cast<std::size_t>(axis)]; };
  auto const days = static_cast<std::size_t>(run.days);
  std::size_t const pools = run.pools.size();
  double const interval = run.policies[policy].visit_interval_d;
  Luck weather(run.seed, replicate, 0);  // common to all policies
  Luck own(run.seed, replicate, static_cast<std::uint32_t>(policy) + 1);
  double const wet = weather.normal();
  sim::TaskResult result;
  result.policy = policy;
  result.replicate = replicate;
  for (auto const& variable : results::variables()) {
    if (auto const* member = std::get_if<results::PoolMember>(&variable.source)) {
      for (std::size_t i = 0; i < pools; ++i) (result.pools.**member).push_back(0.5 * own.uniform());
    } else if (auto const* month = std::get_if<results::MonthMember>(&variable.source)) {
      for (std::size_t m = 0; m < length(results::Axis::month); ++m)
        (result.months.**month).push_back(10.0 + own.uniform());
    } else if (auto const* band = std::get_if<results::DayBandMember>(&variable.source)) {
      for (std::size_t q = 0; q < sim::day_quantiles.size(); ++q) {
        for (std::size_t d = 0; d < days; ++d) {
          (result.days.**band)[q].push_back(
              static_cast<float>(3.0 + 0.1 * static_cast<double>(q) + 0.01 * own.uniform()));
        }
      }
    } else if (auto const* day = std::get_if<results::DayMember>(&variable.source)) {
      for (std::size_t d = 0; d < days; ++d) (result.days.**day).push_back(static_cast<float>(own.uniform()));
    } else if (auto const* technician = std::get_if<results::TechnicianMember>(&variable.source)) {
      (result.technicians.**technician).resize(run.technicians.size());
      for (auto& line : result.technicians.**technician) {
        for (std::size_t d = 0; d < days; ++d) {
          line.push_back(run.working_days[d] ? static_cast<float>(9000.0 + 9000.0 * own.uniform()) : 0.0F);
        }
      }
    }
  }
  auto& p = result.pools;
  for (std::size_t i = 0; i < pools; ++i) {
    p.open_hours[i] = 24.0 * run.days;
    p.free_chlorine_in_range[i] = std::clamp(0.95 - 0.01 * interval - 0.02 * wet + 0.01 * own.normal(), 0.0, 1.0);
    p.visits[i] = std::floor(run.days / interval);
    p.cost[i] = run.days * (8.0 / interval + 0.3) + 2.0 * wet + own.normal();
    p.revenue[i] = 130.0 * run.days / 30.4375;
    p.salt_added[i] = 25.0 + 8.0 * wet + own.uniform();
  }
  float const unread = std::numeric_limits<float>::quiet_NaN();
  for (std::size_t i = 0; i < pools; ++i) {
    for (double day = static_cast<double>(i % 7); day < run.days; day += interval) {
      sim::VisitRecord visit;
      visit.time_s = std::floor(day) * 86400.0 + 36000.0 + std::floor(3600.0 * own.uniform());
      visit.pool = static_cast<std::uint32_t>(i);
      visit.technician = static_cast<std::uint32_t>(i % run.technicians.size());
      visit.tasks = 1;
      visit.reasons = 1;
      visit.free_chlorine_reading = static_cast<float>(0.003 + 0.0005 * own.normal());
      visit.ph_reading = static_cast<float>(7.5 + 0.1 * own.normal());
      visit.alkalinity_reading = own.uniform() < 0.3 ? static_cast<float>(1.6 + 0.1 * own.normal()) : unread;
      visit.calcium_reading = unread;
      visit.cyanuric_acid_reading = unread;
      visit.salt_reading = own.uniform() < 0.5 ? static_cast<float>(3.2 + 0.1 * own.normal()) : unread;
      visit.unit_salt_reading = static_cast<float>(3.2 + 0.2 * own.normal());
      visit.acid_added = static_cast<float>(0.0003 + 0.0001 * own.uniform());
      visit.output_setting = 0.5F;
      visit.pump_hours = 10.0F;
      visit.service_time = static_cast<float>(1200.0 + 300.0 * own.uniform());
      result.visits.push_back(visit);
    }
  }
  for (auto const pool : run.trace_pools) {
    sim::PoolTrace trace;
    trace.pool = pool;
    for (auto const& variable : results::variables()) {
      if (auto const* member = std::get_if<results::TraceMember>(&variable.source)) {
        for (std::size_t h = 0; h < days * 24; ++h) (trace.**member).push_back(static_cast<float>(1.0 + own.uniform()));
      }
    }
    result.traces.push_back(std::move(trace));
  }
  result.book_errors = {.water = 1e-13, .salt = 2e-12 * own.uniform()};
  result.simulated_pool_hours = static_cast<double>(pools) * run.days * 24.0;
  result.kernel_s = result.simulated_pool_hours * 15e-9;
  result.total_s = result.simulated_pool_hours * 40e-9;
  return result;
}

}  // namespace brinecast::tests
