#include "records.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>

#include "sim/weather/complete_days.hpp"
#include "sim/weather/fill_gaps.hpp"

namespace brinecast::tests {

std::optional<std::filesystem::path> open_data(std::string const& name) {
  char const* const given = std::getenv("BRINECAST_DATA");
  std::filesystem::path const root =
      given != nullptr ? std::filesystem::path(given) : std::filesystem::path(BRINECAST_SOURCE) / "../shared/data";
  auto const path = root / "weather" / name;
  if (std::filesystem::exists(path)) return path;
  WARN("SKIPPED: " << name << " is not in BRINECAST_DATA");
  return std::nullopt;
}

std::filesystem::path seattle_record() {
  return "/usr/lib/python3/dist-packages/vega_datasets/_data/seattle-weather.csv";
}

std::vector<std::filesystem::path> daily_records() {
  std::vector<std::filesystem::path> paths{seattle_record()};
  for (std::string const name :
       {"ghcnd_USW00023183_phoenix_2005_2024.dly", "ghcnd_USW00012815_orlando_2005_2024.dly",
        "ghcnd_USW00012960_houston_bush_2005_2024.dly", "ghcnd_USW00023174_los_angeles_2005_2024.dly",
        "ghcnd_USW00014819_chicago_midway_2005_2024.dly", "ghcnd_USW00024230_redmond_or_2005_2024.dly",
        "ghcnd_USC00042319_death_valley_pan_1990_2015.dly"}) {
    if (auto const path = open_data(name)) paths.push_back(*path);
  }
  return paths;
}

sim::DaysOfWeather days_of_record(std::filesystem::path const& path) {
  constexpr sim::ClimatePlace somewhere{{-95.0, 35.0}, 0.0, -6.0};
  auto file = sound_file(path);
  std::vector<std::string> notes;
  sim::fill_gaps(*file.daily, notes);
  return sim::complete_days(*file.daily, nullptr, somewhere, notes);
}

TemporaryFile::TemporaryFile(std::string const& name, std::string const& content)
    : path_(std::filesystem::temp_directory_path() / fmt::format("brinecast-{}-{}", ::getpid(), name)) {
  std::ofstream(path_, std::ios::binary) << content;
}

TemporaryFile::~TemporaryFile() {
  std::error_code ignored;
  std::filesystem::remove(path_, ignored);
}

sim::WeatherFile sound_file(std::filesystem::path const& path) {
  sim::Problems problems;
  auto file = sim::read_weather_file(path, problems);
  INFO(problems.text());
  REQUIRE(file.has_value());
  return std::move(*file);
}

std::string fault_of(std::filesystem::path const& path) {
  sim::Problems problems;
  auto const file = sim::read_weather_file(path, problems);
  CHECK_FALSE(file.has_value());
  INFO(problems.text());
  REQUIRE(problems.all().size() == 1);
  CHECK(problems.all().front().file == path.string());
  std::string const message = problems.all().front().message;
  CHECK(message.find('\n') == std::string::npos);
  CHECK(message.size() < 300);
  return message;
}

bool any_note_has(std::vector<std::string> const& notes, std::string const& words) {
  return std::any_of(notes.begin(), notes.end(),
                     [&](std::string const& note) { return note.find(words) != std::string::npos; });
}

std::chrono::sys_days date(int year, unsigned month, unsigned day) {
  return std::chrono::year{year} / static_cast<int>(month) / static_cast<int>(day);
}

sim::Scenario valley_scenario() {
  sim::Scenario scenario;
  scenario.sites = {{"valley", {-95.4, 30.0}, 30.0}};
  scenario.season = {.first_day = date(2031, 1, 1), .days = 365, .utc_offset_h = -6.0, .holidays = {}};
  scenario.weather.climate_file = std::filesystem::path(BRINECAST_SOURCE) / "scenarios/valley/climate.csv";
  return scenario;
}

std::string ghcn_line(int year, int month, std::string const& element, std::vector<int> const& values,
                      std::string const& flags) {
  std::string line = fmt::format("XX000012345{:04}{:02}{}", year, month, element);
  for (std::size_t d = 0; d < 31; ++d) line += fmt::format("{:5}{}", d < values.size() ? values[d] : -9999, flags);
  return line + '\n';
}

}  // namespace brinecast::tests
