#include <fmt/format.h>

#include <algorithm>
#include <charconv>
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

std::optional<int> whole(std::string_view text) {
  text = trimmed(text);
  int value = 0;
  auto const [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
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
    if (days_.empty()) return reading.fault("there is no value of PRCP, TMAX or TMIN; name a station that measures rain and temperature");
    DailyRecord record;
    record.station.name = std::move(station_id);
    days_.finish(record, file.notes);
    if (flagged_ > 0) file.notes.push_back(fmt::format("{} values failed the archive's quality checks and were dropped", flagged_));
    if (impossible_ > 0) file.notes.push_back(fmt::format("{} values are outside what occurs on Earth and were dropped", impossible_));
    if (repeated_ > 0) file.notes.push_back(fmt::format("{} values come twice; the first counts", repeated_));
    if (several_days_ > 0) {
      file.notes.push_back(fmt::format("{} amounts of rain cover several days (element MDPR) and are not used; their days count as missing",
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
  auto const year = whole(std::string_view(line).substr(11, 4));
  auto const month = whole(std::string_view(line).substr(15, 2));
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
      return reading.fault("the line is not 269 characters of GHCN-Daily (station, year, month, element, 31 values); the file seems cut or damaged, get it again");
    }
    if (line.compare(0, 11, station) != 0) {
      return reading.fault(fmt::format("a second station {} follows {}; give each station its own file", line.substr(0, 11), station));
    }
    auto const name = std::string_view(line).substr(17, 4);
    Element const* const element = find_element(name);
    if (element == nullptr && name != "MDPR") continue;
    line.resize(269, ' ');
    int const year = *whole(std::string_view(line).substr(11, 4));
    int const month = *whole(std::string_view(line).substr(15, 2));
    for (int d = 1; d <= 31; ++d) {
      std::size_t const at = 21 + 8 * static_cast<std::size_t>(d - 1);
      auto const value = whole(std::string_view(line).substr(at, 5));
      if (!value) return reading.fault(fmt::format("day {}: \"{}\" is not a whole number; the file seems damaged, get it again", d, line.substr(at, 5)));
      auto const day = valid_day(year, month, d);
      if (!day) {
        if (*value != -9999) return reading.fault(fmt::format("there is a value for {}-{:02}-{:02}, a day that does not exist; the file seems damaged, get it again", year, month, d));
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

}  // namespace brinecast::sim
