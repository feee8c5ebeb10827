#include "sim/rounds/travel_file.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <fstream>
#include <limits>
#include <optional>
#include <unordered_map>

#include "sim/scenario/units.hpp"

namespace brinecast::sim {

namespace {

constexpr std::string_view expected_header = "from,to,time (s),distance (m)";
constexpr std::size_t most_problems = 20;  // of one kind; more of the same help nobody

/// Fields of a CSV line (RFC 4180, without line breaks inside fields).
std::vector<std::string> fields_of(std::string_view line) {
  std::vector<std::string> fields(1);
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    char const c = line[i];
    if (c == '"' && quoted && i + 1 < line.size() && line[i + 1] == '"') {
      fields.back() += '"';
      ++i;
    } else if (c == '"') {
      quoted = !quoted;
    } else if (c == ',' && !quoted) {
      fields.emplace_back();
    } else {
      fields.back() += c;
    }
  }
  return fields;
}

std::vector<std::string> place_words(Scenario const& scenario) {
  std::vector<std::string> words;
  for (Pool const& pool : scenario.pools) words.push_back(pool.name);
  for (Technician const& technician : scenario.technicians) words.push_back("start:" + technician.name);
  for (Technician const& technician : scenario.technicians) words.push_back("end:" + technician.name);
  return words;
}

std::optional<std::int32_t> amount(std::string const& text) {
  auto const number = read_number(text);
  if (!number || *number < 0.0 || *number > 1e8) return std::nullopt;
  return static_cast<std::int32_t>(std::lround(*number));
}

}  // namespace

TravelTable read_travel_file(Scenario const& scenario, Problems& problems) {
  std::string const file = scenario.roads.file.string();
  if (std::size_t const places = places_of(scenario).size(); places > most_places_of_pairs) {
    problems.add({file, 0, 0, "roads.file",
                  fmt::format("the fleet and its technicians are {} places, more than the {} accepted with given travel "
                              "times; use a road extract or straight lines",
                              places, most_places_of_pairs)});
    return {};
  }
  std::ifstream input(scenario.roads.file);
  if (!input) {
    problems.add({.file = file,
                  .place = "roads.file",
                  .message = "cannot be opened; give the path of a CSV file of travel times"});
    return {};
  }
  std::vector<std::string> const words = place_words(scenario);
  std::unordered_map<std::string, std::size_t> place_of;
  for (std::size_t place = 0; place < words.size(); ++place) place_of.emplace(words[place], place);
  constexpr std::int32_t unknown = -1;
  TravelTable table(words.size());
  for (std::size_t from = 0; from < words.size(); ++from) {
    for (std::size_t to = 0; to < words.size(); ++to) table.set(from, to, from == to ? 0 : unknown, 0);
  }
  std::string line;
  int number = 0;
  std::size_t faults = 0;
  auto const complain = [&](std::string place, std::string message) {
    if (++faults <= most_problems) problems.add({file, number, 0, std::move(place), std::move(message)});
  };
  while (std::getline(input, line)) {
    ++number;
    if (number == 1 && line.starts_with("\xEF\xBB\xBF")) line.erase(0, 3);
    while (!line.empty() && (line.back() == '\r' || line.back() == ' ')) line.pop_back();
    if (number == 1) {
      if (line != expected_header) {
        complain("", fmt::format("the first line must be \"{}\"", expected_header));
        return {};
      }
      continue;
    }
    if (line.empty()) continue;
    std::vector<std::string> const fields = fields_of(line);
    if (fields.size() != 4) {
      complain("", fmt::format("{} fields instead of 4; write {}", fields.size(), expected_header));
      continue;
    }
    std::array<std::size_t, 2> ends{};
    bool known = true;
    for (std::size_t side = 0; side < 2; ++side) {
      auto const found = place_of.find(fields[side]);
      if (found == place_of.end()) {
        std::string const near = nearest_word(fields[side], words);
        complain(side == 0 ? "from" : "to",
                 fmt::format("\"{}\" is neither a pool nor start:NAME or end:NAME of a technician{}", fields[side],
                             near.empty() ? "" : "; did you mean " + near + "?"));
        known = false;
      } else {
        ends[side] = found->second;
      }
    }
    auto const time_s = amount(fields[2]);
    auto const distance_m = amount(fields[3]);
    if (!time_s) complain("time (s)", fmt::format("\"{}\" is not a time of at least 0; write seconds", fields[2]));
    if (!distance_m)
      complain("distance (m)", fmt::format("\"{}\" is not a distance of at least 0; write metres", fields[3]));
    if (known && time_s && distance_m) table.set(ends[0], ends[1], *time_s, *distance_m);
  }
  if (faults > most_problems) {
    problems.add({file, number, 0, "", fmt::format("{} more lines have faults", faults - most_problems)});
  }
  std::size_t const pools = scenario.pools.size();
  std::size_t const technicians = scenario.technicians.size();
  std::size_t missing = 0;
  for (std::size_t from = 0; from < words.size(); ++from) {
    for (std::size_t to = 0; to < words.size(); ++to) {
      if (table.seconds(from, to) != unknown) continue;
      bool const driven = from < pools + technicians && (to < pools || to >= pools + technicians || from < pools);
      if (!driven) {
        table.set(from, to, std::numeric_limits<std::int32_t>::max() / 4, 0);
      } else if (++missing <= 3) {
        problems.add({file, 0, 0, "",
                      fmt::format("the drive from {} to {} is missing; add a line for it", words[from], words[to])});
      }
    }
  }
  if (missing > 3) problems.add({file, 0, 0, "", fmt::format("{} more drives are missing", missing - 3)});
  return table;
}

}  // namespace brinecast::sim
