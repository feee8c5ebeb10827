#include "sim/rounds/travel_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <unordered_map>

#include "sim/scenario/csv.hpp"
#include "sim/scenario/limits.hpp"
#include "sim/scenario/units.hpp"

namespace brinecast::sim {

namespace {

constexpr std::array<std::string_view, 4> expected_header{"from", "to", "time (s)", "distance (m)"};
constexpr std::size_t most_problems = 20;  // more of the same help nobody

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
  std::vector<std::string> const words = place_words(scenario);
  if (words.size() > most_places_of_pairs) {
    problems.add(
        {file, 0, 0, "roads.file",
         fmt::format("the fleet and its technicians are {} places, more than the {} accepted with given travel "
                     "times; use a road extract or straight lines",
                     words.size(), most_places_of_pairs)});
    return {};
  }
  auto const text = read_text_file(scenario.roads.file, file, largest_travel_times_bytes, problems);
  if (!text) return {};
  std::unordered_map<std::string, std::size_t> place_of;
  for (std::size_t place = 0; place < words.size(); ++place) place_of.emplace(words[place], place);
  constexpr std::int32_t unknown = -1;
  TravelTable table(words.size());
  for (std::size_t from = 0; from < words.size(); ++from) {
    for (std::size_t to = 0; to < words.size(); ++to) table.set(from, to, from == to ? 0 : unknown, 0);
  }
  std::size_t faults = 0;
  auto const complain = [&](int line, std::string place, std::string message) {
    if (++faults <= most_problems) problems.add({file, line, 0, std::move(place), std::move(message)});
  };
  auto const take_header = [&](int line, std::vector<std::string> const& header) {
    bool const right = std::equal(header.begin(), header.end(), expected_header.begin(), expected_header.end());
    if (!right) complain(line, "", fmt::format("the header must be \"{}\"", fmt::join(expected_header, ",")));
    return right;
  };
  auto const take_row = [&](CsvRow const& row) {
    std::array<std::size_t, 2> ends{};
    bool known = true;
    for (std::size_t side = 0; side < 2; ++side) {
      auto const found = place_of.find(row.cells[side]);
      if (found == place_of.end()) {
        known = false;
        if (faults >= most_problems) {  // the nearest word of a long list takes its time
          ++faults;
          continue;
        }
        std::string const near = nearest_word(row.cells[side], words);
        complain(row.line, std::string(expected_header[side]),
                 fmt::format("\"{}\" is neither a pool nor start:NAME or end:NAME of a technician{}", row.cells[side],
                             near.empty() ? "" : "; did you mean " + near + "?"));
      } else {
        ends[side] = found->second;
      }
    }
    auto const time_s = amount(row.cells[2]);
    auto const distance_m = amount(row.cells[3]);
    if (!time_s) {
      complain(row.line, std::string(expected_header[2]),
               fmt::format("\"{}\" is not a time of at least 0; write seconds", row.cells[2]));
    }
    if (!distance_m) {
      complain(row.line, std::string(expected_header[3]),
               fmt::format("\"{}\" is not a distance of at least 0; write metres", row.cells[3]));
    }
    if (!known || !time_s || !distance_m || ends[0] == ends[1]) return;
    if (table.seconds(ends[0], ends[1]) != unknown) {
      complain(row.line, "",
               fmt::format("the drive from {} to {} is given twice; keep one line", row.cells[0], row.cells[1]));
    }
    table.set(ends[0], ends[1], *time_s, *distance_m);
  };
  if (!read_csv_rows(*text, file, problems, take_header, take_row)) return {};
  if (faults > most_problems) {
    problems.add({file, 0, 0, "", fmt::format("{} more faults in these lines", faults - most_problems)});
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
