#include "sim/policy/people.hpp"

#include <algorithm>

namespace brinecast::sim {

namespace {

constexpr double weekend_weight = 2.0;
constexpr double workday_weight = 0.6;
constexpr double holiday_weight = 1.5;
constexpr double nobody_below_K = 290.15;
constexpr double usual_heat_K = 301.15;
constexpr double hottest_weight = 2.0;
constexpr double debris_owner_removes = 0.5;
constexpr double lowest_attention = 0.2;  // even the idlest owner sees a green pool

bool chance(DrawKey const& key, double probability) { return probability > 0.0 && uniform_draw(key) < probability; }

DrawKey with(DrawKey key, Purpose purpose, std::uint32_t index) {
  key.purpose = purpose;
  key.index = index;
  return key;
}

}  // namespace

int bathers_of_day(Pool const& pool, Season const& season, std::chrono::sys_days date, double air_highest_K,
                   DrawKey key) {
  std::chrono::weekday const weekday{date};
  bool const weekend = weekday == std::chrono::Saturday || weekday == std::chrono::Sunday;
  bool const holiday = std::find(season.holidays.begin(), season.holidays.end(), date) != season.holidays.end();
  double const day_weight = weekend ? weekend_weight : holiday ? holiday_weight : workday_weight;
  double const heat_weight =
      std::clamp((air_highest_K - nobody_below_K) / (usual_heat_K - nobody_below_K), 0.0, hottest_weight);
  return poisson_draw(with(key, Purpose::bathers, 0), pool.bathers_per_day * day_weight * heat_weight);
}

OwnerCare owner_care(PolicySpec const& policy, Pool const& pool, int day, DrawKey key) {
  OwnerCare care;
  if (!policy.people.owners_help) return care;
  if ((static_cast<std::uint32_t>(day) + key.pool) % 7 != 0) return care;
  if (!chance(with(key, Purpose::owner_care, 0), pool.owner_diligence)) return care;
  care.fills_to_normal = true;
  care.debris_removed_share = debris_owner_removes;
  return care;
}

bool owner_calls(PolicySpec const& policy, Pool const& pool, PoolSight const& sight, DrawKey key) {
  if (!sight.cloudy && !sight.algae_visible && !sight.warning_lit) return false;
  double const attention = std::max(pool.owner_diligence, sight.algae_visible ? lowest_attention : 0.0);
  return chance(with(key, Purpose::call, 0), policy.people.call_chance_per_day * attention);
}

CustomerMood customer_mood(PolicySpec const& policy, PoolSight const& sight, DrawKey key) {
  CustomerMood mood;
  PeopleSpec const& people = policy.people;
  if (!people.complaints || (!sight.cloudy && !sight.algae_visible)) return mood;
  mood.complains = chance(with(key, Purpose::customer, 0), people.complaint_chance_per_day);
  mood.cancels = mood.complains && people.cancellations &&
                 chance(with(key, Purpose::customer, 1), people.cancel_chance_per_complaint);
  return mood;
}

double fee_per_month(PolicySpec const& policy, Pool const& pool) {
  return policy.fees.per_month.value_or(pool.fee_per_month);
}

double fee_per_visit(PolicySpec const& policy, Pool const& pool, bool call_out) {
  return call_out ? policy.fees.per_call_out : policy.fees.per_visit.value_or(pool.fee_per_visit);
}

}  // namespace brinecast::sim
