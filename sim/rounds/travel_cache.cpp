#include "sim/rounds/travel_cache.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdlib>
#include <cstring>
#include <fstream>
#include <iterator>
#include <system_error>

namespace brinecast::sim {

namespace {

// Raise it when speeds, access rules or the search change what a table holds.
constexpr std::string_view format_name = "brinecast travel table 1";

/// FNV-1a, 64 bit (Fowler, Noll, Vo; IETF draft-eastlake-fnv): enough against accidents, which is all that can happen
/// here.
std::uint64_t hash_of(std::string_view bytes, std::uint64_t hash = 0xcbf29ce484222325ULL) {
  for (char const byte : bytes) hash = (hash ^ static_cast<unsigned char>(byte)) * 0x100000001b3ULL;
  return hash;
}

std::string bytes_of_file(std::filesystem::path const& file) {
  std::ifstream input(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(input), std::istreambuf_iterator<char>()};
}

std::filesystem::path file_of(std::filesystem::path const& folder, std::string const& key) {
  return folder / fmt::format("travel-{:016x}.bin", hash_of(key));
}

/// The table as bytes: seconds and metres of each pair, in the machine's own order.
std::string bytes_of_table(TravelTable const& table) {
  std::string bytes;
  bytes.reserve(table.places() * table.places() * 8);
  for (std::size_t from = 0; from < table.places(); ++from) {
    for (std::size_t to = 0; to < table.places(); ++to) {
      std::int32_t const pair[2] = {table.seconds(from, to), table.metres(from, to)};
      bytes.append(reinterpret_cast<char const*>(pair), sizeof pair);
    }
  }
  return bytes;
}

}  // namespace

std::optional<std::filesystem::path> cache_folder() {
  char const* const given = std::getenv("XDG_CACHE_HOME");
  if (given != nullptr && *given == '/') return std::filesystem::path(given) / "brinecast";
  char const* const home = std::getenv("HOME");
  if (home != nullptr && *home == '/') return std::filesystem::path(home) / ".cache" / "brinecast";
  return std::nullopt;
}

std::string travel_key(Scenario const& scenario) {
  std::string const extract = bytes_of_file(scenario.roads.file);
  std::string key = fmt::format("{}; extract {} bytes {:016x}; speed factor {}; places", format_name, extract.size(),
                                hash_of(extract), scenario.roads.speed_factor);
  for (Position const place : places_of(scenario))
    key += fmt::format(" {},{}", place.longitude_deg, place.latitude_deg);
  return key;
}

std::optional<TravelTable> read_cached_travel(std::filesystem::path const& folder, std::string const& key) {
  std::string const bytes = bytes_of_file(file_of(folder, key));
  // Key, a zero, the check sum of the table, the table.
  std::size_t const head = key.size() + 1 + sizeof(std::uint64_t);
  if (bytes.size() < head || bytes.compare(0, key.size(), key) != 0 || bytes[key.size()] != '\0') return std::nullopt;
  std::uint64_t sum = 0;
  std::memcpy(&sum, bytes.data() + key.size() + 1, sizeof sum);
  std::string_view const table_bytes = std::string_view(bytes).substr(head);
  std::size_t places = 0;
  while (places * places * 8 < table_bytes.size()) ++places;
  if (places * places * 8 != table_bytes.size() || hash_of(table_bytes) != sum) return std::nullopt;
  TravelTable table(places);
  for (std::size_t pair = 0; pair < places * places; ++pair) {
    std::int32_t values[2];
    std::memcpy(values, table_bytes.data() + pair * sizeof values, sizeof values);
    table.set(pair / places, pair % places, values[0], values[1]);
  }
  return table;
}

void write_cached_travel(std::filesystem::path const& folder, std::string const& key, TravelTable const& table) {
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  std::filesystem::path const file = file_of(folder, key);
  // Written aside and moved, so that no reader ever meets half a table.
  std::filesystem::path const aside = file.string() + fmt::format(".{}", getpid());
  std::string const bytes = bytes_of_table(table);
  std::uint64_t const sum = hash_of(bytes);
  bool written = false;
  {
    std::ofstream output(aside, std::ios::binary | std::ios::trunc);
    output.write(key.data(), static_cast<std::streamsize>(key.size()));
    output.put('\0');
    output.write(reinterpret_cast<char const*>(&sum), sizeof sum);
    output.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    output.close();
    written = static_cast<bool>(output);
  }
  if (written) std::filesystem::rename(aside, file, error);
  if (!written || error) std::filesystem::remove(aside, error);
}

}  // namespace brinecast::sim
