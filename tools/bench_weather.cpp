// Time of a year of hourly weather, for one site and for several, first replicates and far ones.

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <ctime>
#include <vector>

#include "sim/weather/weather.hpp"

namespace {

using namespace brinecast::sim;

/// Median and quickest of single years, in ms.
struct Times {
  double median_ms, quickest_ms;
};

Times measure(WeatherSource const& source, std::uint32_t first_replicate, std::uint32_t sites) {
  std::vector<double> times_ms;
  auto const first_day = std::chrono::sys_days{std::chrono::year{2031} / 1 / 1};
  for (std::uint32_t run = 0; run < 101; ++run) {
    std::clock_t const start = std::clock();  // of the processor: other programs on the machine do not count
    auto const season = source.season(1, first_replicate + run, SiteId{run % sites}, first_day, 365);
    times_ms.push_back(1e3 * static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
    if (season.size() != 8760) return {-1.0, -1.0};
  }
  std::sort(times_ms.begin(), times_ms.end());
  return {times_ms[times_ms.size() / 2], times_ms.front()};
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    fmt::print(stderr, "usage: bench_weather CLIMATE_FILE, for example scenarios/valley/climate.csv\n");
    return 2;
  }
  bool within_bar = true;
  for (std::uint32_t const sites : {1U, 4U}) {
    Scenario scenario;
    for (std::uint32_t s = 0; s < sites; ++s)
      scenario.sites.push_back({fmt::format("site {}", s), {-95.4 + 0.05 * s, 30.0}, 30.0});
    scenario.season.utc_offset_h = -6.0;
    scenario.weather.climate_file = argv[1];
    Problems problems;
    auto const source = open_weather(scenario, problems);
    if (!source) {
      fmt::print(stderr, "{}", problems.text());
      return 1;
    }
    for (std::uint32_t const first_replicate : {0U, 1'000'000U}) {
      Times const times = measure(*source, first_replicate, sites);
      within_bar = within_bar && times.quickest_ms > 0.0 && times.median_ms < 5.0;
      fmt::print(
          "{} site(s), replicates from {:>7}: a year of hours in {:.2f} ms (median; quickest {:.2f} ms; bar 5 ms)\n",
          sites, first_replicate, times.median_ms, times.quickest_ms);
    }
  }
  return within_bar ? 0 : 1;
}
