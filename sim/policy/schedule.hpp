#pragma once
// When a pool is visited. Precedence as stated at `VisitSpec`: the first reason that applies wins the day, all that
// apply are reported.

#include "sim/policy/pool_record.hpp"
#include "sim/policy/why.hpp"

namespace brinecast::sim {

/// Index of the first rule of `policy.visits.rules` whose conditions hold, or the number of rules when none does.
std::size_t matching_rule(PolicySpec const& policy, Pool const& pool, PoolRecord const& record,
                          DayKnowledge const& today);

/// The interval that holds today, days: rule or default, times the adaptive stretch, within its limits.
double visit_interval_d(PolicySpec const& policy, Pool const& pool, PoolRecord const& record,
                        DayKnowledge const& today);

/// The day of the next visit if nothing happens before (interval, return visit, winter watch, dated opening or
/// closing); `never` for a closed pool without a date or watch.
double next_due_day(PolicySpec const& policy, Pool const& pool, PoolRecord const& record, DayKnowledge const& today);

/// Reasons (VisitReason bits) to visit the pool today, 0 for none. A call-out is the day loop's to add.
std::uint32_t reasons_to_visit(PolicySpec const& policy, Pool const& pool, PoolRecord const& record,
                               DayKnowledge const& today);

/// Whether a remote reading is due today; never for a closed pool.
bool wants_remote_reading(PolicySpec const& policy, PoolRecord const& record, DayKnowledge const& today);

/// Whether the calendar alone has the pool closed: between closing and opening date.
bool closed_by_date(YearSpec const& year, std::chrono::month_day day);

/// Mean interval over the season by calendar and class rules, for planning rounds: days per visit. Rules on temperature
/// count as not holding, adaptive stretch as 1.
double typical_interval_d(PolicySpec const& policy, Pool const& pool, Season const& season);

/// Records that the company's visit of today is done: rhythm, gaps and reports start anew. Call-outs and triggered
/// visits leave the rhythm unless they come in the second half of the interval.
void note_visit(PolicySpec const& policy, Pool const& pool, PoolRecord& record, DayKnowledge const& today,
                std::uint32_t reasons);

}  // namespace brinecast::sim
