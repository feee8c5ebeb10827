#include "sim/scenario/table_reader.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <toml++/toml.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <limits>

#include "sim/scenario/limits.hpp"
#include "sim/scenario/shown_text.hpp"

namespace brinecast::sim {

namespace {

std::string shortened(std::string_view text) {
  return text.size() <= 60 ? std::string(text) : std::string(text.substr(0, 57)) + "...";
}

std::string_view name_of_type(toml::node const& node) {
  switch (node.type()) {
    case toml::node_type::table:
      return "a table";
    case toml::node_type::array:
      return "a list";
    case toml::node_type::string:
      return "text";
    case toml::node_type::integer:
      return "a whole number";
    case toml::node_type::floating_point:
      return "a number";
    case toml::node_type::boolean:
      return "true or false";
    case toml::node_type::date:
      return "a date";
    case toml::node_type::time:
      return "a time of day";
    case toml::node_type::date_time:
      return "a date with a time";
    case toml::node_type::none:
      break;
  }
  return "nothing";
}

/// A limit is accepted as messages and README show it, with six digits in one of its units.
bool within(double value_SI, Limits limits) {
  constexpr double rounding = 5e-6;
  return value_SI >= limits.lower - rounding * std::fabs(limits.lower) &&
         value_SI <= limits.upper + rounding * std::fabs(limits.upper);
}

std::string bound(double value_SI, Quantity kind) {
  std::string_view const unit = shown_unit(kind, UnitSystem::si);
  return fmt::format("{:.6g} {}", shown_value(value_SI, kind, UnitSystem::si), unit);
}

/// The first common unit in which the number lies within the limits.
std::string unit_within(double number, Quantity kind, Limits limits) {
  auto const units = common_units(kind);
  for (auto const& unit : units) {
    UnitConversion const conversion = *read_unit(unit, kind).conversion;
    double const value_SI = conversion.slope * number + conversion.offset;
    if (within(value_SI, limits)) return unit;
  }
  return units.front();
}

std::optional<int> whole_number(std::string_view text) {
  int value = 0;
  if (text.empty() || text.front() < '0' || text.front() > '9') return std::nullopt;
  auto const [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

std::optional<std::chrono::sys_days> day_of(int year, unsigned month, unsigned day) {
  std::chrono::year_month_day const date{std::chrono::year{year}, std::chrono::month{month}, std::chrono::day{day}};
  if (!date.ok() || year < 1800 || year > 2200) return std::nullopt;
  return std::chrono::sys_days{date};
}

/// The finite number of a TOML integer or float.
std::optional<double> number_of(toml::node const& node) {
  if (!node.is_number()) return std::nullopt;
  double const value = node.value<double>().value_or(std::nan(""));
  if (!std::isfinite(value)) return std::nullopt;
  return value;
}

}  // namespace

std::string range_problem(std::string_view written, double number, double value_SI, Quantity kind, Limits limits) {
  if (within(value_SI, limits)) return "";
  bool const too_small = value_SI < limits.lower;
  std::string message =
      fmt::format("{} is {} than {}, the {} accepted", written, too_small ? "less" : "more",
                  bound(too_small ? limits.lower : limits.upper, kind), too_small ? "smallest" : "largest");
  // Where negative values make sense, any unit could have been meant.
  auto const candidates = limits.lower < 0.0 ? std::vector<std::string>{} : common_units(kind);
  std::string guess;
  double guess_away = std::numeric_limits<double>::infinity();
  for (auto const& unit : candidates) {
    ReadUnit const read = read_unit(unit, kind);
    double const meant = read.conversion->slope * number + read.conversion->offset;
    if (std::fabs(meant - value_SI) <= 1e-9 * std::fabs(value_SI) || !within(meant, limits)) continue;
    // Lengths of time are off by one step, minutes for hours; others by what the first unit is used for.
    double const away = kind == Quantity::duration ? std::fabs(std::log(meant / value_SI)) : 0.0;
    if (away >= guess_away) continue;
    guess_away = away;
    guess = unit;
  }
  if (!guess.empty()) return message + fmt::format("; was this in {0}? write {1:.10g} {0}", guess, number);
  return message + fmt::format("; write a value from {} to {}", bound(limits.lower, kind), bound(limits.upper, kind));
}

std::optional<double> parse_time_of_day(std::string_view text) {
  std::array<int, 3> parts{};
  std::size_t count = 0;
  while (count < parts.size()) {
    auto const colon = text.find(':');
    std::string_view const part = text.substr(0, colon);
    auto const value = whole_number(part);
    if (!value || part.size() > 2) return std::nullopt;
    parts.at(count++) = *value;
    if (colon == std::string_view::npos) {
      int const seconds = parts[0] * 3600 + parts[1] * 60 + parts[2];
      if (count < 2 || parts[1] > 59 || parts[2] > 59 || seconds > 86400) return std::nullopt;
      return seconds;
    }
    text.remove_prefix(colon + 1);
  }
  return std::nullopt;
}

std::optional<std::chrono::sys_days> parse_date(std::string_view text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return std::nullopt;
  auto const year = whole_number(text.substr(0, 4));
  auto const month = whole_number(text.substr(5, 2));
  auto const day = whole_number(text.substr(8, 2));
  if (!year || !month || !day) return std::nullopt;
  return day_of(*year, static_cast<unsigned>(*month), static_cast<unsigned>(*day));
}

TableReader::TableReader(toml::table const& table, std::string place, std::string file, Problems& problems)
    : table_(&table), place_(std::move(place)), file_(std::move(file)), problems_(&problems) {}

std::string TableReader::place_of(std::string_view key) const {
  if (key.empty()) return place_;
  return place_.empty() ? std::string(key) : fmt::format("{}.{}", place_, key);
}

toml::node const* TableReader::find(std::string_view key) {
  if (std::find(known_.begin(), known_.end(), key) == known_.end()) known_.emplace_back(key);
  return table_->get(key);
}

bool TableReader::has(std::string_view key) { return find(key) != nullptr; }

bool TableReader::is_table(std::string_view key) {
  toml::node const* const node = find(key);
  return node != nullptr && node->is_table();
}

bool TableReader::says(std::string_view key, std::string_view word) {
  toml::node const* const node = find(key);
  return node != nullptr && node->is_string() && *node->value<std::string>() == word;
}

std::vector<std::string> TableReader::keys() const {
  std::vector<std::pair<toml::source_position, std::string>> found;
  for (auto const& [key, node] : *table_) found.emplace_back(key.source().begin, std::string(key.str()));
  std::sort(found.begin(), found.end(), [](auto const& a, auto const& b) {
    return std::pair{a.first.line, a.first.column} < std::pair{b.first.line, b.first.column};
  });
  std::vector<std::string> names;
  for (auto& entry : found) names.push_back(std::move(entry.second));
  return names;
}

bool TableReader::require(std::string_view key, std::string_view example) {
  if (has(key)) return true;
  complain("", fmt::format("{} is missing; write for example {}", key, example));
  return false;
}

void TableReader::complain_at(toml::node const& node, std::string_view key, std::string message) {
  auto const& begin = node.source().begin;
  problems_->add(
      {file_, static_cast<int>(begin.line), static_cast<int>(begin.column), place_of(key), std::move(message)});
}

void TableReader::complain(std::string_view key, std::string message) {
  toml::node const* const node = key.empty() ? nullptr : table_->get(key);
  complain_at(node != nullptr ? *node : static_cast<toml::node const&>(*table_), key, std::move(message));
}

void TableReader::complain_type(toml::node const& node, std::string_view key, std::string_view wanted,
                                std::string_view example) {
  complain_at(node, key, fmt::format("this is {}, not {}; write for example {}", name_of_type(node), wanted, example));
}

std::optional<double> TableReader::quantity_of(toml::node const& node, std::string_view key, Quantity kind,
                                               Limits limits) {
  QuantityInfo const& info = quantity_info(kind);
  std::string written;
  if (node.is_number() && kind == Quantity::share) {
    auto const share = number_of(node);
    if (!share) {
      complain_at(node, key, "the share is not finite; write for example \"50 %\" or 0.5");
      return std::nullopt;
    }
    written = fmt::format("{} %", *share * 100.0);
  } else if (node.is_number()) {
    auto const number = number_of(node);
    complain_at(node, key,
                number ? fmt::format("{} has no unit; {} is text with its unit, write for example \"{} {}\"", *number,
                                     info.phrase, *number, unit_within(*number, kind, limits))
                       : fmt::format("the number is not finite; write for example \"{}\"", info.example));
    return std::nullopt;
  } else if (auto const text = node.value<std::string>(); text && node.is_string()) {
    written = *text;
  } else {
    complain_type(node, key, info.phrase, fmt::format("\"{}\"", info.example));
    return std::nullopt;
  }
  ReadQuantity const read = sim::read_quantity(written, kind);
  if (!read.value) {
    complain_at(node, key, read.problem);
    return std::nullopt;
  }
  std::string const outside = range_problem(written, read.number, *read.value, kind, limits);
  if (!outside.empty()) {
    complain_at(node, key, outside);
    return std::nullopt;
  }
  return std::clamp(*read.value, limits.lower, limits.upper);
}

bool TableReader::read_quantity(std::string_view key, double& target_SI, Quantity kind, Limits limits) {
  toml::node const* const node = find(key);
  if (node == nullptr) return false;
  auto const value = quantity_of(*node, key, kind, limits);
  if (value) target_SI = *value;
  return value.has_value();
}

toml::array const* TableReader::list_of(std::string_view key, std::string_view example) {
  toml::node const* const node = find(key);
  if (node == nullptr) return nullptr;
  toml::array const* const list = node->as_array();
  if (list == nullptr) {
    complain_type(*node, key, "a list", example);
    return nullptr;
  }
  if (list->size() > most_list_entries) {
    complain_at(*node, key, fmt::format("the list has more than {} entries; write fewer", most_list_entries));
    return nullptr;
  }
  return list;
}

bool TableReader::read_in_unit(std::string_view key, double& target, std::string_view unit, Limits limits) {
  if (unit == "1") return read_number(key, target, limits);
  toml::node const* const node = find(key);
  if (node == nullptr) return false;
  std::string const example = fmt::format("{} = \"{:.6g} {}\"", key, target, unit);
  if (!node->is_string()) {
    complain_type(*node, key, "text with a number and its unit", example);
    return false;
  }
  ReadQuantity const read = sim::read_in_unit(*node->value<std::string>(), unit);
  if (!read.value) {
    complain_at(*node, key, fmt::format("{}; write for example {}", read.problem, example));
    return false;
  }
  if (*read.value < limits.lower || *read.value > limits.upper) {
    complain_at(*node, key,
                fmt::format("{:.6g} {} is outside what is accepted; write a value from {:.6g} to {:.6g} {}",
                            *read.value, unit, limits.lower, limits.upper, unit));
    return false;
  }
  target = *read.value;
  return true;
}

bool TableReader::read_number(std::string_view key, double& target, Limits limits) {
  toml::node const* const node = find(key);
  if (node == nullptr) return false;
  if (!node->is_number()) {
    complain_type(*node, key, "a plain number", fmt::format("{} = {}", key, target));
    return false;
  }
  auto const value = number_of(*node);
  if (!value) {
    complain_at(*node, key, fmt::format("the number is not finite; write for example {} = {}", key, target));
    return false;
  }
  if (*value < limits.lower || *value > limits.upper) {
    bool const too_small = *value < limits.lower;
    complain_at(*node, key,
                fmt::format("{} is {} than {:.10g}, the {} accepted; write a value from {:.10g} to {:.10g}", *value,
                            too_small ? "less" : "more", too_small ? limits.lower : limits.upper,
                            too_small ? "smallest" : "largest", limits.lower, limits.upper));
    return false;
  }
  target = *value;
  return true;
}

bool TableReader::read_integer(std::string_view key, int& target, int lower, int upper) {
  toml::node const* const node = find(key);
  if (node == nullptr) return false;
  if (!node->is_integer()) {
    complain_type(*node, key, "a whole number", fmt::format("{} = {}", key, std::clamp(target, lower, upper)));
    return false;
  }
  std::int64_t const value = *node->value<std::int64_t>();
  if (value < lower || value > upper) {
    complain_at(*node, key,
                fmt::format("{} is {} than {}, the {} accepted; write a whole number from {} to {}", value,
                            value < lower ? "less" : "more", value < lower ? lower : upper,
                            value < lower ? "smallest" : "largest", lower, upper));
    return false;
  }
  target = static_cast<int>(value);
  return true;
}

bool TableReader::read_seed(std::string_view key, std::uint64_t& target) {
  toml::node const* const node = find(key);
  if (node == nullptr) return false;
  auto const value = node->is_integer() ? node->value<std::int64_t>() : std::nullopt;
  if (!value || *value < 0) {
    complain_at(*node, key, fmt::format("this is not a whole number from 0 on; write for example {} = 1", key));
    return false;
  }
  target = static_cast<std::uint64_t>(*value);
  return true;
}

bool TableReader::read_flag(std::string_view key, bool& target) {
  toml::node const* const node = find(key);
  if (node == nullptr) return false;
  if (!node->is_boolean()) {
    complain_type(*node, key, "true or false", fmt::format("{} = true", key));
    return false;
  }
  target = *node->value<bool>();
  return true;
}

std::optional<std::string> TableReader::text_of(toml::node const& node, std::string_view key,
                                                std::string_view example) {
  if (!node.is_string()) {
    complain_type(node, key, "text", fmt::format("\"{}\"", example));
    return std::nullopt;
  }
  std::string text = *node.value<std::string>();
  bool const control = holds_control(text);
  if (text.size() > longest_text_bytes || control) {
    complain_at(node, key,
                control ? "the text holds control characters; write it on one line"
                        : fmt::format("the text has more than {} bytes; shorten it", longest_text_bytes));
    return std::nullopt;
  }
  return text;
}

bool TableReader::read_text(std::string_view key, std::string& target, std::string_view example) {
  toml::node const* const node = find(key);
  if (node == nullptr) return false;
  auto text = text_of(*node, key, example);
  if (!text) return false;
  target = std::move(*text);
  return true;
}

bool TableReader::read_texts(std::string_view key, std::vector<std::string>& target) {
  toml::array const* const list = list_of(key, "[\"one\", \"two\"]");
  if (list == nullptr) return false;
  std::vector<std::string> texts;
  for (auto const& entry : *list) {
    if (auto text = text_of(entry, key, "a few words")) texts.push_back(std::move(*text));
  }
  if (texts.size() != list->size()) return false;
  target = std::move(texts);
  return true;
}

std::optional<std::chrono::sys_days> TableReader::date_of(toml::node const& node, std::string_view key) {
  std::optional<std::chrono::sys_days> day;
  if (auto const date = node.is_date() ? node.value<toml::date>() : std::nullopt) {
    day = day_of(date->year, date->month, date->day);
  } else if (node.is_string()) {
    day = parse_date(*node.value<std::string>());
  } else {
    complain_type(node, key, "a date", "2027-03-01");
    return std::nullopt;
  }
  if (!day) {
    complain_at(node, key,
                "this is not a date of the years 1800 to 2200; write year-month-day, for example 2027-03-01");
  }
  return day;
}

bool TableReader::read_date(std::string_view key, std::chrono::sys_days& target) {
  toml::node const* const node = find(key);
  if (node == nullptr) return false;
  auto const day = date_of(*node, key);
  if (day) target = *day;
  return day.has_value();
}

bool TableReader::read_dates(std::string_view key, std::vector<std::chrono::sys_days>& target) {
  toml::array const* const list = list_of(key, "[2027-05-01, 2027-12-25]");
  if (list == nullptr) return false;
  std::vector<std::chrono::sys_days> days;
  for (auto const& entry : *list) {
    if (auto const day = date_of(entry, key)) days.push_back(*day);
  }
  if (days.size() != list->size()) return false;
  target = std::move(days);
  return true;
}

bool TableReader::read_month_day(std::string_view key, std::chrono::month_day& target) {
  toml::node const* const node = find(key);
  if (node == nullptr) return false;
  auto const text = node->is_string() ? node->value<std::string>() : std::nullopt;
  if (text && text->size() == 5 && (*text)[2] == '-') {
    auto const month = whole_number(std::string_view(*text).substr(0, 2));
    auto const day = whole_number(std::string_view(*text).substr(3, 2));
    if (month && day) {
      std::chrono::month_day const read{std::chrono::month{static_cast<unsigned>(*month)},
                                        std::chrono::day{static_cast<unsigned>(*day)}};
      if (read.ok()) {
        target = read;
        return true;
      }
    }
  }
  complain_at(*node, key, "this is not a day of the year; write month-day, for example \"10-15\"");
  return false;
}

bool TableReader::read_time_of_day(std::string_view key, double& target_s) {
  toml::node const* const node = find(key);
  if (node == nullptr) return false;
  std::optional<double> seconds;
  if (auto const time = node->is_time() ? node->value<toml::time>() : std::nullopt) {
    seconds = time->hour * 3600.0 + time->minute * 60.0 + time->second;
  } else if (node->is_string()) {
    seconds = parse_time_of_day(*node->value<std::string>());
  }
  if (!seconds) {
    complain_at(
        *node, key,
        "this is not a time of day; write hours and minutes from \"00:00\" to \"24:00\", for example \"08:30\"");
    return false;
  }
  target_s = *seconds;
  return true;
}

bool TableReader::read_weekdays(std::string_view key, std::vector<std::chrono::weekday>& target) {
  static std::vector<std::string> const names{"sunday",   "monday", "tuesday", "wednesday",
                                              "thursday", "friday", "saturday"};
  toml::array const* const list = list_of(key, "[\"monday\", \"tuesday\"]");
  if (list == nullptr) return false;
  std::vector<std::chrono::weekday> days;
  bool right = true;
  for (auto const& entry : *list) {
    auto const word = text_of(entry, key, "monday");
    if (!word) {
      right = false;
      continue;
    }
    unsigned index = 0;
    while (index < names.size() && *word != names[index] && *word != names[index].substr(0, 3)) ++index;
    if (index == names.size()) {
      std::string const near = nearest_word(*word, names);
      complain_at(entry, key,
                  fmt::format("\"{}\" is not a weekday; {}", shortened(*word),
                              near.empty() ? "write for example \"monday\"" : "did you mean \"" + near + "\"?"));
      right = false;
      continue;
    }
    std::chrono::weekday const day{index};
    if (std::find(days.begin(), days.end(), day) != days.end()) {
      complain_at(entry, key, fmt::format("\"{}\" is listed twice; write each weekday once", *word));
      right = false;
      continue;
    }
    days.push_back(day);
  }
  if (right) target = std::move(days);
  return right;
}

std::optional<std::size_t> TableReader::read_word_of(std::string_view key, std::vector<std::string> const& words) {
  toml::node const* const node = find(key);
  if (node == nullptr) return std::nullopt;
  auto const text = text_of(*node, key, words.front());
  if (!text) return std::nullopt;
  auto const found = std::find(words.begin(), words.end(), *text);
  if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
  std::string const near = nearest_word(*text, words);
  complain_at(*node, key,
              fmt::format("\"{}\" is not one of {}{}", shortened(*text), fmt::join(words, ", "),
                          near.empty() ? "; write one of these" : "; did you mean \"" + near + "\"?"));
  return std::nullopt;
}

std::optional<TableReader> TableReader::subtable(std::string_view key) {
  toml::node const* const node = find(key);
  if (node == nullptr) return std::nullopt;
  if (toml::table const* const table = node->as_table()) {
    return TableReader(*table, place_of(key), file_, *problems_);
  }
  complain_type(*node, key, "a table", fmt::format("[{}]", place_of(key)));
  return std::nullopt;
}

std::vector<TableReader> TableReader::subtables(std::string_view key) {
  toml::node const* const node = find(key);
  std::vector<TableReader> readers;
  if (node == nullptr) return readers;
  toml::array const* const list = node->as_array();
  if (list == nullptr) {
    complain_type(*node, key, "a list of tables", fmt::format("[[{}]]", place_of(key)));
    return readers;
  }
  std::size_t number = 0;
  for (auto const& entry : *list) {
    ++number;
    if (toml::table const* const table = entry.as_table()) {
      readers.emplace_back(*table, fmt::format("{}[{}]", place_of(key), number), file_, *problems_);
    } else {
      complain_type(entry, key, "a table", fmt::format("[[{}]]", place_of(key)));
    }
  }
  return readers;
}

std::vector<NamedTable> TableReader::named_subtables() {
  std::vector<NamedTable> tables;
  for (auto const& name : keys()) {
    if (auto reader = subtable(name)) tables.push_back({name, std::move(*reader)});
  }
  return tables;
}

void TableReader::finish() {
  for (auto const& [key, node] : *table_) {
    std::string const name(key.str());
    if (std::find(known_.begin(), known_.end(), name) != known_.end()) continue;
    std::string const near = nearest_word(name, known_);
    auto const& begin = key.source().begin;
    problems_->add({file_, static_cast<int>(begin.line), static_cast<int>(begin.column), place_of(shortened(name)),
                    near.empty() ? fmt::format("unknown key; known here: {}", fmt::join(known_, ", "))
                                 : fmt::format("unknown key; did you mean {}?", near)});
  }
}

}  // namespace brinecast::sim
