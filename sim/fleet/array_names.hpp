#pragma once
// The arrays of a block by name, for exports and for whatever walks over all of them.

#include <iterator>

#include "sim/fleet/pool_block.hpp"

namespace brinecast::sim {

/// One array of a group of a block.
template <class Group>
struct NamedArray {
  char const* name;
  LaneArray Group::*member;
};

/// All arrays of a group, in the order of its declaration.
template <class Group>
inline constexpr NamedArray<Group> const* arrays_by_name = nullptr;

template <>
inline constexpr NamedArray<PoolState> arrays_by_name<PoolState>[] = {
    {"water_volume_m3", &PoolState::water_volume_m3},
    {"heat_J", &PoolState::heat_J},
    {"salt_kg", &PoolState::salt_kg},
    {"calcium_mol", &PoolState::calcium_mol},
    {"alkalinity_mol", &PoolState::alkalinity_mol},
    {"inorganic_carbon_mol", &PoolState::inorganic_carbon_mol},
    {"cyanuric_acid_mol", &PoolState::cyanuric_acid_mol},
    {"undissolved_stabiliser_mol", &PoolState::undissolved_stabiliser_mol},
    {"borate_mol", &PoolState::borate_mol},
    {"free_chlorine_mol", &PoolState::free_chlorine_mol},
    {"combined_chlorine_mol", &PoolState::combined_chlorine_mol},
    {"ammonia_nitrogen_mol", &PoolState::ammonia_nitrogen_mol},
    {"urea_nitrogen_mol", &PoolState::urea_nitrogen_mol},
    {"debris_kg", &PoolState::debris_kg},
    {"algae", &PoolState::algae},
    {"ice_m", &PoolState::ice_m},
    {"scale_kg_per_m2", &PoolState::scale_kg_per_m2},
    {"coating_left", &PoolState::coating_left},
    {"freeze_dose_K_s", &PoolState::freeze_dose_K_s},
    {"warm_up_s", &PoolState::warm_up_s},
    {"ph", &PoolState::ph},
    {"hypochlorous_mol_per_m3", &PoolState::hypochlorous_mol_per_m3},
    {"water_temperature_K", &PoolState::water_temperature_K},
    {"saturation_index", &PoolState::saturation_index},
    {"unit_salt_kg_per_m3", &PoolState::unit_salt_kg_per_m3},
    {"cell_voltage_V", &PoolState::cell_voltage_V},
    {"cell_output", &PoolState::cell_output},
    {"low_salt_warning", &PoolState::low_salt_warning},
    {"check_cell_warning", &PoolState::check_cell_warning},
};
static_assert(std::size(arrays_by_name<PoolState>) * sizeof(LaneArray) == sizeof(PoolState),
              "a new array needs a name");

template <>
inline constexpr NamedArray<PoolTraits> arrays_by_name<PoolTraits>[] = {
    {"normal_volume_m3", &PoolTraits::normal_volume_m3},
    {"surface_area_m2", &PoolTraits::surface_area_m2},
    {"catchment_area_m2", &PoolTraits::catchment_area_m2},
    {"rim_volume_m3", &PoolTraits::rim_volume_m3},
    {"refill_volume_m3", &PoolTraits::refill_volume_m3},
    {"leak_m3_per_s", &PoolTraits::leak_m3_per_s},
    {"fill_salt_kg_per_m3", &PoolTraits::fill_salt_kg_per_m3},
    {"fill_calcium_mol_per_m3", &PoolTraits::fill_calcium_mol_per_m3},
    {"fill_alkalinity_mol_per_m3", &PoolTraits::fill_alkalinity_mol_per_m3},
    {"fill_inorganic_carbon_mol_per_m3", &PoolTraits::fill_inorganic_carbon_mol_per_m3},
    {"fill_temperature_K", &PoolTraits::fill_temperature_K},
    {"uncovered_from_h", &PoolTraits::uncovered_from_h},
    {"uncovered_h", &PoolTraits::uncovered_h},
    {"cover_passes_vapour", &PoolTraits::cover_passes_vapour},
    {"cover_passes_sun", &PoolTraits::cover_passes_sun},
    {"sun_exposure", &PoolTraits::sun_exposure},
    {"wind_exposure", &PoolTraits::wind_exposure},
    {"wind_exposure_for_gas", &PoolTraits::wind_exposure_for_gas},
    {"solar_absorptance", &PoolTraits::solar_absorptance},
    {"demand_factor", &PoolTraits::demand_factor},
    {"gas_exchange_factor", &PoolTraits::gas_exchange_factor},
    {"cell_rated_kg_per_s", &PoolTraits::cell_rated_kg_per_s},
    {"cell_plate_area_m2", &PoolTraits::cell_plate_area_m2},
    {"reversals_per_s", &PoolTraits::reversals_per_s},
    {"pump_power_W", &PoolTraits::pump_power_W},
    {"ultraviolet_depth_mean", &PoolTraits::ultraviolet_depth_mean},
    {"coating_life_h", &PoolTraits::coating_life_h},
    {"sensor_gain", &PoolTraits::sensor_gain},
    {"sensor_drift_per_s", &PoolTraits::sensor_drift_per_s},
};
static_assert(std::size(arrays_by_name<PoolTraits>) * sizeof(LaneArray) == sizeof(PoolTraits),
              "a new array needs a name");

template <>
inline constexpr NamedArray<PoolControls> arrays_by_name<PoolControls>[] = {
    {"pump_start_h", &PoolControls::pump_start_h},
    {"pump_hours", &PoolControls::pump_hours},
    {"output_setting", &PoolControls::output_setting},
    {"cell_powered", &PoolControls::cell_powered},
    {"cell_working", &PoolControls::cell_working},
    {"open", &PoolControls::open},
    {"counted", &PoolControls::counted},
    {"lines_protected", &PoolControls::lines_protected},
};
static_assert(std::size(arrays_by_name<PoolControls>) * sizeof(LaneArray) == sizeof(PoolControls),
              "a new array needs a name");

template <>
inline constexpr NamedArray<PoolDay> arrays_by_name<PoolDay>[] = {
    {"bathers", &PoolDay::bathers},
    {"debris_kg", &PoolDay::debris_kg},
    {"air_in_line", &PoolDay::air_in_line},
};
static_assert(std::size(arrays_by_name<PoolDay>) * sizeof(LaneArray) == sizeof(PoolDay), "a new array needs a name");

template <>
inline constexpr NamedArray<PoolHours> arrays_by_name<PoolHours>[] = {
    {"open_h", &PoolHours::open_h},
    {"free_chlorine_low_h", &PoolHours::free_chlorine_low_h},
    {"free_chlorine_high_h", &PoolHours::free_chlorine_high_h},
    {"active_chlorine_low_h", &PoolHours::active_chlorine_low_h},
    {"ph_in_range_h", &PoolHours::ph_in_range_h},
    {"saturation_in_range_h", &PoolHours::saturation_in_range_h},
    {"salt_in_range_h", &PoolHours::salt_in_range_h},
    {"cloudy_h", &PoolHours::cloudy_h},
    {"without_production_h", &PoolHours::without_production_h},
    {"warning_h", &PoolHours::warning_h},
    {"false_warning_h", &PoolHours::false_warning_h},
    {"cell_h", &PoolHours::cell_h},
    {"chlorine_produced_mol", &PoolHours::chlorine_produced_mol},
    {"pump_energy_J", &PoolHours::pump_energy_J},
    {"largest_scale_kg_per_m2", &PoolHours::largest_scale_kg_per_m2},
    {"largest_saturation_index", &PoolHours::largest_saturation_index},
    {"made_today_mol", &PoolHours::made_today_mol},
    {"wanted_today_h", &PoolHours::wanted_today_h},
};
static_assert(std::size(arrays_by_name<PoolHours>) * sizeof(LaneArray) == sizeof(PoolHours),
              "a new array needs a name");

template <>
inline constexpr NamedArray<PoolBooks> arrays_by_name<PoolBooks>[] = {
    {"rain_m3", &PoolBooks::rain_m3},
    {"refill_m3", &PoolBooks::refill_m3},
    {"evaporation_m3", &PoolBooks::evaporation_m3},
    {"overflow_m3", &PoolBooks::overflow_m3},
    {"leak_m3", &PoolBooks::leak_m3},
    {"splash_m3", &PoolBooks::splash_m3},
    {"visit_water_m3", &PoolBooks::visit_water_m3},
    {"surface_heat_J", &PoolBooks::surface_heat_J},
    {"water_heat_J", &PoolBooks::water_heat_J},
    {"latent_heat_J", &PoolBooks::latent_heat_J},
    {"visit_heat_J", &PoolBooks::visit_heat_J},
    {"salt_out_kg", &PoolBooks::salt_out_kg},
    {"salt_visit_kg", &PoolBooks::salt_visit_kg},
    {"calcium_out_mol", &PoolBooks::calcium_out_mol},
    {"calcium_scale_mol", &PoolBooks::calcium_scale_mol},
    {"calcium_visit_mol", &PoolBooks::calcium_visit_mol},
    {"alkalinity_out_mol", &PoolBooks::alkalinity_out_mol},
    {"alkalinity_scale_mol", &PoolBooks::alkalinity_scale_mol},
    {"alkalinity_chlorine_mol", &PoolBooks::alkalinity_chlorine_mol},
    {"alkalinity_visit_mol", &PoolBooks::alkalinity_visit_mol},
    {"carbon_out_mol", &PoolBooks::carbon_out_mol},
    {"carbon_air_mol", &PoolBooks::carbon_air_mol},
    {"carbon_scale_mol", &PoolBooks::carbon_scale_mol},
    {"carbon_visit_mol", &PoolBooks::carbon_visit_mol},
    {"cyanuric_out_mol", &PoolBooks::cyanuric_out_mol},
    {"cyanuric_visit_mol", &PoolBooks::cyanuric_visit_mol},
    {"borate_out_mol", &PoolBooks::borate_out_mol},
    {"borate_visit_mol", &PoolBooks::borate_visit_mol},
    {"chlorine_out_mol", &PoolBooks::chlorine_out_mol},
    {"chlorine_made_mol", &PoolBooks::chlorine_made_mol},
    {"chlorine_used_mol", &PoolBooks::chlorine_used_mol},
    {"chlorine_visit_mol", &PoolBooks::chlorine_visit_mol},
};
static_assert(std::size(arrays_by_name<PoolBooks>) * sizeof(LaneArray) == sizeof(PoolBooks),
              "a new array needs a name");

}  // namespace brinecast::sim
