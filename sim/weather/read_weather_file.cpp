#include <fmt/format.h>

#include "sim/weather/readers.hpp"

namespace brinecast::sim {

namespace {

bool looks_like_climate_table(std::string const& line) {
  return line.starts_with("month,") || line.starts_with("month [");
}

}  // namespace

std::optional<WeatherFile> read_weather_file(std::filesystem::path const& path, Problems& problems) {
  LineReader lines(path);
  Problems found;
  Reading const reading{lines, path, found};
  WeatherFile file;
  std::string line;
  // Comments and blank lines may come before tables of our own kind.
  bool any = false;
  while (lines.next(line)) {
    any = true;
    if (!trimmed(line).empty() && line.front() != '#') break;
    line.clear();
  }
  auto const read = [&]() -> bool {
    if (line.empty())
      return lines.fault().empty() && reading.fault(any ? "the file holds nothing but comments"
                                                        : "the file is empty; get it again from its source");
    if (looks_like_tmy3(line)) return read_tmy3(reading, line, file);
    if (looks_like_tmy2(line)) return read_tmy2(reading, line, file);
    if (looks_like_epw(line)) return read_epw(reading, line, file);
    if (looks_like_ghcn_csv(line)) return read_ghcn_csv(reading, line, file);
    if (looks_like_plain_csv(line)) return read_plain_csv(reading, line, file);
    if (looks_like_ghcn_fixed_width(line)) return read_ghcn_fixed_width(reading, line, file);
    if (looks_like_climate_table(line)) {
      file.format = "monthly climate figures";
      file.climate = read_climate_table(path, found);
      return file.climate.has_value();
    }
    return reading.fault(
        "the format is not known; TMY3, TMY2, EPW, GHCN-Daily, a table of hours or days with a unit in each header, or "
        "monthly climate figures are read");
  };
  bool const sound = read();
  // What stopped the reading counts, not what was made of the part that was read.
  if (!lines.fault().empty()) {
    problems.add({path.string(), 0, 0, "", lines.fault()});
    return std::nullopt;
  }
  for (auto const& problem : found.all()) problems.add(problem);
  if (!sound) return std::nullopt;
  return file;
}

}  // namespace brinecast::sim
