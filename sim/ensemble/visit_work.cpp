#include "sim/ensemble/visit_work.hpp"

#include <algorithm>

#include "models/cell/cleaning.hpp"
#include "models/constants.hpp"
#include "models/dosing/dosing.hpp"
#include "sim/fleet/kernel.hpp"

namespace brinecast::sim {

namespace {

/// Lets water go at the pool's own concentrations.
void remove_water(PoolBlock& block, std::size_t lane, double wanted_m3) {
  PoolState& s = block.state;
  PoolBooks& b = block.books;
  double const volume = s.water_volume_m3[lane];
  double const removed_m3 = std::min(wanted_m3, 0.95 * volume);
  if (removed_m3 <= 0.0) return;
  double const share = removed_m3 / volume;
  auto const take = [&](LaneArray& amount, LaneArray& line) {
    double const gone = amount[lane] * share;
    amount[lane] -= gone;
    line[lane] -= gone;
  };
  take(s.water_volume_m3, b.visit_water_m3);
  take(s.heat_J, b.visit_heat_J);
  take(s.salt_kg, b.salt_visit_kg);
  take(s.calcium_mol, b.calcium_visit_mol);
  take(s.alkalinity_mol, b.alkalinity_visit_mol);
  take(s.inorganic_carbon_mol, b.carbon_visit_mol);
  take(s.cyanuric_acid_mol, b.cyanuric_visit_mol);
  take(s.borate_mol, b.borate_visit_mol);
  take(s.free_chlorine_mol, b.chlorine_visit_mol);
  take(s.combined_chlorine_mol, b.chlorine_visit_mol);
  s.ammonia_nitrogen_mol[lane] *= 1.0 - share;
  s.urea_nitrogen_mol[lane] *= 1.0 - share;
}

void add(LaneArray& amount, LaneArray& line, std::size_t lane, double change) {
  amount[lane] += change;
  line[lane] += change;
}

/// Pours `amount_mol` of a product in.
void dose(PoolBlock& block, std::size_t lane, models::DoseEffect const& effect, double amount_mol) {
  PoolState& s = block.state;
  PoolBooks& b = block.books;
  // The chloride of calcium chloride is counted with the calcium, not with the salt.
  double const salt_mol = (effect.chloride - 2.0 * effect.calcium) * amount_mol;
  add(s.salt_kg, b.salt_visit_kg, lane, salt_mol * models::molar_mass_NaCl_kg_per_mol);
  add(s.alkalinity_mol, b.alkalinity_visit_mol, lane, effect.alkalinity * amount_mol);
  add(s.inorganic_carbon_mol, b.carbon_visit_mol, lane, effect.inorganic_carbon * amount_mol);
  add(s.calcium_mol, b.calcium_visit_mol, lane, effect.calcium * amount_mol);
  add(s.undissolved_stabiliser_mol, b.cyanuric_visit_mol, lane, effect.cyanuric_acid * amount_mol);
  add(s.free_chlorine_mol, b.chlorine_visit_mol, lane, effect.free_chlorine * amount_mol);
}

void work_on_cell(PoolBlock& block, std::size_t lane, VisitActions const& actions, KernelSettings const& settings) {
  PoolState& s = block.state;
  if (actions.acid_clean_cycles > 0) {
    auto const cleaned = models::clean_with_acid({.scale_kg_per_m2 = s.scale_kg_per_m2[lane],
                                                  .coating_left = s.coating_left[lane],
                                                  .coating_life_h = block.traits.coating_life_h[lane],
                                                  .cycles = actions.acid_clean_cycles},
                                                 settings.parameters);
    s.scale_kg_per_m2[lane] = cleaned.scale_kg_per_m2;
    s.coating_left[lane] = cleaned.coating_left;
  }
  // A restart clears the lamps; those whose cause is still there light again within the hour.
  if (actions.power_cycle) {
    s.low_salt_warning[lane] = 0.0;
    s.check_cell_warning[lane] = 0.0;
    s.warm_up_s[lane] = 0.0;
  }
}

void set_controls(PoolBlock& block, std::size_t lane, VisitActions const& actions) {
  PoolControls& c = block.controls;
  if (actions.output_setting) c.output_setting[lane] = *actions.output_setting;
  if (actions.pump_hours_per_day) c.pump_hours[lane] = *actions.pump_hours_per_day;
  if (actions.cell_powered) c.cell_powered[lane] = *actions.cell_powered ? 1.0 : 0.0;
  if (actions.close != Closing::none) {
    c.open[lane] = 0.0;
    c.counted[lane] = 0.0;
    c.lines_protected[lane] = actions.close == Closing::drain_lines ? 1.0 : 0.0;
  }
  if (actions.open) {
    c.open[lane] = 1.0;
    c.counted[lane] = 1.0;
    c.lines_protected[lane] = 0.0;
    block.state.freeze_dose_K_s[lane] = 0.0;
  }
}

}  // namespace

TrueWater true_water(PoolBlock const& block, std::size_t lane, double cell_age_h,
                     models::Parameters const& parameters) {
  PoolState const& s = block.state;
  double const volume = s.water_volume_m3[lane];
  PoolSight const sight = sight_of(block, lane);
  return {.free_chlorine_kg_per_m3 = s.free_chlorine_mol[lane] / volume * models::molar_mass_Cl2_kg_per_mol,
          .combined_chlorine_kg_per_m3 = s.combined_chlorine_mol[lane] / volume * models::molar_mass_Cl2_kg_per_mol,
          .ph = s.ph[lane],
          .alkalinity_mol_per_m3 = s.alkalinity_mol[lane] / volume,
          .calcium_mol_per_m3 = s.calcium_mol[lane] / volume,
          .cyanuric_acid_mol_per_m3 = s.cyanuric_acid_mol[lane] / volume,
          .salt_kg_per_m3 = s.salt_kg[lane] / volume,
          .unit_salt_kg_per_m3 = s.unit_salt_kg_per_m3[lane],
          .water_temperature_K = s.water_temperature_K[lane],
          .cell_voltage_V = s.cell_voltage_V[lane],
          .scale_grade = models::scale_grade(s.scale_kg_per_m2[lane], parameters),
          .cell_operating_h = cell_age_h + block.hours.cell_h[lane],
          .warning_low_salt = s.low_salt_warning[lane] > 0.5,
          .warning_check_cell = s.check_cell_warning[lane] > 0.5,
          .cloudy = sight.cloudy,
          .algae_visible = sight.algae_visible,
          .level_below_normal_m = (block.traits.normal_volume_m3[lane] - volume) / block.traits.surface_area_m2[lane]};
}

PoolSight sight_of(PoolBlock const& block, std::size_t lane) {
  PoolState const& s = block.state;
  return {.cloudy = s.algae[lane] >= cloudy_algae,
          .algae_visible = s.algae[lane] >= visible_algae,
          .warning_lit = s.low_salt_warning[lane] > 0.5 || s.check_cell_warning[lane] > 0.5};
}

double refill_to_normal(PoolBlock& block, std::size_t lane) {
  PoolState& s = block.state;
  PoolBooks& b = block.books;
  PoolTraits const& t = block.traits;
  double const missing_m3 = t.normal_volume_m3[lane] - s.water_volume_m3[lane];
  if (missing_m3 <= 0.0) return 0.0;
  add(s.water_volume_m3, b.visit_water_m3, lane, missing_m3);
  add(s.heat_J, b.visit_heat_J, lane,
      missing_m3 * heat_capacity_J_per_m3_K * (t.fill_temperature_K[lane] - models::celsius_zero_K));
  add(s.salt_kg, b.salt_visit_kg, lane, missing_m3 * t.fill_salt_kg_per_m3[lane]);
  add(s.calcium_mol, b.calcium_visit_mol, lane, missing_m3 * t.fill_calcium_mol_per_m3[lane]);
  add(s.alkalinity_mol, b.alkalinity_visit_mol, lane, missing_m3 * t.fill_alkalinity_mol_per_m3[lane]);
  add(s.inorganic_carbon_mol, b.carbon_visit_mol, lane, missing_m3 * t.fill_inorganic_carbon_mol_per_m3[lane]);
  s.water_temperature_K[lane] =
      models::celsius_zero_K + s.heat_J[lane] / (s.water_volume_m3[lane] * heat_capacity_J_per_m3_K);
  return missing_m3;
}

double apply_actions(PoolBlock& block, std::size_t lane, VisitActions const& actions, KernelSettings const& settings) {
  PoolState& s = block.state;
  remove_water(block, lane, actions.drain_m3 + actions.backwash_m3 + actions.lowered_m3);
  double const filled_m3 = actions.drain_m3 > 0.0 || actions.refill_to_normal ? refill_to_normal(block, lane) : 0.0;
  dose(block, lane, models::salt_effect, actions.salt_kg / models::molar_mass_NaCl_kg_per_mol);
  dose(block, lane, models::acid_effect, actions.acid_mol);
  dose(block, lane, models::bicarbonate_effect, actions.bicarbonate_mol);
  dose(block, lane, models::calcium_chloride_effect, actions.calcium_mol);
  dose(block, lane, models::cyanuric_acid_effect, actions.cyanuric_acid_mol);
  dose(block, lane, models::liquid_chlorine_effect, actions.liquid_chlorine_kg / models::molar_mass_Cl2_kg_per_mol);
  s.debris_kg[lane] *= 1.0 - actions.debris_removed_share;
  work_on_cell(block, lane, actions, settings);
  set_controls(block, lane, actions);
  settle_pool(block, lane, settings);
  return filled_m3;
}

}  // namespace brinecast::sim
