#include "sim/scenario/policy_lines.hpp"

#include <toml++/toml.h>

#include <algorithm>
#include <charconv>
#include <optional>
#include <vector>

#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

namespace {

struct Shelf {
  toml::table const* policies = nullptr;
  std::string file;
};

/// A policy's table with the shelf it stands on.
struct Entry {
  toml::table const* table = nullptr;
  Shelf const* shelf = nullptr;
};

toml::table const* policies_of(toml::table const& root) {
  toml::node const* const policies = root.get("policies");
  return policies != nullptr ? policies->as_table() : nullptr;
}

/// The first policy of the name from the shelf `first` on.
std::optional<Entry> entry_of(std::vector<Shelf> const& shelves, std::size_t first, std::string_view name) {
  for (std::size_t i = first; i < shelves.size(); ++i) {
    if (shelves[i].policies == nullptr) continue;
    toml::node const* const node = shelves[i].policies->get(name);
    if (node != nullptr && node->is_table()) return Entry{node->as_table(), &shelves[i]};
  }
  return std::nullopt;
}

struct Found {
  toml::node const* node = nullptr;
  bool whole = false;  // the whole key, not a table on the way to it
};

Found follow(toml::table const& table_of_key, std::string_view key) {
  toml::node const* node = &table_of_key;
  while (!key.empty()) {
    std::string_view part = key.substr(0, key.find('.'));
    key.remove_prefix(std::min(key.size(), part.size() + 1));
    std::size_t number = 0;
    if (auto const bracket = part.find('['); bracket != std::string_view::npos) {
      std::from_chars(part.data() + bracket + 1, part.data() + part.size(), number);
      part = part.substr(0, bracket);
    }
    toml::table const* const table = node->as_table();
    toml::node const* next = table != nullptr ? table->get(part) : nullptr;
    if (next == nullptr) return {node, false};
    if (number > 0 && next->is_array()) {
      toml::node const* const item = next->as_array()->get(number - 1);
      if (item == nullptr) return {next, false};
      next = item;
    }
    node = next;
  }
  return {node, true};
}

StatedAt place_of(Found const& found, std::string const& file) {
  auto const& begin = found.node->source().begin;
  return {file, static_cast<int>(begin.line), static_cast<int>(begin.column), found.whole};
}

}  // namespace

StatedAt where_stated(Scenario const& scenario, std::string_view policy, std::string_view key) {
  StatedAt const whole_file{.file = scenario.path.generic_string()};
  toml::parse_result const own = toml::parse(scenario.text, whole_file.file);
  if (!own) return whole_file;
  std::vector<Shelf> shelves = {{policies_of(own.table()), whole_file.file}};
  std::vector<toml::parse_result> libraries;
  if (toml::array const* const files = own.table()["policy_library"].as_array()) {
    libraries.reserve(files->size());
    for (toml::node const& name : *files) {
      std::string const path = (scenario.path.parent_path() / name.value_or(std::string())).string();
      toml::parse_result library = toml::parse_file(path);
      if (!library) continue;
      libraries.push_back(std::move(library));
      shelves.push_back({policies_of(libraries.back().table()), path});
    }
  }

  std::optional<Entry> entry = entry_of(shelves, 0, policy);
  if (!entry) return whole_file;
  Found const in_policy = follow(*entry->table, key);
  StatedAt const nearest = place_of(in_policy, entry->shelf->file);
  std::string name(policy);
  for (int depth = 0; entry && depth < 100; ++depth) {  // bases of an accepted scenario never run in a circle
    Found const found = follow(*entry->table, key);
    if (found.whole) return place_of(found, entry->shelf->file);
    auto const base = (*entry->table)["base"].value<std::string>();
    if (!base) break;
    // A policy may build on a library's policy of its own name.
    auto const shelf = static_cast<std::size_t>(entry->shelf - shelves.data());
    entry = entry_of(shelves, shelf + (*base == name ? 1 : 0), *base);
    name = *base;
  }
  return nearest;
}

StatedAt where_stated(Scenario const& scenario, std::string_view key) {
  StatedAt const whole_file{.file = scenario.path.generic_string()};
  toml::parse_result const own = toml::parse(scenario.text, whole_file.file);
  return own && !scenario.text.empty() ? place_of(follow(own.table(), key), whole_file.file) : whole_file;
}

}  // namespace brinecast::sim
