// Backwash, debris and level.

#include "sim/policy/rules.hpp"

namespace brinecast::sim {

namespace {

constexpr double half_day = 0.5;

}  // namespace

void clear_debris(RuleInputs const& in, PoolRecord& record, VisitDecision& decision) {
  UpkeepSpec const& upkeep = in.policy.upkeep;
  if (in.visit.today.day + half_day < record.debris_day + upkeep.debris_every_d) return;
  decision.actions.debris_removed_share = upkeep.debris_removed_share;
  decision.did(VisitTask::debris);
  record.debris_day = in.visit.today.day;
}

void keep_up(RuleInputs const& in, PoolRecord& record, VisitDecision& decision) {
  UpkeepSpec const& upkeep = in.policy.upkeep;
  DayKnowledge const& today = in.visit.today;
  clear_debris(in, record, decision);
  int const since = static_cast<int>(today.day - record.backwash_day);
  if (since + half_day >= upkeep.backwash_every_d || recent_sum(today.rain_m, since) >= upkeep.backwash_after_rain_m) {
    decision.actions.backwash_m3 = in.pool.pump_flow_m3_per_s * upkeep.backwash_duration_s;
    decision.did(VisitTask::backwash);
    record.backwash_day = today.day;
  }
  if (!in.pool.automatic_refill && in.readings.level_below_normal_m > upkeep.refill_below_m) {
    decision.actions.refill_to_normal = true;
    decision.did(VisitTask::refill);
  }
}

}  // namespace brinecast::sim
