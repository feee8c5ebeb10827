#pragma once
// One function for each format. Each gets the file from its first line and tells the first fault through `fault`.

#include <functional>

#include "sim/weather/line_reader.hpp"
#include "sim/weather/record.hpp"

namespace brinecast::sim {

/// What a reader works with.
struct Reading {
  LineReader& lines;
  std::filesystem::path const& path;
  Problems& problems;

  /// Adds the problem of the line last read; always false, so that a reader can return it.
  bool fault(std::string message) const {
    problems.add({path.string(), lines.line_number(), 0, "", std::move(message)});
    return false;
  }
};

/// Typical meteorological years 3: Wilcox and Marion, "Users manual for TMY3 data sets", NREL/TP-581-43156, 2008.
/// `line` is the first line, already read; likewise below.
bool read_tmy3(Reading const& reading, std::string line, WeatherFile& file);
/// Typical meteorological years 2: Marion and Urban, "User's manual for TMY2s", NREL, 1995.
bool read_tmy2(Reading const& reading, std::string line, WeatherFile& file);
/// EPW, the weather format of building energy simulation: Crawley, Hand, Lawrie, 1999, and its published field list.
bool read_epw(Reading const& reading, std::string line, WeatherFile& file);
/// GHCN-Daily, fixed width: the readme.txt of the archive; Menne, Durre, Vose, Gleason, Houston, J. Atmos. Oceanic
/// Technol. 29, 2012.
bool read_ghcn_fixed_width(Reading const& reading, std::string line, WeatherFile& file);
/// GHCN-Daily as comma separated values: by year (a row per element, no header) or by station (a row per day).
bool read_ghcn_csv(Reading const& reading, std::string line, WeatherFile& file);
/// Comma separated values with a unit in each header, hourly or daily; see read_plain_csv.cpp for the columns.
bool read_plain_csv(Reading const& reading, std::string line, WeatherFile& file);

/// What each format's first line looks like.
bool looks_like_tmy3(std::string const& line);
bool looks_like_tmy2(std::string const& line);
bool looks_like_epw(std::string const& line);
bool looks_like_ghcn_fixed_width(std::string const& line);
bool looks_like_ghcn_csv(std::string const& line);
bool looks_like_plain_csv(std::string const& line);

}  // namespace brinecast::sim
