#pragma once
// A whole visit, and a remote reading: look, test, decide.

#include "sim/policy/decide.hpp"
#include "sim/policy/testing.hpp"

namespace brinecast::sim {

struct Visit {
  WaterReadings readings;
  TestPlan tests;
  VisitDecision decision;
};

/// Looks, tests, inspects and decides; the card is kept. `key` names replicate, pool and hour of the visit; its purpose
/// and index are set here. `decision.actions` is for the day loop to apply to the water and to take
/// from the van, which gives no more than is `at_hand`.
Visit visit_pool(PolicySpec const& policy, Pool const& pool, FillWater const& fill, PoolRecord& record,
                 TrueWater const& truth, DayKnowledge const& today, std::uint32_t reasons, DrawKey key,
                 SuppliesAtHand const& at_hand = {});

/// Takes a remote reading: raises the card's alarm when a value is out of its band, reports lamps, and returns a new
/// output setting where the policy sets it from afar.
std::optional<double> read_remotely(PolicySpec const& policy, PoolRecord& record, TrueWater const& truth,
                                    DayKnowledge const& today, DrawKey key);

}  // namespace brinecast::sim
