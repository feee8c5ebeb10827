#include "sim/weather/weather.hpp"

#include "sim/weather/generated_weather.hpp"
#include "sim/weather/measured_weather.hpp"

namespace brinecast::sim {

std::unique_ptr<WeatherSource> open_weather(Scenario const& scenario, Problems& problems) {
  return scenario.weather.kind == WeatherKind::generated ? open_generated_weather(scenario, problems)
                                                         : open_measured_weather(scenario, problems);
}

}  // namespace brinecast::sim
