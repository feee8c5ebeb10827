#pragma once
// Reads one TOML table key by key: every mistake becomes a problem with its line, and none of them stops the reading.
//
//   TableReader supplies = *root.subtable("supplies");
//   supplies.read_quantity("salt_bag", spec.salt_bag_kg, Quantity::mass, {1.0, 2000.0});
//   supplies.finish();   // keys that nobody asked for are mistakes
//
// A reader function leaves its target as it is when the key is absent or wrong, and tells whether it was there and
// right. The targets' initial values are thus the defaults.

#include <toml++/impl/forward_declarations.h>

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "sim/scenario/problems.hpp"
#include "sim/scenario/units.hpp"

namespace brinecast::sim {

/// Inclusive, in SI.
struct Limits {
  double lower;
  double upper;
};

/// What is wrong with a value outside its limits, in the unit it was written in, with the unit that was perhaps
/// meant; "" within the limits. `written` is the user's text, `number` the number in it.
std::string range_problem(std::string_view written, double number, double value_SI, Quantity kind, Limits limits);

/// "08:30" or "08:30:15" to seconds after midnight, up to 24:00.
std::optional<double> parse_time_of_day(std::string_view text);
/// "2027-03-01", proleptic Gregorian, years 1800 to 2200.
std::optional<std::chrono::sys_days> parse_date(std::string_view text);

struct NamedTable;

class TableReader {
 public:
  /// `place` is the dotted key of the table, "" for the root. The table and the problems must outlive the reader.
  TableReader(toml::table const& table, std::string place, std::string file, Problems& problems);

  /// Whether the key is there. It counts as known from now on.
  bool has(std::string_view key);
  /// Whether the key is there and holds a table. It counts as known from now on.
  bool is_table(std::string_view key);
  /// Whether the key holds exactly this word, such as "never".
  bool says(std::string_view key, std::string_view word);
  /// All keys of this table in the order of the file, known or not.
  [[nodiscard]] std::vector<std::string> keys() const;
  /// Like `has`, but its absence is a problem; the example is a whole assignment, such as `days = 245`.
  bool require(std::string_view key, std::string_view example);

  bool read_quantity(std::string_view key, double& target_SI, Quantity kind, Limits limits);
  /// A quantity of no listed kind, in the given unit (as UDUNITS reads it); with unit "1" a plain number.
  bool read_in_unit(std::string_view key, double& target, std::string_view unit, Limits limits);
  /// A number without unit: counts that may be broken, factors, money, degrees of longitude and latitude.
  bool read_number(std::string_view key, double& target, Limits limits);
  bool read_integer(std::string_view key, int& target, int lower, int upper);
  bool read_seed(std::string_view key, std::uint64_t& target);
  bool read_flag(std::string_view key, bool& target);
  /// At most `longest_text_bytes`, without control characters.
  bool read_text(std::string_view key, std::string& target, std::string_view example = "a few words");
  bool read_texts(std::string_view key, std::vector<std::string>& target);
  bool read_date(std::string_view key, std::chrono::sys_days& target);
  bool read_dates(std::string_view key, std::vector<std::chrono::sys_days>& target);
  /// "10-15": a day of every year.
  bool read_month_day(std::string_view key, std::chrono::month_day& target);
  bool read_time_of_day(std::string_view key, double& target_s);
  /// "monday" or "mon".
  bool read_weekdays(std::string_view key, std::vector<std::chrono::weekday>& target);

  template <class Value>
  bool read_choice(std::string_view key, Value& target,
                   std::vector<std::pair<std::string_view, Value>> const& choices) {
    std::vector<std::string> words;
    for (auto const& choice : choices) words.emplace_back(choice.first);
    auto const index = read_word_of(key, words);
    if (index) target = choices[*index].second;
    return index.has_value();
  }

  /// The table under a key; empty when it is absent or not a table.
  std::optional<TableReader> subtable(std::string_view key);
  /// The tables of `[[key]]`.
  std::vector<TableReader> subtables(std::string_view key);
  /// Every table in this one by its name, in the order of the file; anything else in it is a problem.
  std::vector<NamedTable> named_subtables();

  /// Reports the keys that nobody asked for, with the nearest known one.
  void finish();

  /// A problem at the key's value, or at the table when the key is absent or "".
  void complain(std::string_view key, std::string message);

  [[nodiscard]] std::string const& place() const { return place_; }
  [[nodiscard]] std::string const& file() const { return file_; }
  [[nodiscard]] Problems& problems() const { return *problems_; }

 private:
  toml::node const* find(std::string_view key);
  [[nodiscard]] std::string place_of(std::string_view key) const;
  void complain_at(toml::node const& node, std::string_view key, std::string message);
  void complain_type(toml::node const& node, std::string_view key, std::string_view wanted, std::string_view example);
  std::optional<double> quantity_of(toml::node const& node, std::string_view key, Quantity kind, Limits limits);
  std::optional<std::chrono::sys_days> date_of(toml::node const& node, std::string_view key);
  std::optional<std::string> text_of(toml::node const& node, std::string_view key, std::string_view example);
  toml::array const* list_of(std::string_view key, std::string_view example);
  std::optional<std::size_t> read_word_of(std::string_view key, std::vector<std::string> const& words);

  toml::table const* table_;
  std::string place_;
  std::string file_;
  Problems* problems_;
  std::vector<std::string> known_;
};

struct NamedTable {
  std::string name;
  TableReader reader;
};

}  // namespace brinecast::sim
