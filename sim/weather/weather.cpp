#include "sim/weather/weather.hpp"

#include <optional>

#include "sim/weather/climate_table.hpp"
#include "sim/weather/fit_generator.hpp"
#include "sim/weather/hours_of_day.hpp"
#include "sim/weather/measured_weather.hpp"
#include "sim/weather/what_if.hpp"

namespace brinecast::sim {

namespace {

class GeneratedWeather : public WeatherSource {
 public:
  GeneratedWeather(Scenario const& scenario, GeneratorModel model)
      : spec_(scenario.weather),
        sites_(scenario.sites),
        utc_offset_h_(scenario.season.utc_offset_h),
        field_(scenario.sites, scenario.weather.correlation_length_m),
        model_(std::move(model)) {}

  [[nodiscard]] WeatherSeason season(std::uint64_t seed, std::uint32_t replicate, SiteId site,
                                     std::chrono::sys_days first_day, int days) const override {
    GeneratedPlace const place{seed, replicate, site};
    auto const made = generate_days(model_, field_, place, first_day - std::chrono::days(1), days + 2);
    WeatherSeason season = hours_of_days(made, {sites_[index_of(site)].position, utc_offset_h_}, field_, place);
    bend_season(season, first_day, spec_);
    return season;
  }

 private:
  WeatherSpec spec_;
  std::vector<Site> sites_;
  double utc_offset_h_;
  SiteField field_;
  GeneratorModel model_;
};

}  // namespace

std::unique_ptr<WeatherSource> open_weather(Scenario const& scenario, Problems& problems) {
  if (scenario.weather.kind != WeatherKind::generated) return open_measured_weather(scenario, problems);
  auto const table = read_climate_table(scenario.weather.climate_file, problems);
  if (!table) return nullptr;
  Site const& site = scenario.sites.front();
  ClimatePlace const place{site.position, site.elevation_m, scenario.season.utc_offset_h};
  return std::make_unique<GeneratedWeather>(scenario, generator_from_climate(*table, place));
}

}  // namespace brinecast::sim
