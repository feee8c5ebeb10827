#include <fmt/format.h>

#include <cstring>
#include <type_traits>

#include "sim/ensemble/ensemble.hpp"
#include "sim/parallel/parallel_loop.hpp"
#include "sim/policy/policy.hpp"

namespace brinecast::sim {

namespace {

/// Plans on their way between ranks: the bytes of their numbers, lists after their lengths.
class PlanBytes {
 public:
  PlanBytes() = default;
  explicit PlanBytes(std::string bytes) : bytes_(std::move(bytes)) {}

  void put(RoundsPlan const& plan) {
    put_value(plan.period_days);
    put_value(plan.cost);
    put_value(plan.lower_bound);
    put_value(plan.largest_stretch);
    put_list(plan.unserved);
    put_value(plan.rounds.size());
    for (Round const& round : plan.rounds) {
      put_list(round.stops);
      each_number(round, [this](auto const& number) { put_value(number); });
    }
  }

  RoundsPlan take() {
    RoundsPlan plan;
    take_value(plan.period_days);
    take_value(plan.cost);
    take_value(plan.lower_bound);
    take_value(plan.largest_stretch);
    take_list(plan.unserved);
    std::size_t rounds = 0;
    take_value(rounds);
    plan.rounds.resize(rounds);
    for (Round& round : plan.rounds) {
      take_list(round.stops);
      each_number(round, [this](auto& number) { take_value(number); });
    }
    return plan;
  }

  [[nodiscard]] std::string const& bytes() const { return bytes_; }

 private:
  template <class SomeRound, class Use>
  static void each_number(SomeRound& round, Use use) {
    use(round.technician);
    use(round.day);
    use(round.leave_start_s);
    use(round.reach_end_s);
    use(round.driving_s);
    use(round.driving_m);
    use(round.overtime_s);
    use(round.load_kg);
  }
  template <class Value>
  void put_value(Value const& value) {
    static_assert(std::is_trivially_copyable_v<Value>);
    bytes_.append(reinterpret_cast<char const*>(&value), sizeof(value));
  }
  template <class Value>
  void take_value(Value& value) {
    std::memcpy(&value, bytes_.data() + at_, sizeof(value));
    at_ += sizeof(value);
  }
  template <class Value>
  void put_list(std::vector<Value> const& values) {
    put_value(values.size());
    for (Value const& value : values) put_value(value);
  }
  template <class Value>
  void take_list(std::vector<Value>& values) {
    std::size_t count = 0;
    take_value(count);
    values.resize(count);
    for (Value& value : values) take_value(value);
  }

  std::string bytes_;
  std::size_t at_ = 0;
};

}  // namespace

std::vector<PlannedPool> planned_pools(Scenario const& scenario, PolicySpec const& policy) {
  std::vector<PlannedPool> pools;
  for (std::size_t i = 0; i < scenario.pools.size(); ++i) {
    Pool const& pool = scenario.pools[i];
    pools.push_back({.pool = PoolId{static_cast<std::uint32_t>(i)},
                     .visit_interval_d = typical_interval_d(policy, pool, scenario.season),
                     .service_s = typical_service_s(policy, pool, scenario.season) + scenario.rounds.stop_overhead_s,
                     .supplies_kg = typical_load_kg(policy, pool, scenario.season)});
  }
  return pools;
}

bool agree(Problems& problems, Ranks& ranks) {
  auto const told = ranks.exchange(problems.text());
  bool fine = true;
  for (std::size_t rank = 0; rank < told.size(); ++rank) {
    if (told[rank].empty()) continue;
    fine = false;
    if (ranks.leads() && problems.empty()) problems.add({fmt::format("rank {}", rank), 0, 0, "", told[rank]});
  }
  return fine;
}

std::unique_ptr<Prepared> prepare(Scenario scenario, Problems& problems, EnsembleOptions const& options, Ranks& ranks) {
  auto prepared = std::make_unique<Prepared>();
  prepared->scenario = std::move(scenario);
  prepared->weather = open_weather(prepared->scenario, problems);
  LoopThreads threads(threads_of(options));
  threads.run(1, [&](std::size_t) { prepared->travel = travel_table(prepared->scenario, problems); });
  if (!agree(problems, ranks)) return nullptr;
  auto const& policies = prepared->scenario.policies;
  auto const count = static_cast<std::size_t>(ranks.count());
  prepared->plans.resize(policies.size());
  std::vector<std::size_t> own;  // policies that this rank plans
  for (auto policy = static_cast<std::size_t>(ranks.own()); policy < policies.size(); policy += count) {
    own.push_back(policy);
  }
  threads.run(own.size(), [&](std::size_t i) {
    std::size_t const policy = own[i];
    prepared->plans[policy] = plan_rounds(prepared->scenario, prepared->travel,
                                          planned_pools(prepared->scenario, policies[policy]), prepared->scenario.seed);
  });
  if (count == 1) return prepared;
  PlanBytes mine;
  for (std::size_t const policy : own) mine.put(prepared->plans[policy]);
  auto const shared = ranks.exchange(mine.bytes());
  for (std::size_t rank = 0; rank < count; ++rank) {
    PlanBytes plans(shared[rank]);
    for (std::size_t policy = rank; policy < policies.size(); policy += count) prepared->plans[policy] = plans.take();
  }
  return prepared;
}

std::unique_ptr<Prepared> prepare(Scenario scenario, Problems& problems) {
  Ranks alone;
  return prepare(std::move(scenario), problems, {}, alone);
}

}  // namespace brinecast::sim
