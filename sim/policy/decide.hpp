#pragma once
// What is done at a visit, from readings and the pool's card alone. Pure and deterministic; allocates nothing.

#include "sim/policy/pool_record.hpp"
#include "sim/policy/visit.hpp"
#include "sim/policy/why.hpp"

namespace brinecast::sim {

struct VisitContext {
  DayKnowledge const& today;
  FillWater const& fill;      // the company knows the supply
  std::uint32_t reasons = 0;  // VisitReason bits
  double testing_s = 0.0;     // work already spent on tests
  SuppliesAtHand at_hand;
};

/// Actions with what the log wants to know about them.
struct VisitDecision {
  VisitActions actions;
  std::uint32_t tasks = 0;                        // VisitTask bits
  std::uint32_t rules = 0;                        // FiredRule bits
  std::uint32_t shortages = 0;                    // Shortage bits
  double expected_free_chlorine_kg_per_m3 = 0.0;  // at the next visit; NaN for a closed pool
  double expected_salt_kg_per_m3 = 0.0;

  void did(VisitTask task) { tasks |= bit(task); }
  void fired(FiredRule rule) { rules |= bit(rule); }
  void lacked(Shortage shortage) { shortages |= bit(shortage); }
};

/// Whether the technician takes the cell out and looks, given what the tests showed.
bool wants_inspection(PolicySpec const& policy, PoolRecord const& record, WaterReadings const& readings,
                      VisitContext const& visit);

/// Whether the card alone leaves it possible that this visit replaces the cell; never false when `decide` would.
bool may_replace_cell(PolicySpec const& policy, PoolRecord const& record, DayKnowledge const& today);

/// Decides and keeps the pool's card. Precedence inside a visit: closing or opening; salt; stabiliser, calcium,
/// alkalinity, pH, chlorine; the cell (lamp first, then replacement in advance, then cleaning rules); output and pump
/// hours; upkeep.
/// The work of closing for the winter.
void close_down(PolicySpec const& policy, Pool const& pool, VisitActions& actions);

VisitDecision decide(PolicySpec const& policy, Pool const& pool, PoolRecord& record, WaterReadings const& readings,
                     VisitContext const& visit);

/// Expected work on site and load of an ordinary visit, for planning rounds: seconds, kilograms.
double typical_service_s(PolicySpec const& policy, Pool const& pool, Season const& season);
double typical_load_kg(PolicySpec const& policy, Pool const& pool, Season const& season);

/// What `typical_load_kg` is made of, averaged over visits.
struct TypicalDoses {
  double salt_kg = 0.0;
  double acid_kg = 0.0;  // of the 31.45 % solution
  double powder_kg = 0.0;
};
TypicalDoses typical_doses(PolicySpec const& policy, Pool const& pool, Season const& season);

}  // namespace brinecast::sim
