#pragma once
// Every parameter of the physics in one table: name, unit, default, range, meaning, source.
// The scenario's [model] table sets any of them by name; the result file stores all of them.

#include <span>
#include <string_view>

namespace brinecast::models {

/// Values in SI units as the names say; meaning and source of each stand in the table.
struct Parameters {
  // Water balance
  double evaporation_factor = 1.0;
  double evaporation_still_W_per_m2_Pa = 0.063756;
  double evaporation_wind_J_per_m3_Pa = 0.066882;
  double crowded_bathers_per_m2 = 0.188;
  double crowded_evaporation_gain = 0.70;
  double splash_m3_per_bather = 0.0015;
  // Heat
  double water_emissivity = 0.95;
  double bowen_coefficient_per_K = 0.00061;
  // Carbonate
  double air_carbon_dioxide_Pa = 42.6;
  // Chlorine
  double cyanurate_constants_year = 1974;
  double mono_cyanurate_temperature_share = 0.0;
  double photolysis_hypochlorous_per_s = 2.0e-4;
  double photolysis_hypochlorite_per_s = 1.2e-3;
  double photolysis_bound_per_s = 1.0e-6;
  double photolysis_reference_irradiance_W_per_m2 = 940.0;
  double ultraviolet_absorption_per_m = 0.3;
  double dark_demand_at_25_C_per_s = 8.7e-7;
  double dark_demand_activation_K = 12000.0;
  double debris_demand_m3_per_kg_s = 5.0e-5;
  double chlorine_demand_kg_per_bather = 0.0055;
  double ammonia_nitrogen_kg_per_bather = 7.0e-5;
  double urea_nitrogen_kg_per_bather = 4.95e-4;
  double breakpoint_rate_m3_per_mol_s = 0.278;
  double urea_rate_m3_per_mol_s = 1.3e-3;
  double algae_growth_at_25_C_per_s = 6.0e-6;
  double algae_growth_activation_K = 6000.0;
  double algae_kill_m3_per_mol_s = 0.025;
  double algae_floor = 1.0e-3;
  double algae_ceiling = 30.0;
  double algae_demand_per_s = 1.0e-6;
  // Cell
  double cell_efficiency_plateau = 0.85;
  double cell_efficiency_half_salt_kg_per_m3 = 0.7;
  double cell_rated_salt_kg_per_m3 = 3.2;
  double cell_salt_stop_low_kg_per_m3 = 2.3;
  double cell_salt_stop_high_kg_per_m3 = 7.0;
  double cell_cold_stop_K = 286.15;
  double cell_cold_full_K = 291.15;
  double cell_warm_up_h = 0.1;
  double cell_current_density_A_per_m2 = 300.0;
  double cell_gap_m = 0.002;
  double cell_overpotential_V = 0.75;
  double worn_overpotential_V = 2.0;
  double cathode_hydroxide_mol_per_m3 = 1.0;
  double anode_acid_mol_per_m3 = 1.5;
  double film_transfer_m_per_s = 2.0e-5;
  double scale_retained_share = 0.25;
  double scale_shed_kg_per_m2 = 0.001;
  double scale_covering_kg_per_m2 = 0.3;
  double scale_visible_kg_per_m2 = 0.05;
  double scale_flakes_kg_per_m2 = 0.2;
  double scale_bridged_kg_per_m2 = 0.6;
  double cleaning_capacity_kg_per_m2 = 0.3;
  double cleaning_left_share = 0.03;
  double cleaning_wear_h = 100.0;
  double coating_life_scale_h = 9000.0;
  double coating_life_shape = 4.0;
  double coating_fade_share = 0.1;
  double wear_per_daily_reversal = 0.01;
  double wear_low_salt = 1.5;
  double wear_salt_kg_per_m3 = 2.7;
  double wear_cold_per_K = 0.05;
  double wear_cold_below_K = 288.15;
  double wear_density_A_per_m2 = 320.0;
  double wear_crowding = 1.0;
  double sensor_scale_share = 0.5;
  double sensor_air_share = 0.25;
  double warning_salt_kg_per_m3 = 2.7;
  double warning_salt_margin_kg_per_m3 = 0.2;
  double warning_voltage_V = 5.2;
  double warning_output_share = 0.5;
  double bubble_equilibrium_share = 1.0;
  // Frost
  double freeze_dose_below_K = 271.15;
  double freeze_break_dose_K_s = 7.2e5;
  double freeze_break_shape = 2.0;
  // Equipment and use
  double pump_frost_guard_K = 275.15;
  double pump_energy_J_per_m3 = 250e3;
  double skimmer_depth_m = 0.15;
  double skimming_per_s = 1.0e-5;
  double refill_m3_per_s = 2.8e-4;
  double bathing_from_h = 11.0;
  double bathing_h = 8.0;
  double stabiliser_dissolving_per_s = 3.9e-6;
  double cover_passes_vapour = 0.05;
  double bubble_cover_passes_sun = 0.7;
  double solid_cover_passes_sun = 0.02;
  double debris_kg_per_m2_day = 0.004;
  double air_in_line_per_day = 0.003;
  double sensor_gain_spread = 0.03;
  double sensor_drift_per_year = 0.06;
  double cleaning_acid_mol_per_bath = 5.0;
};

struct ParameterInfo {
  std::string_view name;
  std::string_view units;  // UDUNITS
  double Parameters::*member;
  double lower;
  double upper;
  std::string_view meaning;
  std::string_view source;
};

/// The table, in a fixed order.
std::span<ParameterInfo const> parameter_table();

}  // namespace brinecast::models
