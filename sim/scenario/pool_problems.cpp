#include "sim/scenario/pool_problems.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <map>
#include <optional>

#include "sim/scenario/csv.hpp"
#include "sim/scenario/limits.hpp"
#include "sim/scenario/policy_lines.hpp"
#include "sim/scenario/read_pools.hpp"
#include "sim/scenario/read_scenario.hpp"

namespace brinecast::sim {

namespace {

constexpr double day_s = 86400.0;
constexpr double least_rating_kg_per_m3_day = 0.001, most_rating_kg_per_m3_day = 0.2;  // assumption; usual is 0.01
constexpr double least_plates_m2_day_per_kg = 0.01, most_plates_m2_day_per_kg = 1.0;   // assumption; usual is 0.1
constexpr double longest_turnover_d = 7.0;                                             // assumption; usual is 1
constexpr double most_bathers_per_m2_day = 20.0;                                       // assumption; usual is 0.03

std::string shown(double value_SI, Quantity kind) {
  return fmt::format("{:.4g} {}", shown_value(value_SI, kind, UnitSystem::si), shown_unit(kind, UnitSystem::si));
}

/// What is wrong by column, in a pool as it was read or drawn.
std::map<std::string_view, std::string> out_of_proportion(Pool const& pool) {
  std::map<std::string_view, std::string> wrong;
  double const rating_kg_per_s = pool.cell_rated_production_kg_per_s;
  double const rating_per_m3 = rating_kg_per_s * day_s / pool.water_volume_m3;
  if (rating_per_m3 < least_rating_kg_per_m3_day || rating_per_m3 > most_rating_kg_per_m3_day) {
    wrong["cell_rating"] = fmt::format(
        "a cell of {} for {} makes {:.3g} g a day and m3, where {:g} to {:g} are usual at the utmost; check the units "
        "of cell_rating and water_volume",
        shown(rating_kg_per_s, Quantity::production), shown(pool.water_volume_m3, Quantity::water_volume),
        1000.0 * rating_per_m3, 1000.0 * least_rating_kg_per_m3_day, 1000.0 * most_rating_kg_per_m3_day);
  }
  double const plates = pool.cell_plate_area_m2 / (rating_kg_per_s * day_s);
  if (plates < least_plates_m2_day_per_kg || plates > most_plates_m2_day_per_kg) {
    wrong["cell_plate_area"] = fmt::format(
        "{} of plates for {} are {:.3g} m2 for a kg a day, where {:g} to {:g} are usual at the utmost; check the units "
        "of cell_plate_area and cell_rating",
        shown(pool.cell_plate_area_m2, Quantity::area), shown(rating_kg_per_s, Quantity::production), plates,
        least_plates_m2_day_per_kg, most_plates_m2_day_per_kg);
  }
  double const hours = pool.pump_hours_per_day > 0.0 ? pool.pump_hours_per_day : 24.0;
  double const turnover_d = pool.water_volume_m3 / (pool.pump_flow_m3_per_s * 3600.0 * hours);
  if (turnover_d > longest_turnover_d) {
    wrong["pump_flow"] = fmt::format(
        "{} for {:g} h a day turn {} over in {:.3g} d, more than {:g} d; check the units of pump_flow and water_volume",
        shown(pool.pump_flow_m3_per_s, Quantity::flow), hours, shown(pool.water_volume_m3, Quantity::water_volume),
        turnover_d, longest_turnover_d);
  }
  double const bathers_per_m2 = pool.bathers_per_day / pool.surface_area_m2;
  if (bathers_per_m2 > most_bathers_per_m2_day) {
    wrong["bathers_per_day"] = fmt::format(
        "{:g} bathers a day over {} are {:.3g} for a m2, more than {:g}; check bathers_per_day and "
        "surface_area",
        pool.bathers_per_day, shown(pool.surface_area_m2, Quantity::area), bathers_per_m2, most_bathers_per_m2_day);
  }
  return wrong;
}

/// The list of pools as the scenario's file names it, read again for its lines.
class PoolLines {
 public:
  explicit PoolLines(Scenario const& scenario) {
    toml::parse_result const parsed = toml::parse(scenario.text);
    if (!parsed) return;
    auto const named = parsed.table()["fleet"]["pools"].value<std::string>();
    if (!named) return;
    ResolvedPath const resolved = resolve_path(*named, scenario.path);
    if (!resolved.path) return;
    file_ = resolved.path->generic_string();
    Problems faults;
    auto const text = read_text_file(*resolved.path, file_, largest_pool_list_bytes, faults);
    if (text) table_ = read_csv(*text, file_, faults);
    if (!table_ || !faults.empty() || table_->rows.size() != scenario.pools.size()) {
      table_.reset();
      return;
    }
    for (std::size_t cell = 0; cell < table_->header.size(); ++cell) {
      cells_.emplace(split_column_header(table_->header[cell]).name, cell);
    }
  }

  /// What the list says of a pool in a column, "" where it says nothing.
  [[nodiscard]] std::string_view text(std::size_t pool, std::string_view column) const {
    if (!table_) return "";
    auto const cell = cells_.find(column);
    return cell == cells_.end() ? std::string_view() : std::string_view(table_->rows[pool].cells[cell->second]);
  }
  [[nodiscard]] int line(std::size_t pool) const { return table_->rows[pool].line; }
  [[nodiscard]] std::string const& file() const { return file_; }

 private:
  std::string file_;
  std::optional<CsvTable> table_;
  std::map<std::string, std::size_t, std::less<>> cells_;
};

/// A share of the day under a cover that the pool does not have counts for nothing.
bool idle_share(PoolLines const& lines, std::size_t pool) {
  if (lines.text(pool, "cover") != "none") return false;
  std::string_view const share = lines.text(pool, "covered_share");
  auto const number = read_number(share);
  return number ? *number > 0.0 : read_quantity(share, Quantity::share).value.value_or(0.0) > 0.0;
}

struct Counted {
  std::size_t pools = 0;
  std::size_t first = 0;  // of them
  std::string message;    // of the first
};

}  // namespace

Problems find_pool_problems(Scenario const& scenario) {
  PoolLines const lines(scenario);
  Problems problems;
  std::map<std::string_view, Counted> listed, drawn;  // by column
  for (std::size_t pool = 0; pool < scenario.pools.size(); ++pool) {
    auto wrong = out_of_proportion(scenario.pools[pool]);
    if (idle_share(lines, pool)) {
      wrong["covered_share"] = fmt::format(
          "{} of the day under a cover count for nothing, since cover is none; write bubble or solid there, "
          "or 0 here",
          lines.text(pool, "covered_share"));
    }
    for (auto& [column, message] : wrong) {
      bool const in_list = !lines.text(pool, column).empty();
      Counted& counted = (in_list ? listed : drawn)[column];
      if (++counted.pools == 1) counted = {1, pool, message};
      if (!in_list || counted.pools > shown_problems_a_column) continue;
      problems.add({lines.file(), lines.line(pool), 0, fmt::format("column {}", column), std::move(message)});
    }
  }
  for (auto const& [column, counted] : listed) {
    if (counted.pools <= shown_problems_a_column) continue;
    problems.add({lines.file(), lines.line(scenario.pools.size() - 1), 0, fmt::format("column {}", column),
                  more_rows(counted.pools - shown_problems_a_column)});
  }
  for (auto const& [column, counted] : drawn) {
    StatedAt const at = where_stated(scenario, fmt::format("fleet.traits.{}", column));
    problems.add({at.file, at.line, at.column, fmt::format("fleet.traits.{}", column),
                  fmt::format("\"{}\", the first of {} such pool{}: {}", scenario.pools[counted.first].name,
                              counted.pools, counted.pools == 1 ? "" : "s", counted.message)});
  }
  return problems;
}

}  // namespace brinecast::sim
