#pragma once
// What a technician reads at a pool and what they decide: readings in, actions out. The truth never appears here.

#include <cstdint>
#include <limits>
#include <optional>

#include "sim/scenario/materials.hpp"
#include "sim/scenario/policy_spec.hpp"

namespace brinecast::sim {

/// What the tests show, each with its method's error. Not measured: empty.
struct WaterReadings {
  std::optional<double> free_chlorine_kg_per_m3;      // as Cl2
  std::optional<double> combined_chlorine_kg_per_m3;  // as Cl2
  std::optional<double> ph;
  std::optional<double> alkalinity_mol_per_m3;  // total, as titrated
  std::optional<double> calcium_mol_per_m3;
  std::optional<double> cyanuric_acid_mol_per_m3;
  std::optional<double> salt_kg_per_m3;       // by the independent test
  std::optional<double> unit_salt_kg_per_m3;  // by the unit's own sensor
  std::optional<double> water_temperature_K;
  std::optional<double> cell_voltage_V;
  int scale_grade = -1;  // seen at an inspection: 0 clean, 1 dusting, 2 flakes, 3 bridged; -1 not looked
  std::optional<double> cell_operating_h;  // by the counter of the unit
  bool warning_low_salt = false;
  bool warning_check_cell = false;
  bool cloudy = false;  // seen with the eye
  bool algae_visible = false;
  double level_below_normal_m = 0.0;
};

/// What is done at a visit. All amounts are what really goes in or out.
struct VisitActions {
  double salt_kg = 0.0;
  double acid_mol = 0.0;  // HCl
  double bicarbonate_mol = 0.0;
  double calcium_mol = 0.0;  // as CaCl2
  double cyanuric_acid_mol = 0.0;
  double liquid_chlorine_kg = 0.0;  // as Cl2, from sodium hypochlorite solution
  double drain_m3 = 0.0;            // drained, then refilled with fill water to normal level
  double lowered_m3 = 0.0;          // drained at closing and left low until `refill_to_normal`
  double backwash_m3 = 0.0;
  double debris_removed_share = 0.0;
  bool refill_to_normal = false;
  int acid_clean_cycles = 0;  // of the cell
  bool replace_cell = false;
  bool power_cycle = false;              // restart of the unit, clears warnings whose cause is gone
  std::optional<double> output_setting;  // share of full output
  std::optional<double> pump_hours_per_day;
  std::optional<bool> cell_powered;
  Closing close = Closing::none;
  bool open = false;
  double service_s = 0.0;  // work on site, without the overhead of the stop
};

/// What the van can give at a visit.
struct SuppliesAtHand {
  MaterialAmounts materials = everything();
  bool cell = true;                // a spare one
  double acid_mol_per_bath = 0.0;  // what one bath of the cell takes

  static constexpr MaterialAmounts everything() {
    MaterialAmounts amounts{};
    amounts.fill(std::numeric_limits<double>::infinity());
    return amounts;
  }
};

/// As bought, for one of the unit in which VisitActions has it.
double bought_per_action(Material material);

/// What the actions take from the van, baths of the cell included.
MaterialAmounts materials_of(VisitActions const& actions, double acid_mol_per_bath);

}  // namespace brinecast::sim
