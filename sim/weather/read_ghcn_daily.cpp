#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "models/constants.hpp"
#include "sim/scenario/units.hpp"
#include "sim/weather/readers.hpp"
#include "sim/weather/record_builder.hpp"

namespace brinecast::sim {

namespace {

/// An element and how its whole numbers become SI: section III of the archive's readme.
struct Element {
  std::string_view name;
  double DayOfRecord::*member;
  double slope, offset;
  double lowest, highest;  // accepted, SI
};

// Limits: the wettest day on record has 1.825 m (Foc-Foc 1966; World Meteorological Organization, from memory).
constexpr std::array<Element, 5> elements{{
    {"PRCP", &DayOfRecord::rain_m, 1e-4, 0.0, 0.0, 1.9},
    {"TMAX", &DayOfRecord::high_K, 0.1, models::celsius_zero_K, 183.0, 331.0},
    {"TMIN", &DayOfRecord::low_K, 0.1, models::celsius_zero_K, 183.0, 331.0},
    {"AWND", &DayOfRecord::wind_speed_m_per_s, 0.1, 0.0, 0.0, 75.0},
    {"ADPT", &DayOfRecord::dew_point_K, 0.1, models::celsius_zero_K, 183.0, 310.0},
}};

Element const* find_element(std::string_view name) {
  auto const found = std::find_if(elements.begin(), elements.end(), [&](Element const& e) { return e.name == name; });
  return found == elements.end() ? nullptr : &*found;
}

/// Collects values of one station and what was odd about them.
class StationDays {
 public:
  /// False when the day is too far from the others.
  bool add(Element const& element, std::chrono::sys_days day, int value, bool flagged) {
    DayOfRecord* const place = days_.day(day);
    if (place == nullptr) return false;
    if (value == -9999) return true;
    if (flagged) {
      ++flagged_;
      return true;
    }
    double const si = element.slope * value + element.offset;
    if (si < element.lowest || si > element.highest) {
      ++impossible_;
      return true;
    }
    double& slot = place->*element.member;
    if (!std::isnan(slot)) {
      ++repeated_;
      return true;
    }
    slot = si;
    return true;
  }

  void add_amount_of_several_days() { ++several_days_; }

  bool finish(Reading const& reading, WeatherFile& file, std::string station_id) {
    if (days_.empty())
      return reading.fault(
          "there is no value of PRCP, TMAX or TMIN; name a station that measures rain and temperature");
    DailyRecord record;
    record.station.name = std::move(station_id);
    days_.finish(record, file.notes);
    if (flagged_ > 0)
      file.notes.push_back(fmt::format("{} values failed the archive's quality checks and were dropped", flagged_));
    if (impossible_ > 0)
      file.notes.push_back(fmt::format("{} values are outside what occurs on Earth and were dropped", impossible_));
    if (repeated_ > 0) file.notes.push_back(fmt::format("{} values come twice; the first counts", repeated_));
    if (several_days_ > 0) {
      file.notes.push_back(fmt::format(
          "{} amounts of rain cover several days (element MDPR) and are not used; their days count as missing",
          several_days_));
    }
    file.daily = std::move(record);
    return true;
  }

 private:
  DailyBuilder days_;
  int flagged_ = 0, impossible_ = 0, repeated_ = 0, several_days_ = 0;
};

}  // namespace

bool looks_like_ghcn_fixed_width(std::string const& line) {
  constexpr std::size_t shortest = 21 + 31 * 8 - 3;  // blank flags at the end may be cut off by editors
  if (line.size() < shortest || line.size() > 270 || line.find(',') != std::string::npos) return false;
  auto const year = whole_number(std::string_view(line).substr(11, 4));
  auto const month = whole_number(std::string_view(line).substr(15, 2));
  return year && month && *year > 1700 && *year < 2200 && *month >= 1 && *month <= 12 &&
         std::isupper(static_cast<unsigned char>(line[17])) != 0;
}

bool read_ghcn_fixed_width(Reading const& reading, std::string line, WeatherFile& file) {
  file.format = "GHCN-Daily";
  std::string const station = line.substr(0, 11);
  StationDays days;
  do {
    if (trimmed(line).empty()) continue;
    if (!looks_like_ghcn_fixed_width(line)) {
      return reading.fault(
          "the line is not 269 characters of GHCN-Daily (station, year, month, element, 31 values); the file seems cut "
          "or damaged, get it again");
    }
    if (line.compare(0, 11, station) != 0) {
      return reading.fault(
          fmt::format("a second station {} follows {}; give each station its own file", line.substr(0, 11), station));
    }
    auto const name = std::string_view(line).substr(17, 4);
    Element const* const element = find_element(name);
    if (element == nullptr && name != "MDPR") continue;
    line.resize(269, ' ');
    int const year = *whole_number(std::string_view(line).substr(11, 4));
    int const month = *whole_number(std::string_view(line).substr(15, 2));
    for (int d = 1; d <= 31; ++d) {
      std::size_t const at = 21 + 8 * static_cast<std::size_t>(d - 1);
      auto const value = whole_number(std::string_view(line).substr(at, 5));
      if (!value)
        return reading.fault(fmt::format("day {}: \"{}\" is not a whole number; the file seems damaged, get it again",
                                         d, line.substr(at, 5)));
      auto const day = valid_day(year, month, d);
      if (!day) {
        if (*value != -9999)
          return reading.fault(fmt::format(
              "there is a value for {}-{:02}-{:02}, a day that does not exist; the file seems damaged, get it again",
              year, month, d));
        continue;
      }
      if (element == nullptr) {
        if (*value != -9999) days.add_amount_of_several_days();
        continue;
      }
      if (!days.add(*element, *day, *value, line[at + 6] != ' ')) {
        return reading.fault("the days span more than 200 years; the file seems damaged, get it again");
      }
    }
  } while (reading.lines.next(line));
  return days.finish(reading, file, station);
}

bool looks_like_ghcn_csv(std::string const& line) {
  std::vector<std::string> fields;
  split_fields(line, fields);
  if (fields.size() < 4) return false;
  if (fields[0] == "STATION" || (fields[0] == "ID" && fields[1] == "DATE")) return true;
  return fields[0].size() == 11 && fields[1].size() == 8 && whole_number(fields[1]) && fields[2].size() == 4 &&
         whole_number(fields[3]);
}

namespace {

/// A row an element: station, date, element, value and the three flags.
bool read_elements(Reading const& reading, std::string line, WeatherFile& file) {
  std::vector<std::string> fields;
  StationDays days;
  std::string station;
  do {
    if (trimmed(line).empty() || line.starts_with("ID,DATE")) continue;
    split_fields(line, fields);
    if (fields.size() < 7)
      return reading.fault(fmt::format(
          "the row has {} fields, GHCN-Daily by year has 8; the file seems cut, get it again", fields.size()));
    if (station.empty()) station = fields[0];
    if (fields[0] != station)
      return reading.fault(
          fmt::format("a second station {} follows {}; give each station its own file", fields[0], station));
    Element const* const element = find_element(fields[2]);
    auto const date = whole_number(fields[1]), value = whole_number(fields[3]);
    auto const day = date ? valid_day(*date / 10'000, *date / 100 % 100, *date % 100) : std::nullopt;
    if (!day || !value)
      return reading.fault(
          fmt::format("\"{}\" and \"{}\" are not a date and a whole number; the file seems damaged, get it again",
                      fields[1], fields[3]));
    if (fields[2] == "MDPR") days.add_amount_of_several_days();
    if (element == nullptr) continue;
    if (!days.add(*element, *day, *value, !fields[5].empty()))
      return reading.fault("the days span more than 200 years; the file seems damaged, get it again");
  } while (reading.lines.next(line));
  return days.finish(reading, file, station);
}

/// A row a day, a column an element, each followed by its flags.
bool read_day_rows(Reading const& reading, std::string const& header, WeatherFile& file) {
  struct Place {
    Element const* element = nullptr;
    std::size_t value = 0;
    std::optional<std::size_t> flags;
  };
  std::vector<std::string> names, fields;
  split_fields(header, names);
  auto const cell_of = [&](std::string_view name) -> std::optional<std::size_t> {
    auto const found = std::find(names.begin(), names.end(), name);
    return found == names.end() ? std::nullopt : std::optional(static_cast<std::size_t>(found - names.begin()));
  };
  std::vector<Place> places;
  for (auto const& element : elements) {
    if (auto const value = cell_of(element.name))
      places.push_back({&element, *value, cell_of(std::string(element.name) + "_ATTRIBUTES")});
  }
  auto const date_cell = cell_of("DATE"), latitude_cell = cell_of("LATITUDE"), longitude_cell = cell_of("LONGITUDE"),
             elevation_cell = cell_of("ELEVATION");
  if (!date_cell || places.empty())
    return reading.fault("the table has no DATE or none of PRCP, TMAX, TMIN; get it again with these");
  StationDays days;
  std::string line, station;
  Station where;
  bool flags_seen = false;
  while (reading.lines.next(line)) {
    if (trimmed(line).empty()) continue;
    split_fields(line, fields);
    if (fields.size() != names.size())
      return reading.fault(fmt::format("the row has {} fields and the header {}; the file seems cut, get it again",
                                       fields.size(), names.size()));
    if (station.empty()) {
      station = fields[0];
      if (latitude_cell && longitude_cell) {
        auto const north = read_number(fields[*latitude_cell]), east = read_number(fields[*longitude_cell]);
        if (north && east) where.position = Position{*east, *north};
      }
      if (elevation_cell) where.elevation_m = read_number(fields[*elevation_cell]);
    }
    if (fields[0] != station)
      return reading.fault(
          fmt::format("a second station {} follows {}; give each station its own file", fields[0], station));
    int year = 0, month = 0, day_of_month = 0;
    bool const dated = std::sscanf(fields[*date_cell].c_str(), "%4d-%2d-%2d", &year, &month, &day_of_month) == 3;
    auto const day = dated ? valid_day(year, month, day_of_month) : std::nullopt;
    if (!day)
      return reading.fault(fmt::format("\"{}\" is not a date; write for example 2024-07-14", fields[*date_cell]));
    for (Place const& place : places) {
      std::string const& cell = fields[place.value];
      if (cell.empty()) continue;
      auto const value = whole_number(cell);
      // The archive's own files hold whole tenths; exports for people hold decimals, in inches and degF or in mm and
      // degC, and do not say which.
      if (!value) {
        return reading.fault(
            fmt::format("column {}: \"{}\" is not a whole number of tenths as the archive stores it; exports in other "
                        "units must be given as a table with a unit in each header",
                        place.element->name, cell));
      }
      bool flagged = false;
      if (place.flags) {
        flags_seen = true;
        std::string const& flags = fields[*place.flags];  // measurement, quality, source
        auto const comma = flags.find(',');
        flagged = comma != std::string::npos && comma + 1 < flags.size() && flags[comma + 1] != ',' &&
                  flags[comma + 1] != ' ';
      }
      if (!days.add(*place.element, *day, *value, flagged))
        return reading.fault("the days span more than 200 years; the file seems damaged, get it again");
    }
  }
  if (!days.finish(reading, file, station)) return false;
  file.daily->station.position = where.position;
  file.daily->station.elevation_m = where.elevation_m;
  if (!flags_seen)
    file.notes.push_back(
        "the table has no columns of flags, so that values which failed the archive's checks cannot be told");
  return true;
}

}  // namespace

bool read_ghcn_csv(Reading const& reading, std::string line, WeatherFile& file) {
  file.format = "GHCN-Daily";
  return line.starts_with("STATION") || line.starts_with("\"STATION") ? read_day_rows(reading, line, file)
                                                                      : read_elements(reading, line, file);
}

}  // namespace brinecast::sim
