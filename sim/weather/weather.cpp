#include "sim/weather/weather.hpp"

#include <optional>

#include "sim/weather/climate_table.hpp"
#include "sim/weather/fit_generator.hpp"
#include "sim/weather/hours_of_day.hpp"

namespace brinecast::sim {

namespace {

/// The scenario's what-if on days.
void bend(DaysOfWeather& days, WeatherSpec const& spec) {
  for (std::size_t d = 0; d < days.days.size(); ++d) {
    DayOfWeather& day = days.days[d];
    auto const date = days.day(d);
    double warming_K = spec.warming_K;
    for (auto const& wave : spec.heat_waves) {
      if (date >= wave.first_day && date < wave.first_day + std::chrono::days(wave.days)) warming_K += wave.warming_K;
    }
    day.rain_m *= spec.rain_factor;
    day.mean_temperature_K += warming_K;
    day.dew_point_K += warming_K;
  }
}

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
    auto made = generate_days(model_, field_, place, first_day - std::chrono::days(1), days + 2);
    bend(made, spec_);
    return hours_of_days(made, {sites_[index_of(site)].position, utc_offset_h_}, field_, place);
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
  auto const table = read_climate_table(scenario.weather.climate_file, problems);
  if (!table) return nullptr;
  Site const& site = scenario.sites.front();
  ClimatePlace const place{site.position, site.elevation_m, scenario.season.utc_offset_h};
  return std::make_unique<GeneratedWeather>(scenario, generator_from_climate(*table, place));
}

}  // namespace brinecast::sim
