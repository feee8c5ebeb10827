#pragma once
// Weather files for the tests: real ones where they are kept, small ones written on the spot.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "sim/weather/day_of_weather.hpp"
#include "sim/weather/record.hpp"
#include "sim/weather/weather.hpp"

namespace brinecast::tests {

/// A file of the open data beside the source (BRINECAST_DATA), or nothing, told as a warning.
std::optional<std::filesystem::path> open_data(std::string const& name);

/// Seattle's daily record 2012-2015 as Debian's python3-vega-datasets carries it.
std::filesystem::path seattle_record();

/// Every daily record of several years at hand: Seattle's, and those of the open data.
std::vector<std::filesystem::path> daily_records();

/// A record's days as a generator is fitted to them, gaps filled.
sim::DaysOfWeather days_of_record(std::filesystem::path const& path);

/// A file that lives as long as the object.
class TemporaryFile {
 public:
  TemporaryFile(std::string const& name, std::string const& content);
  TemporaryFile(TemporaryFile const&) = delete;
  TemporaryFile& operator=(TemporaryFile const&) = delete;
  ~TemporaryFile();
  [[nodiscard]] std::filesystem::path const& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

/// Reads a file that must be sound.
sim::WeatherFile sound_file(std::filesystem::path const& path);

/// The one line that tells what is wrong with a file; fails when there is none or more.
std::string fault_of(std::filesystem::path const& path);

bool any_note_has(std::vector<std::string> const& notes, std::string const& words);

std::chrono::sys_days date(int year, unsigned month, unsigned day);

/// A scenario with one site and weather of the valley's climate, one year from 2031-01-01.
sim::Scenario valley_scenario();

/// One element of one month in the fixed width of GHCN-Daily; `values` has 31 groups "value flags" as written.
std::string ghcn_line(int year, int month, std::string const& element, std::vector<int> const& values,
                      std::string const& flags = "   ");

}  // namespace brinecast::tests
