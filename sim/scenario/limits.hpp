#pragma once
// The most that Brinecast accepts, in one place. Every reader refuses more in one line; README.md shows `limit_table`.

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace brinecast::sim {

inline constexpr std::size_t most_pools = 100'000;
inline constexpr std::size_t most_technicians = 500;
inline constexpr std::size_t most_skills = 64;  // rounds hold them as bits
inline constexpr std::size_t most_sites = 500;
inline constexpr std::size_t most_policies = 100;
inline constexpr int most_replicates = 100'000;
inline constexpr int most_threads = 1'024;
inline constexpr int longest_season_days = 31 * 366;
inline constexpr std::size_t most_trace_pools = 1'000;
inline constexpr std::int64_t most_visits = 2'000'000'000;  // of a run: the log's axis counts in 32 bits

inline constexpr std::size_t longest_text_bytes = 200;       // names, words
inline constexpr std::size_t most_list_entries = 100'000;    // of one list in a scenario

inline constexpr std::uintmax_t largest_scenario_bytes = 4'000'000;
inline constexpr std::uintmax_t largest_policy_library_bytes = 1'000'000;
inline constexpr std::uintmax_t largest_pool_list_bytes = 100'000'000;
inline constexpr std::uintmax_t largest_climate_bytes = 1'000'000;
// Longer than any record that agencies hand out for one station: two centuries of hours are 250 MB.
inline constexpr std::uintmax_t largest_weather_bytes = 1'000'000'000;
inline constexpr int most_weather_lines = 20'000'000;
inline constexpr std::size_t longest_weather_line_bytes = 16'384;
inline constexpr int longest_weather_days = 200 * 366;
inline constexpr std::uintmax_t largest_road_extract_bytes = 1'000'000'000;
inline constexpr std::size_t most_places_of_pairs = 4'000;   // of which all drives are held or given: 128 MB
inline constexpr std::uintmax_t largest_travel_times_bytes = 1'000'000'000;

/// One row of README's table of limits.
struct LimitRow {
  std::string_view what;
  std::uintmax_t most;
  std::string_view unit;  // "" for a count
};

inline constexpr std::array<LimitRow, 22> limit_table{{
    {"pools", most_pools, ""},
    {"technicians", most_technicians, ""},
    {"different skills of all technicians", most_skills, ""},
    {"sites with their own weather", most_sites, ""},
    {"policies", most_policies, ""},
    {"replicates", most_replicates, ""},
    {"threads", most_threads, ""},
    {"season", longest_season_days, "d"},
    {"pools with hourly traces", most_trace_pools, ""},
    {"visits logged in a run", most_visits, ""},
    {"name or other text", longest_text_bytes, "bytes"},
    {"entries of a list in a scenario", most_list_entries, ""},
    {"scenario file", largest_scenario_bytes, "bytes"},
    {"policy library", largest_policy_library_bytes, "bytes"},
    {"pool list", largest_pool_list_bytes, "bytes"},
    {"climate table", largest_climate_bytes, "bytes"},
    {"weather file", largest_weather_bytes, "bytes"},
    {"rows of a weather file", most_weather_lines, ""},
    {"days that a weather file spans", longest_weather_days, ""},
    {"road extract", largest_road_extract_bytes, "bytes"},
    {"places in a table of travel times (pools, starts, ends)", most_places_of_pairs, ""},
    {"table of travel times", largest_travel_times_bytes, "bytes"},
}};

}  // namespace brinecast::sim
