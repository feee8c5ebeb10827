#pragma once
// Every variable of a result file in one table: it drives the writer, the reader, the journal, the documentation in
// results/README.md and the tests. Names, units and axes change only together with `format_version`.

#include <array>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "results/run_description.hpp"
#include "sim/ensemble/tallies.hpp"

namespace brinecast::results {

inline constexpr int format_version = 2;  // 2: lines of rounds, names of all bits
inline constexpr std::string_view file_type = "brinecast results";

/// The axes of a result file, each a named HDF5 dimension scale.
enum class Axis {
  policy,
  replicate,
  pool,
  month,
  technician,
  day,
  quantile,
  visit,  // unlimited
  trace_pool,
  trace_hour,
  book,
  parameter,
  supply,
  planned_stop,
  planned_round,
  route_point,
  input_file
};
inline constexpr std::size_t axis_count = 17;

std::string_view name_of(Axis axis);

/// How a variable lies in the file. `reading` is float32 rounded to 12 significant bits (off by 2.4e-4 of the value at
/// most, finer than any test kit or plotted trace), which makes the long arrays compress.
enum class Storage { float64, float32, reading, int32, uint32, uint8, text };

/// Where a variable's values come from: a member of a task's tallies, or the run's description.
using PoolMember = std::vector<double> sim::PoolTally::*;
using MonthMember = std::vector<double> sim::MonthTally::*;
using DayBandMember = std::array<std::vector<float>, sim::day_quantiles.size()> sim::DayTally::*;
using DayMember = std::vector<float> sim::DayTally::*;
using TechnicianMember = std::vector<std::vector<float>> sim::TechnicianTally::*;
using VisitNumber = float sim::VisitRecord::*;
using VisitBits = std::uint32_t sim::VisitRecord::*;
using VisitTime = double sim::VisitRecord::*;
using TraceMember = std::vector<float> sim::PoolTrace::*;
using NumbersOfRun = std::vector<double> (*)(RunDescription const&);
using TextsOfRun = std::vector<std::string> (*)(RunDescription const&);
/// Filled by the writer itself, from which task a value belongs to.
enum class OfWriter { task_complete, visit, visit_policy, visit_replicate, book_error };
using Source = std::variant<PoolMember, MonthMember, DayBandMember, DayMember, TechnicianMember, VisitNumber, VisitBits,
                            VisitTime, TraceMember, NumbersOfRun, TextsOfRun, OfWriter>;

struct Variable {
  std::string_view name;
  std::string_view units;  // UDUNITS; "" for texts; times say "days since {first_day}" with the season's first day
  std::string_view long_name;
  std::vector<Axis> axes;
  Storage storage = Storage::float32;
  Source source;
  std::vector<std::string> (*bit_names)() = nullptr;  // of a variable of bits, from the lowest, as CF's flag_meanings
};

/// All variables in the order in which a file holds them; a coordinate comes before whatever uses its axis.
std::span<Variable const> variables();

/// The variable of that name, or nullptr.
Variable const* find_variable(std::string_view name);

/// The units with the season's first day filled in.
std::string units_of(Variable const& variable, RunDescription const& run);

/// Length of every axis, [axis]; `visit` is 0 until it is written.
std::array<std::size_t, axis_count> axis_lengths(RunDescription const& run);

/// Names of the conservation books on axis `book`, and the worst relative closure of each.
std::span<std::string_view const> book_names();
std::vector<double> book_values(sim::BookErrors const& errors);

/// The table as Markdown, as results/README.md holds it.
std::string schema_table();

}  // namespace brinecast::results
