#pragma once
// A block of pools: one array per quantity, all of a block's arrays side by side, so that a block stays in cache for a
// day of hours. What is conserved is stored (amounts, heat); what is read is derived (concentration, pH, temperature).

#include <array>
#include <cstddef>

namespace brinecast::sim {

/// Pools in a block.
inline constexpr std::size_t block_pools = 32;

/// Pools that the widest build of the kernel advances together: two vectors of eight.
inline constexpr std::size_t widest_group = 16;
static_assert(block_pools % widest_group == 0);

/// One quantity of a block's pools, [pool].
struct alignas(64) LaneArray {
  std::array<double, block_pools> values{};
  double& operator[](std::size_t lane) { return values[lane]; }
  double const& operator[](std::size_t lane) const { return values[lane]; }
  [[nodiscard]] double* data() { return values.data(); }
  [[nodiscard]] double const* data() const { return values.data(); }
};

/// What the water, the cell and the lines are.
struct PoolState {
  LaneArray water_volume_m3;
  LaneArray heat_J;   // above water at 273.15 K
  LaneArray salt_kg;  // chloride as NaCl, that of chlorine included
  LaneArray calcium_mol;
  LaneArray alkalinity_mol;  // equivalents, all bases
  LaneArray inorganic_carbon_mol;
  LaneArray cyanuric_acid_mol;           // dissolved, chlorinated or not
  LaneArray undissolved_stabiliser_mol;  // granules still dissolving
  LaneArray borate_mol;
  LaneArray free_chlorine_mol;      // Cl2: hypochlorous acid, hypochlorite and chlorinated cyanurates
  LaneArray combined_chlorine_mol;  // Cl2
  LaneArray ammonia_nitrogen_mol;
  LaneArray urea_nitrogen_mol;
  LaneArray debris_kg;  // leaves and dust still in the water
  LaneArray algae;      // 1 is just visible
  LaneArray ice_m;
  LaneArray scale_kg_per_m2;  // on the cell's plates
  LaneArray coating_left;     // share of the coating's life
  LaneArray freeze_dose_K_s;  // cold that still lines have taken
  LaneArray warm_up_s;        // since the cell was last switched on
  // Where last hour's solvers ended; the next hour starts there.
  LaneArray ph;
  LaneArray hypochlorous_mol_per_m3;
  // Derived at the end of an hour, for readers.
  LaneArray water_temperature_K;
  LaneArray saturation_index;
  LaneArray unit_salt_kg_per_m3;  // as the unit reads it
  LaneArray cell_voltage_V;
  LaneArray cell_output;  // share of the rated production that the hour made
  // The unit's warnings, 0 or 1.
  LaneArray low_salt_warning;
  LaneArray check_cell_warning;
};

/// What stays as it is between visits.
struct PoolTraits {
  LaneArray normal_volume_m3;
  LaneArray surface_area_m2;
  LaneArray catchment_area_m2;
  LaneArray rim_volume_m3;
  LaneArray refill_volume_m3;  // automatic refill starts below; 0 without automatic refill
  LaneArray leak_m3_per_s;
  LaneArray fill_salt_kg_per_m3, fill_calcium_mol_per_m3, fill_alkalinity_mol_per_m3, fill_inorganic_carbon_mol_per_m3,
      fill_temperature_K;
  LaneArray uncovered_from_h, uncovered_h;  // hour of the day at which the cover comes off, hours that it stays off
  LaneArray cover_passes_vapour, cover_passes_sun;  // share, while it is on
  LaneArray sun_exposure, wind_exposure, wind_exposure_for_gas, solar_absorptance, demand_factor, gas_exchange_factor;
  LaneArray cell_rated_kg_per_s, cell_plate_area_m2, reversals_per_s;
  LaneArray pump_power_W;                     // while it runs
  LaneArray ultraviolet_depth_mean;           // of the normal depth, relative to the surface
  LaneArray coating_life_h;                   // of the cell in place, drawn
  LaneArray sensor_gain, sensor_drift_per_s;  // of the unit's salt sensor
};

/// What visits set.
struct PoolControls {
  LaneArray pump_start_h, pump_hours;  // hour of the day, hours a day
  LaneArray output_setting;            // share of full output
  LaneArray cell_powered;              // 0 or 1
  LaneArray cell_working;              // 0 once dead or broken by ice
  LaneArray open;                      // 1 in season, 0 closed for winter
  LaneArray counted;                   // 1 while open and under contract: its hours count
  LaneArray lines_protected;           // 1 once drained or bypassed against frost
};

/// What a day brings.
struct PoolDay {
  LaneArray bathers;      // persons, spread over the bathing hours
  LaneArray debris_kg;    // spread over the day
  LaneArray air_in_line;  // 0 or 1
};

/// Sums over hours, taken home at the end of a season or month.
struct PoolHours {
  LaneArray open_h, free_chlorine_low_h, free_chlorine_high_h, active_chlorine_low_h, ph_in_range_h,
      saturation_in_range_h, salt_in_range_h, cloudy_h, without_production_h, warning_h, false_warning_h, cell_h;
  LaneArray chlorine_produced_mol, pump_energy_J;
  LaneArray largest_scale_kg_per_m2, largest_saturation_index;
  LaneArray made_today_mol;  // reset each day
  LaneArray wanted_today_h;  // reset each day
};

/// Named lines by which everything enters and leaves: the audit of conservation.
struct PoolBooks {
  // Water, m3
  LaneArray rain_m3, refill_m3, evaporation_m3, overflow_m3, leak_m3, splash_m3, visit_water_m3;
  // Heat, J
  LaneArray surface_heat_J, water_heat_J, latent_heat_J, visit_heat_J;
  // Leaving with water (overflow, leak, splash), and net of visits
  LaneArray salt_out_kg, salt_visit_kg;
  LaneArray calcium_out_mol, calcium_scale_mol, calcium_visit_mol;
  LaneArray alkalinity_out_mol, alkalinity_scale_mol, alkalinity_chlorine_mol, alkalinity_visit_mol;
  LaneArray carbon_out_mol, carbon_air_mol, carbon_scale_mol, carbon_visit_mol;
  LaneArray cyanuric_out_mol, cyanuric_visit_mol;
  LaneArray borate_out_mol, borate_visit_mol;
  LaneArray chlorine_out_mol, chlorine_made_mol, chlorine_used_mol, chlorine_visit_mol;
};

struct PoolBlock {
  PoolState state;
  PoolState start;  // of the season, for the books
  PoolTraits traits;
  PoolControls controls;
  PoolDay day;
  PoolHours hours;
  PoolBooks books;
  std::size_t lanes_used = 0;  // rounded up to a whole group of the widest build
};

}  // namespace brinecast::sim
