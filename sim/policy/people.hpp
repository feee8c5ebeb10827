#pragma once
// Owners and bathers: how many swim, what owners do themselves, when they call, complain or leave. A stated model with
// draws, without a published source; `PeopleSpec` adjusts it and switches its parts off.

#include <chrono>
#include <span>

#include "sim/random/random.hpp"
#include "sim/scenario/scenario.hpp"

namespace brinecast::sim {

/// Bathers of a day: Poisson with the pool's average, times the weekday (weekend 2, other days 0.6: mean 1), times 1.5
/// on holidays that are not weekend, times the heat of the day (1 at 28 degC highest air temperature, up to 2; nobody
/// below 17 degC). `key.time` is the day; pool and replicate as usual. The policy plays no part.
int bathers_of_day(Pool const& pool, Season const& season, std::chrono::sys_days date, double air_highest_K,
                   DrawKey key);

/// What an owner does on a day: with chance `owner_diligence` once a week, on the pool's own weekday.
struct OwnerCare {
  bool fills_to_normal = false;
  double debris_removed_share = 0.0;
};
OwnerCare owner_care(PolicySpec const& policy, Pool const& pool, int day, DrawKey key);

/// What can be seen or felt without a test.
struct PoolSight {
  bool cloudy = false;
  bool algae_visible = false;
  bool warning_lit = false;
};

/// Whether the owner calls the company today.
bool owner_calls(PolicySpec const& policy, Pool const& pool, PoolSight const& sight, DrawKey key);

struct CustomerMood {
  bool complains = false;
  bool cancels = false;
};
CustomerMood customer_mood(PolicySpec const& policy, PoolSight const& sight, DrawKey key);

/// Fees under the policy: the pool's own unless the policy replaces them.
double fee_per_month(PolicySpec const& policy, Pool const& pool);
double fee_per_visit(PolicySpec const& policy, Pool const& pool, bool call_out);

}  // namespace brinecast::sim
