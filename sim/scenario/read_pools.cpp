#include "sim/scenario/read_pools.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

#include "sim/scenario/csv.hpp"
#include "sim/scenario/earth.hpp"
#include "sim/scenario/limits.hpp"
#include "sim/scenario/shown_text.hpp"

namespace brinecast::sim {

namespace {

std::optional<CoverKind> cover_of(std::string_view word) {
  if (word == "none") return CoverKind::none;
  if (word == "bubble") return CoverKind::bubble;
  if (word == "solid") return CoverKind::solid;
  return std::nullopt;
}

std::optional<bool> yes_or_no(std::string_view word) {
  if (word == "yes" || word == "true" || word == "1") return true;
  if (word == "no" || word == "false" || word == "0") return false;
  return std::nullopt;
}

std::vector<std::string> names_of(auto const& things) {
  std::vector<std::string> names;
  for (auto const& thing : things) {
    if (!thing.name.empty()) names.push_back(thing.name);
  }
  return names;
}

std::optional<std::size_t> place_in(std::vector<std::string> const& names, std::string_view name) {
  auto const found = std::find(names.begin(), names.end(), name);
  if (found == names.end()) return std::nullopt;
  return static_cast<std::size_t>(found - names.begin());
}

std::string not_one_of(std::string_view word, std::vector<std::string> const& known) {
  std::string const near = nearest_word(word, known);
  std::string const shown(word.substr(0, 60));
  if (known.empty()) return fmt::format("\"{}\" is unknown; the scenario names none, so leave this out", shown);
  if (!near.empty()) return fmt::format("\"{}\" is unknown; did you mean \"{}\"?", shown, near);
  if (known.size() > 12) return fmt::format("\"{}\" is unknown; write one that the scenario describes", shown);
  return fmt::format("\"{}\" is unknown; write one of {}", shown, fmt::join(known, ", "));
}

std::string const& drawn_word(std::vector<WordShare> const& words, double p) {
  for (auto const& word : words) {
    if (p < word.share) return word.word;
    p -= word.share;
  }
  return words.back().word;
}

SiteId nearest_site(std::vector<Site> const& sites, Position position) {
  std::size_t best = 0;
  for (std::size_t i = 1; i < sites.size(); ++i) {
    if (great_circle_m(sites[i].position, position) < great_circle_m(sites[best].position, position)) best = i;
  }
  return SiteId{static_cast<std::uint32_t>(best)};
}

/// Which traits the list gave.
struct KnownTraits {
  std::vector<bool> numbers = std::vector<bool>(pool_columns().size(), false);
  std::set<PoolWord> words;
};

/// Draws everything that is not known.
void complete_pool(Pool& pool, std::uint32_t index, Scenario const& scenario, FleetTraits const& traits,
                   KnownTraits const& known) {
  auto const draw = [&](PoolWord word) { return trait_draw(scenario.seed, index, draw_index_of(word)); };
  auto const word_of = [&](PoolWord word) -> std::optional<std::string> {
    auto const found = traits.words.find(word);
    if (found == traits.words.end() || known.words.count(word) > 0) return std::nullopt;
    return drawn_word(found->second, draw(word));
  };
  if (auto const word = word_of(PoolWord::neighbourhood)) pool.neighbourhood = *word;
  if (auto const word = word_of(PoolWord::pool_class)) pool.pool_class = *word;
  if (auto const word = word_of(PoolWord::skill)) pool.skill = *word;
  if (auto const word = word_of(PoolWord::fill_water)) {
    pool.fill_water = place_in(names_of(scenario.fill_waters), *word).value_or(0);
  }
  if (auto const word = word_of(PoolWord::cover)) {
    pool.cover = cover_of(*word).value_or(CoverKind::none);
  } else if (known.words.count(PoolWord::cover) == 0) {
    // common practice, no source: most home pools stand open.
    static std::vector<WordShare> const usual{{"none", 0.7}, {"bubble", 0.15}, {"solid", 0.15}};
    pool.cover = *cover_of(drawn_word(usual, draw(PoolWord::cover)));
  }
  if (auto const word = word_of(PoolWord::automatic_refill)) {
    pool.automatic_refill = yes_or_no(*word).value_or(true);
  } else if (known.words.count(PoolWord::automatic_refill) == 0) {
    pool.automatic_refill = draw(PoolWord::automatic_refill) < 0.5;
  }
  if (known.words.count(PoolWord::pump_start) == 0) pool.pump_start_hour = 7.0 + 3.0 * draw(PoolWord::pump_start);
  if (known.words.count(PoolWord::site) == 0 && !scenario.sites.empty()) {
    pool.site = nearest_site(scenario.sites, pool.position);
  }
  draw_missing_traits(pool, index, scenario.seed, known.numbers, traits.numbers);
}

/// Reads the rows of a list; problems of one column are shown ten times and then counted.
class PoolListReader {
 public:
  PoolListReader(CsvTable const& table, std::string const& file, Scenario const& scenario, FleetTraits const& traits,
                 Problems& problems)
      : table_(table),
        file_(file),
        scenario_(scenario),
        traits_(traits),
        problems_(problems),
        sites_(names_of(scenario.sites)),
        fill_waters_(names_of(scenario.fill_waters)),
        technicians_(names_of(scenario.technicians)) {
    for (auto const& technician : scenario.technicians) {
      skills_.insert(skills_.end(), technician.skills.begin(), technician.skills.end());
    }
  }

  std::vector<Pool> read() {
    if (!match_columns()) return {};
    std::vector<Pool> pools;
    std::map<std::string, int, std::less<>> lines;  // of pool names
    for (auto const& row : table_.rows) {
      Pool pool;
      KnownTraits known;
      read_row(row, pool, known);
      auto const [earlier, is_new] = lines.emplace(pool.name, row.line);
      if (!is_new && !pool.name.empty()) {
        complain(
            row, "name",
            fmt::format("\"{}\" stands in line {} already; give each pool its own name", pool.name, earlier->second));
      }
      complete_pool(pool, static_cast<std::uint32_t>(pools.size()), scenario_, traits_, known);
      pools.push_back(std::move(pool));
    }
    for (auto const& [column, count] : counts_) {
      if (count > shown_problems_a_column) {
        problems_.add(
            {file_, table_.rows.back().line, 0, "column " + column, more_rows(count - shown_problems_a_column)});
      }
    }
    if (problems_.empty()) check_spread(pools);
    return pools;
  }

 private:
  struct NumberCell {
    std::size_t cell;
    std::size_t column;  // in pool_columns()
    std::optional<UnitConversion> unit;
    std::string unit_text;
  };

  void complain(CsvRow const& row, std::string_view column, std::string message) {
    if (++counts_[std::string(column)] > shown_problems_a_column) return;
    problems_.add({file_, row.line, 0, fmt::format("column {}", column), std::move(message)});
  }

  bool match_columns() {
    auto const complain_header = [&](std::string_view name, std::string message) {
      problems_.add({file_, table_.header_line, 0, fmt::format("column {}", name), std::move(message)});
    };
    std::vector<std::string> known;
    for (auto const& column : pool_columns()) known.emplace_back(column.name);
    for (auto const& column : pool_word_columns()) known.emplace_back(column.name);
    bool sound = true;
    std::set<std::string> seen;
    for (std::size_t cell = 0; cell < table_.header.size(); ++cell) {
      ColumnHeader const header = split_column_header(table_.header[cell]);
      auto const place = place_in(known, header.name);
      if (!place) {
        std::string const near = nearest_word(header.name, known);
        complain_header(header.name.substr(0, 60),
                        near.empty() ? "unknown column; remove it, or see the list of columns in scenarios/README.md"
                                     : fmt::format("unknown column; did you mean {}?", near));
        continue;
      }
      if (!seen.insert(header.name).second) {
        complain_header(header.name, "this column appears twice; keep one");
        sound = false;
        continue;
      }
      if (*place >= pool_columns().size()) {
        word_cells_[pool_word_columns()[*place - pool_columns().size()].word] = cell;
        if (!header.unit.empty()) complain_header(header.name, "this column has no unit; write its name alone");
        continue;
      }
      PoolColumn const& column = pool_columns()[*place];
      NumberCell number{cell, *place, std::nullopt, header.unit};
      if (!column.kind) {
        number.unit = UnitConversion{};
        if (!header.unit.empty()) complain_header(header.name, "this column is a plain number; write its name alone");
      } else if (header.unit.empty()) {
        if (*column.kind == Quantity::share) number.unit = UnitConversion{};
      } else {
        ReadUnit const unit = read_unit(header.unit, *column.kind);
        number.unit = unit.conversion;
        if (!unit.conversion) {
          complain_header(header.name, fmt::format("[{}] does not measure {} ({}); write for example {} [{}]",
                                                   header.unit.substr(0, 40), quantity_info(*column.kind).phrase,
                                                   unit.problem, header.name, usual_unit(column)));
          continue;
        }
      }
      number_cells_.push_back(number);
    }
    for (PoolWord const word : {PoolWord::name, PoolWord::longitude, PoolWord::latitude}) {
      if (word_cells_.count(word) > 0) continue;
      std::string_view const name = pool_word_columns()[static_cast<std::size_t>(word)].name;
      problems_.add({file_, table_.header_line, 0, "", fmt::format("column {} is missing; every pool needs it", name)});
      sound = false;
    }
    if (table_.rows.empty()) {
      problems_.add({file_, 0, 0, "", "the list has no pools; write a row for each"});
      return false;
    }
    if (table_.rows.size() > most_pools) {
      problems_.add({file_, 0, 0, "",
                     fmt::format("the list has {} pools, more than the {} accepted; split the fleet",
                                 table_.rows.size(), most_pools)});
      return false;
    }
    return sound;
  }

  void read_row(CsvRow const& row, Pool& pool, KnownTraits& known) {
    for (auto const& number : number_cells_) read_number_cell(row, number, pool, known);
    for (auto const& [word, cell] : word_cells_) {
      std::string const& text = row.cells[cell];
      bool const required = word == PoolWord::name || word == PoolWord::longitude || word == PoolWord::latitude;
      if (text.empty()) {
        if (required) complain(row, name_of(word), "the cell is empty; every pool needs a value here");
        continue;
      }
      if (read_word_cell(row, word, text, pool)) known.words.insert(word);
    }
    check_pool(row, pool, known);
  }

  void read_number_cell(CsvRow const& row, NumberCell const& number, Pool& pool, KnownTraits& known) {
    PoolColumn const& column = pool_columns()[number.column];
    std::string const& text = row.cells[number.cell];
    if (text.empty()) return;
    double value = 0.0;
    double written = 0.0;
    std::string shown;
    if (auto const plain = sim::read_number(text)) {
      if (!number.unit) {
        if (without_unit_.insert(number.column).second) {
          problems_.add({file_, table_.header_line, 0, fmt::format("column {}", column.name),
                         fmt::format("{} in line {} has no unit; name the unit in the header, for example {} [{}]",
                                     text, row.line, column.name, usual_unit(column))});
        }
        return;
      }
      written = *plain;
      value = number.unit->slope * written + number.unit->offset;
      shown = number.unit_text.empty() ? text : fmt::format("{} {}", text, number.unit_text);
    } else if (column.kind) {
      ReadQuantity const read = read_quantity(text, *column.kind);
      if (!read.value) {
        complain(row, column.name, read.problem);
        return;
      }
      value = *read.value;
      written = read.number;
      shown = text;
    } else {
      complain(row, column.name,
               fmt::format("\"{}\" is not a number; write for example {:.4g}", text.substr(0, 60), column.value(pool)));
      return;
    }
    if (column.kind) {
      std::string const outside = range_problem(shown, written, value, *column.kind, column.limits);
      if (!outside.empty()) {
        complain(row, column.name, outside);
        return;
      }
    } else if (value < column.limits.lower || value > column.limits.upper) {
      complain(row, column.name,
               fmt::format("{} is outside what is accepted; write a number from {:.6g} to {:.6g}", text,
                           column.limits.lower, column.limits.upper));
      return;
    }
    column.value(pool) = std::clamp(value, column.limits.lower, column.limits.upper) / column.SI_per_kept;
    known.numbers[number.column] = true;
  }

  static std::string_view name_of(PoolWord word) { return pool_word_columns()[static_cast<std::size_t>(word)].name; }

  bool read_word_cell(CsvRow const& row, PoolWord word, std::string const& text, Pool& pool) {
    auto const wrong = [&](std::string message) {
      complain(row, name_of(word), std::move(message));
      return false;
    };
    if (text.size() > longest_text_bytes) {
      return wrong(fmt::format("the text has more than {} bytes; shorten it", longest_text_bytes));
    }
    if (holds_control(text)) {
      return wrong("the text holds control characters; write it on one line");
    }
    switch (word) {
      case PoolWord::name:
        pool.name = text;
        return true;
      case PoolWord::neighbourhood:
        pool.neighbourhood = text;
        return true;
      case PoolWord::pool_class:
        pool.pool_class = text;
        return true;
      case PoolWord::site: {
        auto const place = place_in(sites_, text);
        if (!place) return wrong(not_one_of(text, sites_));
        pool.site = SiteId{static_cast<std::uint32_t>(*place)};
        return true;
      }
      case PoolWord::fill_water: {
        auto const place = place_in(fill_waters_, text);
        if (!place) return wrong(not_one_of(text, fill_waters_));
        pool.fill_water = *place;
        return true;
      }
      case PoolWord::cover: {
        auto const cover = cover_of(text);
        if (!cover) return wrong(not_one_of(text, {"none", "bubble", "solid"}));
        pool.cover = *cover;
        return true;
      }
      case PoolWord::automatic_refill: {
        auto const answer = yes_or_no(text);
        if (!answer) return wrong(fmt::format("\"{}\" is neither yes nor no; write yes or no", text.substr(0, 60)));
        pool.automatic_refill = *answer;
        return true;
      }
      case PoolWord::skill:
        if (std::find(skills_.begin(), skills_.end(), text) == skills_.end()) {
          return wrong(
              fmt::format("no technician has the skill \"{}\"; add it to the skills of one", text.substr(0, 60)));
        }
        pool.skill = text;
        return true;
      case PoolWord::preferred_technician:
        if (!place_in(technicians_, text)) return wrong(not_one_of(text, technicians_));
        pool.preferred_technician = text;
        return true;
      case PoolWord::longitude:
      case PoolWord::latitude: {
        double const largest = word == PoolWord::longitude ? 180.0 : 90.0;
        auto const degrees = sim::read_number(text);
        if (!degrees)
          return wrong(fmt::format("\"{}\" is not a number of degrees; write for example {}", text.substr(0, 60),
                                   word == PoolWord::longitude ? "-117.3021" : "34.1765"));
        if (std::fabs(*degrees) > largest) {
          return wrong(fmt::format("{} degrees is outside -{:.0f} to {:.0f}; are longitude and latitude swapped?", text,
                                   largest, largest));
        }
        (word == PoolWord::longitude ? pool.position.longitude_deg : pool.position.latitude_deg) = *degrees;
        return true;
      }
      case PoolWord::gate_opens:
      case PoolWord::gate_closes:
      case PoolWord::pump_start: {
        auto const seconds = parse_time_of_day(text);
        if (!seconds)
          return wrong(fmt::format("\"{}\" is not a time of day; write hours and minutes, for example 08:30",
                                   text.substr(0, 60)));
        if (word == PoolWord::gate_opens) pool.gate_opens_s = *seconds;
        if (word == PoolWord::gate_closes) pool.gate_closes_s = *seconds;
        if (word == PoolWord::pump_start) pool.pump_start_hour = *seconds / 3600.0;
        return true;
      }
    }
    return false;
  }

  void check_pool(CsvRow const& row, Pool const& pool, KnownTraits const& known) {
    auto const knows = [&](std::string_view name) {
      for (std::size_t i = 0; i < pool_columns().size(); ++i) {
        if (pool_columns()[i].name == name) return static_cast<bool>(known.numbers[i]);
      }
      return false;
    };
    if (knows("water_volume") && knows("surface_area")) {
      double const depth_m = pool.water_volume_m3 / pool.surface_area_m2;
      if (depth_m < 0.2 || depth_m > 6.0) {
        complain(
            row, "water_volume",
            fmt::format("{:.6g} m3 over a surface of {:.6g} m2 make a mean depth of {:.3g} m, not a pool's; check the "
                        "units of water_volume and surface_area",
                        pool.water_volume_m3, pool.surface_area_m2, depth_m));
      }
    }
    if (knows("surface_area") && knows("catchment_area") && pool.catchment_area_m2 < pool.surface_area_m2) {
      complain(row, "catchment_area",
               fmt::format("{:.6g} m2 is less than the water surface, {:.6g} m2; write the surface plus the deck that "
                           "drains into the pool",
                           pool.catchment_area_m2, pool.surface_area_m2));
    }
    auto const preferred = std::find_if(scenario_.technicians.begin(), scenario_.technicians.end(),
                                        [&](auto const& t) { return t.name == pool.preferred_technician; });
    if (!pool.preferred_technician.empty() && preferred != scenario_.technicians.end() && !pool.skill.empty() &&
        std::find(preferred->skills.begin(), preferred->skills.end(), pool.skill) == preferred->skills.end()) {
      complain(row, "preferred_technician",
               fmt::format("\"{}\" does not have the skill \"{}\" that the pool asks for; "
                           "name another, or add the skill",
                           pool.preferred_technician, pool.skill));
    }
    if (pool.gate_closes_s <= pool.gate_opens_s) {
      complain(row, "gate_closes", "the gate closes before it opens; write a later time");
    } else if (auto const& crew = scenario_.technicians; !crew.empty() && !anyone_at_gate(pool)) {
      auto const clock = [](double s) {
        int const minutes = static_cast<int>(s / 60.0);
        return fmt::format("{:02}:{:02}", minutes / 60, minutes % 60);
      };
      auto const first = std::min_element(
          crew.begin(), crew.end(), [](auto const& a, auto const& b) { return a.shift_start_s < b.shift_start_s; });
      auto const last = std::max_element(crew.begin(), crew.end(), [](auto const& a, auto const& b) {
        return latest_arrival_s(a) < latest_arrival_s(b);
      });
      complain(row, pool.gate_opens_s > 0.0 ? "gate_opens" : "gate_closes",
               fmt::format("nobody works while the gate is open, {} to {}: shifts and overtime run from {} to {}; "
                           "correct the hours of the gate or of the shifts",
                           clock(pool.gate_opens_s), clock(pool.gate_closes_s), clock(first->shift_start_s),
                           clock(latest_arrival_s(*last))));
    }
  }

  static double latest_arrival_s(Technician const& technician) {
    return technician.shift_start_s + technician.shift_length_s + technician.overtime_limit_s;
  }

  [[nodiscard]] bool anyone_at_gate(Pool const& pool) const {
    return std::any_of(scenario_.technicians.begin(), scenario_.technicians.end(), [&](Technician const& technician) {
      return pool.gate_opens_s < latest_arrival_s(technician) && pool.gate_closes_s > technician.shift_start_s;
    });
  }

  /// A lost sign of a longitude puts a pool on another continent.
  void check_spread(std::vector<Pool> const& pools) {
    auto const middle_of = [&](double Position::*coordinate) {
      std::vector<double> values;
      for (auto const& pool : pools) values.push_back(pool.position.*coordinate);
      auto const middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
      std::nth_element(values.begin(), middle, values.end());
      return *middle;
    };
    Position const middle{middle_of(&Position::longitude_deg), middle_of(&Position::latitude_deg)};
    for (std::size_t i = 0; i < pools.size(); ++i) {
      double const away_m = great_circle_m(pools[i].position, middle);
      if (away_m > farthest_from_fleet_m) {
        complain(
            table_.rows[i], "longitude",
            fmt::format("\"{}\" lies {:.0f} km from the middle of the fleet; check the signs of longitude and latitude",
                        pools[i].name, away_m / 1000.0));
      }
    }
  }

  CsvTable const& table_;
  std::string const& file_;
  Scenario const& scenario_;
  FleetTraits const& traits_;
  Problems& problems_;
  std::vector<std::string> sites_, fill_waters_, technicians_, skills_;
  std::vector<NumberCell> number_cells_;
  std::map<PoolWord, std::size_t> word_cells_;
  std::set<std::size_t> without_unit_;         // columns that were reported as such
  std::map<std::string, std::size_t> counts_;  // problems by column
};

/// `{ median = "60 m3", spread = 0.3 }` and its like.
std::optional<Distribution> read_distribution(TableReader& reader, PoolColumn const& column) {
  double first = 0.0;
  double second = 0.0;
  auto const read_value = [&](std::string_view key, double& target, Limits limits) {
    if (!reader.has(key)) return false;
    return column.kind ? reader.read_quantity(key, target, *column.kind, limits)
                       : reader.read_number(key, target, limits);
  };
  std::optional<Distribution> distribution;
  bool right = false;
  if (reader.has("median")) {
    right = read_value("median", first, column.limits);
    right = reader.require("spread", "spread = 0.3") && reader.read_number("spread", second, {0.0, 3.0}) && right;
    distribution = Distribution{Shape::lognormal, first, second};
  } else if (reader.has("mean")) {
    right = read_value("mean", first, column.limits);
    double relative = 0.0;
    right = reader.require("spread", "spread = 0.1") && reader.read_number("spread", relative, {0.0, 3.0}) && right;
    second = relative * std::fabs(first);
    distribution = Distribution{Shape::normal, first, second};
  } else if (reader.has("low") || reader.has("high")) {
    right = reader.require("low", "low = ...") && read_value("low", first, column.limits);
    right = reader.require("high", "high = ...") && read_value("high", second, column.limits) && right;
    if (right && second < first) {
      reader.complain("high", "the highest value is less than the lowest; swap them");
      right = false;
    }
    distribution = Distribution{Shape::uniform, first, second};
  } else {
    reader.complain("",
                    "no distribution; write { median = ..., spread = 0.3 }, { mean = ..., spread = 0.1 } or { low "
                    "= ..., high = ... }");
  }
  reader.finish();
  return right ? distribution : std::nullopt;
}

std::vector<WordShare> read_word_shares(TableReader& reader, std::vector<std::string> const& words,
                                        std::vector<std::string> const& known) {
  std::vector<WordShare> shares;
  double sum = 0.0;
  bool right = true;
  for (auto const& word : words) {
    double share = 0.0;
    if (!reader.read_quantity(word, share, Quantity::share, {0.0, 1.0})) {
      right = false;
      continue;
    }
    if (!known.empty() && !place_in(known, word)) {
      reader.complain(word, not_one_of(word, known));
      right = false;
    } else if (auto const problem = name_problem(word); !problem.empty()) {
      reader.complain(word, problem);
      right = false;
    }
    shares.push_back({word, share});
    sum += share;
  }
  if (!right) return {};
  if (std::fabs(sum - 1.0) > 1e-9) {
    reader.complain("", fmt::format("the shares add up to {:.4g} %; let them add up to 100 %", sum * 100.0));
    return {};
  }
  return shares;
}

}  // namespace

std::string more_rows(std::size_t not_shown) {
  return fmt::format("{} more rows have problems in this column; correct the first ones and check again", not_shown);
}

double within_half_turn_deg(double longitude_deg) {
  return std::fabs(longitude_deg) <= 180.0 ? longitude_deg : std::remainder(longitude_deg, 360.0);
}

Position middle_of(std::vector<Pool> const& pools) {
  Position middle;
  if (pools.empty()) return middle;
  auto const count = static_cast<double>(pools.size());
  auto const [west, east] = std::minmax_element(pools.begin(), pools.end(), [](Pool const& a, Pool const& b) {
    return a.position.longitude_deg < b.position.longitude_deg;
  });
  bool const across_date_line = east->position.longitude_deg - west->position.longitude_deg > 180.0;
  for (auto const& pool : pools) {
    double const longitude_deg = pool.position.longitude_deg;
    middle.longitude_deg += (across_date_line && longitude_deg < 0.0 ? longitude_deg + 360.0 : longitude_deg) / count;
    middle.latitude_deg += pool.position.latitude_deg / count;
  }
  middle.longitude_deg = within_half_turn_deg(middle.longitude_deg);
  return middle;
}

FleetTraits read_fleet_traits(std::optional<TableReader> traits, Scenario const& scenario) {
  FleetTraits result;
  if (!traits) return result;
  for (std::size_t i = 0; i < pool_columns().size(); ++i) {
    PoolColumn const& column = pool_columns()[i];
    if (!traits->has(column.name)) continue;
    if (traits->is_table(column.name)) {
      auto reader = traits->subtable(column.name);
      result.numbers[i] = read_distribution(*reader, column);
      continue;
    }
    double value = 0.0;
    bool const right = column.kind ? traits->read_quantity(column.name, value, *column.kind, column.limits)
                                   : traits->read_number(column.name, value, column.limits);
    if (right) result.numbers[i] = Distribution{Shape::fixed, value, 0.0};
  }
  struct Named {
    PoolWord word;
    std::vector<std::string> known;
  };
  std::vector<std::string> skills;
  for (auto const& technician : scenario.technicians) {
    skills.insert(skills.end(), technician.skills.begin(), technician.skills.end());
  }
  for (auto const& [word, known] : std::vector<Named>{{PoolWord::neighbourhood, {}},
                                                      {PoolWord::pool_class, {}},
                                                      {PoolWord::skill, skills},
                                                      {PoolWord::fill_water, names_of(scenario.fill_waters)},
                                                      {PoolWord::cover, {"none", "bubble", "solid"}},
                                                      {PoolWord::automatic_refill, {"yes", "no"}}}) {
    std::string_view const name = pool_word_columns()[static_cast<std::size_t>(word)].name;
    if (!traits->has(name)) continue;
    auto reader = traits->subtable(name);
    if (!reader) continue;
    auto shares = read_word_shares(*reader, reader->keys(), known);
    if (!shares.empty()) result.words[word] = std::move(shares);
  }
  traits->finish();
  return result;
}

std::vector<Pool> read_pool_list(std::string_view text, std::string const& file, Scenario const& scenario,
                                 FleetTraits const& traits, Problems& problems) {
  auto const table = read_csv(text, file, problems);
  if (!table) return {};
  return PoolListReader(*table, file, scenario, traits, problems).read();
}

std::vector<Pool> generate_pools(GeneratedFleet const& fleet, Scenario const& scenario, FleetTraits const& traits) {
  std::vector<Pool> pools(static_cast<std::size_t>(fleet.count));
  double const parallel = std::cos(fleet.centre.latitude_deg * std::numbers::pi / 180.0);
  auto const digits = static_cast<int>(std::to_string(fleet.count).size());
  for (std::uint32_t i = 0; i < pools.size(); ++i) {
    Pool& pool = pools[i];
    pool.name = fmt::format("{} {:0{}}", fleet.name_prefix, i + 1, digits);
    // Uniform over the disc.
    double const distance_m =
        fleet.radius_m * std::sqrt(trait_draw(scenario.seed, i, draw_index_of(PoolWord::longitude)));
    double const angle = 2 * std::numbers::pi * trait_draw(scenario.seed, i, draw_index_of(PoolWord::latitude));
    double const longitude_deg =
        fleet.centre.longitude_deg + distance_m * std::cos(angle) / (metres_per_degree * parallel);
    pool.position.longitude_deg = within_half_turn_deg(longitude_deg);
    pool.position.latitude_deg = fleet.centre.latitude_deg + distance_m * std::sin(angle) / metres_per_degree;
    complete_pool(pool, i, scenario, traits, {});
  }
  return pools;
}

}  // namespace brinecast::sim
