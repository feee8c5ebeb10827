#pragma once
// The rules of a visit, one function each. They read the visit's readings and the card and add to the decision.

#include "sim/policy/decide.hpp"

namespace brinecast::sim {

struct RuleInputs {
  PolicySpec const& policy;
  Pool const& pool;
  WaterReadings const& readings;
  VisitContext const& visit;
};

/// `wanted`, in the unit of VisitActions, cut to what the van holds; notes the shortage when it was cut.
double from_van(RuleInputs const& in, Material material, double wanted, VisitDecision& decision);

/// Top-up of a verified (or believed) deficit; drain of an excess.
void dose_salt(RuleInputs const& in, PoolRecord& record, VisitDecision& decision);
/// Stabiliser, calcium, alkalinity, then acid for pH or for too much alkalinity.
void balance_water(RuleInputs const& in, PoolRecord& record, VisitDecision& decision);
/// Liquid chlorine when the reading is below the band or the water is cloudy or green.
void boost_chlorine(RuleInputs const& in, PoolRecord const& record, VisitDecision& decision);
/// Lamp, replacement, cleaning.
void care_for_cell(RuleInputs const& in, PoolRecord& record, VisitDecision& decision);
/// Output setting and pump hours; learns the decay of free chlorine.
void set_production(RuleInputs const& in, PoolRecord& record, VisitDecision& decision);
/// Debris, when it is due; all that is done to the water of a closed pool.
void clear_debris(RuleInputs const& in, PoolRecord& record, VisitDecision& decision);
/// Backwash, debris, level.
void keep_up(RuleInputs const& in, PoolRecord& record, VisitDecision& decision);

/// Whether every reading and, where not read now, the card is inside the bands that matter before power: pH,
/// alkalinity, calcium, salt.
bool water_is_balanced(PolicySpec const& policy, PoolRecord const& record);

/// Hydrochloric acid that brings the water from the pH read to the wanted one, mol/m3, with the card's temperature,
/// salt, calcium and cyanuric acid.
double acid_to_reach_ph_mol_per_m3(PoolRecord const& record, double ph, double alkalinity_mol_per_m3, double wanted_ph);

/// The voltage read, brought to water of 25 degC and usual salt: the part that the water's resistance makes goes with
/// its conductivity (models/cell/voltage.hpp), which a cold or dilute water lowers as scale does. Empty when not read.
std::optional<double> comparable_voltage_V(PoolRecord const& record, WaterReadings const& readings);

/// Saturation index from the readings and the card; empty while pH, alkalinity or calcium was never read.
std::optional<double> saturation_index_of(PoolRecord const& record);

/// Free chlorine at the end of `days` by production and first-order decay.
double expected_free_chlorine_kg_per_m3(double now_kg_per_m3, double production_kg_per_m3_d, double decay_per_day,
                                        double days);

/// Chlorine that the unit makes at full output through the pump hours, as its rating says, kg/m3 a day.
double rated_production_kg_per_m3_d(Pool const& pool, double pump_hours_per_day);

}  // namespace brinecast::sim
