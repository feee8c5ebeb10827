#pragma once
// Why: what was read at a pool's visits, which rules fired, what was done and what was expected, from the visit log.

#include <chrono>
#include <cstdint>
#include <optional>
#include <string>

#include "results/reader.hpp"
#include "sim/scenario/units.hpp"

namespace brinecast::results {

struct VisitQuery {
  std::string pool;    // its name
  std::string policy;  // "" the first
  std::uint32_t replicate = 0;
  std::optional<std::chrono::sys_days> first_day, last_day;  // both included; empty: the season's
};

/// The visits that the query asks for, one paragraph each, oldest first. Throws ResultError when the file has no visit
/// log, or no such pool, policy or replicate; the message offers the nearest name.
std::string visit_story_text(ResultFile const& file, VisitQuery const& query, sim::UnitSystem units);
/// The same as a JSON list in SI: time, technician, reasons, readings, rules, tasks, doses, settings, expected.
std::string visit_story_json(ResultFile const& file, VisitQuery const& query);

}  // namespace brinecast::results
