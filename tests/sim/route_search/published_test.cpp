#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "sim/rounds/search/check.hpp"
#include "sim/rounds/search/instance_files.hpp"

using namespace brinecast::sim::search;
namespace fs = std::filesystem;

namespace {

fs::path routing_data() {
  char const* const data = std::getenv("BRINECAST_DATA");
  return (data != nullptr ? fs::path(data) : fs::path(BRINECAST_SOURCE_DIR) / "../shared/data") / "routing";
}

bool data_present() {
  if (fs::exists(routing_data())) return true;
  WARN("SKIPPED: published routing instances are not at " << routing_data());
  return false;
}

Instance instance_at(fs::path const& path) {
  auto read = read_instance(path);
  if (auto const* fault = std::get_if<InstanceFault>(&read)) FAIL(fault->line);
  return std::move(std::get<Instance>(read));
}

}  // namespace

// Values: CVRPLIB (Uchoa et al., "New benchmark instances for the CVRP", European Journal of Operational Research 257,
// 2017, and the sets collected there); periodic ones as collected by Azad et al., IEEE Transactions on Cybernetics,
// 2017.
TEST_CASE("published instances are solved to within half a percent of the best known value",
          "[sim][route_search][published]") {
  if (!data_present()) return;
  struct Case {
    char const* file;
    double best_known;
    std::int64_t iterations;
  };
  for (Case const& published :
       {Case{"cvrp/A-n32-k5.vrp", 784, 150}, Case{"cvrp/B-n35-k5.vrp", 955, 150}, Case{"cvrp/E-n51-k5.vrp", 521, 400},
        Case{"cvrp/P-n101-k4.vrp", 681, 300}, Case{"cvrp/X-n101-k25.vrp", 27591, 2500},
        Case{"cvrp/CMT6.vrp", 555.43, 300}, Case{"pvrp/p01.txt", 524.61, 400}, Case{"pvrp/p02.txt", 1322.87, 5000},
        Case{"pvrp/p14.txt", 954.81, 150}, Case{"pvrp/p15.txt", 1862.63, 200}, Case{"pvrp/pr01.txt", 2209.02, 400}}) {
    INFO(published.file);
    Instance const instance = instance_at(routing_data() / published.file);
    Solution const solution = search_rounds(instance.problem, {.seed = 1, .iterations = published.iterations});
    Verdict const verdict = check_solution(instance.problem, solution);
    CHECK(verdict.faults.empty());
    CHECK(verdict.cost == solution.cost);
    double const cost = static_cast<double>(solution.cost) * instance.unit;
    CHECK(cost <= published.best_known * 1.005);
    CHECK(cost >= published.best_known * 0.99999 - 0.01);  // best known values are printed to two decimals
  }
}

TEST_CASE("published solutions of periodic instances check as feasible at their published cost",
          "[sim][route_search][published]") {
  if (!data_present()) return;
  // Solutions of Cordeau, Gendreau & Laporte, "A tabu search heuristic for periodic and multi-depot vehicle routing
  // problems", Networks 30, 1997: total cost, then day, vehicle, duration, load, stops between two zeros.
  for (std::string const name : {"p02", "p04", "p08", "p10", "p14", "p19", "pr01", "pr03"}) {
    INFO(name);
    Instance const instance = instance_at(routing_data() / "pvrp" / (name + ".txt"));
    std::ifstream file(routing_data() / "pvrp" / (name + ".res"));
    double published = 0.0;
    REQUIRE(file >> published);
    Solution solution;
    solution.patterns.assign(instance.problem.customers.size(), -1);
    std::vector<std::uint64_t> days(instance.problem.customers.size(), 0);
    std::string line;
    while (std::getline(file, line)) {
      std::istringstream words(line);
      int day = 0, vehicle = 0, stop = 0;
      double duration = 0.0, load = 0.0;
      if (!(words >> day >> vehicle >> duration >> load >> stop)) continue;
      VehicleDay round{.day = day - 1, .kind = 0, .vehicle = vehicle - 1, .customers = {}};
      while (words >> stop && stop != 0) {
        round.customers.push_back(stop - 1);
        days[static_cast<std::size_t>(stop - 1)] |= std::uint64_t{1} << (day - 1);
      }
      if (!round.customers.empty()) solution.rounds.push_back(std::move(round));
    }
    for (std::size_t customer = 0; customer < days.size(); ++customer) {
      auto const& patterns = instance.problem.customers[customer].patterns;
      for (std::size_t choice = 0; choice < patterns.size(); ++choice)
        if (patterns[choice].days == days[customer]) solution.patterns[customer] = static_cast<int>(choice);
    }
    Verdict const verdict = check_solution(instance.problem, solution);
    for (std::string const& fault : verdict.faults) UNSCOPED_INFO(fault);
    CHECK(verdict.faults.empty());
    CHECK(static_cast<double>(verdict.cost) * instance.unit == Approx(published).margin(0.01));
  }
}
