// brinecast check: every problem of a scenario at once, or what it describes.

#include <fmt/format.h>

#include <iostream>
#include <set>

#include "results/run_size.hpp"
#include "sim/ensemble/ensemble.hpp"
#include "sim/rounds/travel.hpp"
#include "sim/scenario/date_text.hpp"
#include "sim/scenario/read_scenario.hpp"
#include "sim/scenario/units.hpp"
#include "sim/weather/weather.hpp"
#include "tools/brinecast/command.hpp"
#include "tools/brinecast/findings.hpp"

namespace brinecast::tools {

namespace {

std::string_view weather_text(sim::WeatherKind kind) {
  switch (kind) {
    case sim::WeatherKind::generated:
      return "generated";
    case sim::WeatherKind::measured:
      return "measured";
    case sim::WeatherKind::resampled:
      return "resampled from measured years";
  }
  return "";
}

std::string_view roads_text(sim::RoadKind kind) {
  switch (kind) {
    case sim::RoadKind::osm_extract:
      return "road extract";
    case sim::RoadKind::straight_line:
      return "straight lines with a detour factor";
    case sim::RoadKind::matrix:
      return "given travel times";
  }
  return "";
}

void print_summary(sim::Scenario const& scenario, sim::WeatherSource const& weather, sim::UnitSystem units) {
  double water_m3 = 0.0;
  std::set<std::string> neighbourhoods;
  for (auto const& pool : scenario.pools) {
    water_m3 += pool.water_volume_m3;
    neighbourhoods.insert(pool.neighbourhood);
  }
  std::string policies;
  for (auto const& policy : scenario.policies) policies += (policies.empty() ? "" : ", ") + policy.name;
  auto const last_day = scenario.season.first_day + std::chrono::days{scenario.season.days - 1};
  std::cout << fmt::format("scenario     {}\n", scenario.name)
            << fmt::format("season       {} to {}, {} days\n", sim::date_text(scenario.season.first_day),
                           sim::date_text(last_day), scenario.season.days)
            << fmt::format("pools        {} in {} neighbourhoods, {} of water\n", scenario.pools.size(),
                           neighbourhoods.size(), sim::format_quantity(water_m3, sim::Quantity::water_volume, units, 0))
            << fmt::format("technicians  {}\n", scenario.technicians.size())
            << fmt::format("weather      {}, {} site{}\n", weather_text(scenario.weather.kind), scenario.sites.size(),
                           scenario.sites.size() == 1 ? "" : "s")
            << fmt::format("roads        {}\n", roads_text(scenario.roads.kind))
            << fmt::format("policies     {}\n", policies) << fmt::format("replicates   {}\n", scenario.replicates);
  int const threads = sim::threads_of({});
  results::RunSize const size = results::size_of(results::shape_of(scenario, threads));
  std::cout << fmt::format("a run takes  about {} of memory on {} thread{}, {} of disk, {:.0f} logged visits\n",
                           results::bytes_text(size.memory_bytes), threads, threads == 1 ? "" : "s",
                           results::bytes_text(size.disk_bytes), size.visits);
  for (auto const& note : weather.notes()) std::cerr << note << '\n';
}

int run(Arguments const& arguments) {
  CommandLine line("check", "report every problem of a scenario at once, or summarise it");
  line.positional("scenario", "SCENARIO", "scenario file (TOML)");
  std::string units = "si";
  line.options().add_options()(
      "units",
      boost::program_options::value(&units)->default_value(units)->value_name("si|us")->notifier(
          one_of("units", {"si", "us"})),
      "units of the summary");
  int exit_code = fine;
  auto const values = line.parse(arguments, exit_code);
  if (!values) return exit_code;

  sim::Problems problems;
  auto const scenario = sim::read_scenario((*values)["scenario"].as<std::string>(), problems);
  std::unique_ptr<sim::WeatherSource> weather;
  if (scenario) {
    weather = sim::open_weather(*scenario, problems);
    sim::travel_table(*scenario, problems);
    auto const findings = findings_of(*scenario);
    for (auto const* found : {&findings.errors, &findings.warnings}) {
      for (auto const& problem : found->all()) problems.add(problem);
    }
    for (auto const& caution : findings.cautions) std::cerr << "caution: " << caution << '\n';
  }
  if (!problems.empty()) {
    std::cerr << problems.text();
    return input_at_fault;
  }
  print_summary(*scenario, *weather, units == "us" ? sim::UnitSystem::us : sim::UnitSystem::si);
  return fine;
}

CommandRegistration const registration({"check", "report every problem of a scenario at once", run});

}  // namespace

}  // namespace brinecast::tools
