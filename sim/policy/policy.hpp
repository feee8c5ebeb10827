#pragma once
// Care policies as the day loop uses them. Pure and deterministic; nothing allocates per visit; the truth is seen by
// look(), measure() and inspect_cell() only, and no rule gets hold of it.
//
//   PoolRecord record = start_record(policy, pool, season, first_visit_day);     // one a pool; may start closed
//   each morning, with the DayKnowledge of the pool's site:
//     reasons = reasons_to_visit(policy, pool, record, today);                    // 0: stay away
//     if (call_out) reasons |= bit(VisitReason::call_out);
//     if (wants_remote_reading(policy, record, today)) setting = read_remotely(policy, record, truth, today, key);
//   at the hour of a served visit:
//     Visit visit = visit_pool(policy, pool, fill, record, truth, today, reasons, key);
//     apply visit.decision.actions to the water; log visit.readings, visit.decision.tasks, .rules, .expected_...
//     cost += testing_cost(prices, visit.tests)
//   each evening:
//     report_bathers(record, day, bathers_of_day(...)); owner_care(...); owner_calls(...); customer_mood(...)
//     report_warning(record) once the company hears of a lamp
//
// Planning rounds: typical_interval_d, typical_service_s, typical_load_kg. A closing sets `actions.close`, lowers the
// level by `lowered_m3` and, with the level lowered, stops the pump; an opening sets `open`, refills to normal,
// restores the pump hours and leaves the unit off until it is balanced.

#include "sim/policy/decide.hpp"
#include "sim/policy/people.hpp"
#include "sim/policy/pool_record.hpp"
#include "sim/policy/schedule.hpp"
#include "sim/policy/testing.hpp"
#include "sim/policy/visit_pool.hpp"
#include "sim/policy/why.hpp"
