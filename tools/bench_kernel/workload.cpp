#include "tools/bench_kernel/workload.hpp"

#include <cmath>
#include <nlohmann/json.hpp>
#include <ostream>

#include "models/parameters.hpp"
#include "sim/ensemble/season_weather.hpp"
#include "sim/fleet/array_names.hpp"
#include "sim/policy/people.hpp"
#include "sim/random/random.hpp"
#include "sim/scenario/read_scenario.hpp"

namespace brinecast::tools {

using namespace sim;

namespace {

/// Bathers, debris and air in the line of one day, drawn as in a season.
void bring_day(Workload& workload, Scenario const& scenario, int day, double air_highest_K) {
  for (std::size_t i = 0; i < scenario.pools.size(); ++i) {
    Pool const& pool = scenario.pools[i];
    Slot const slot = workload.fleet.slot_of_pool[i];
    PoolDay& today = workload.fleet.blocks[slot.block].day;
    DrawKey key{.seed = scenario.seed,
                .pool = static_cast<std::uint32_t>(i),
                .purpose = Purpose::pool_luck,
                .time = static_cast<std::uint32_t>(day)};
    today.bathers[slot.lane] =
        bathers_of_day(pool, scenario.season, scenario.season.first_day + std::chrono::days{day}, air_highest_K, key);
    key.purpose = Purpose::debris;
    auto const [debris, air] = uniform_pair(key);
    today.debris_kg[slot.lane] =
        -std::log(debris) * scenario.parameters.debris_kg_per_m2_day * pool.surface_area_m2 * pool.debris_factor;
    constexpr double pools_with_bubbles = 0.05;  // more than in a season, so that some pools of a small case have them
    today.air_in_line[slot.lane] = air < pools_with_bubbles ? 1.0 : 0.0;
  }
}

/// Pools of the list are alike in start where the list says nothing; these differ, so that warnings, scale, granules
/// and borate are all at work somewhere. A few are closed, their lines open to the frost.
void vary_water(Fleet& fleet, KernelSettings const& settings) {
  for (std::size_t i = 0; i < fleet.slot_of_pool.size(); ++i) {
    Slot const slot = fleet.slot_of_pool[i];
    PoolBlock& block = fleet.blocks[slot.block];
    PoolState& state = block.state;
    std::uint32_t number = 0;
    auto const between = [&](double low, double high) {
      return low + (high - low) * uniform_draw({.seed = 1,
                                                .pool = static_cast<std::uint32_t>(i),
                                                .purpose = Purpose::pool_trait,
                                                .time = number++});
    };
    double const volume_m3 = state.water_volume_m3[slot.lane];
    state.salt_kg[slot.lane] *= between(0.7, 1.4);
    state.calcium_mol[slot.lane] *= between(0.5, 2.0);
    state.cyanuric_acid_mol[slot.lane] *= between(0.2, 1.6);
    state.undissolved_stabiliser_mol[slot.lane] = between(0.0, 0.05) * volume_m3;
    state.borate_mol[slot.lane] = i % 5 == 0 ? between(1.0, 4.0) * volume_m3 : 0.0;
    state.scale_kg_per_m2[slot.lane] = between(0.0, 0.3);
    state.coating_left[slot.lane] = between(0.02, 1.0);
    if (i % 16 == 7) {
      block.controls.open[slot.lane] = 0.0;
      block.controls.counted[slot.lane] = 0.0;
      block.controls.cell_powered[slot.lane] = 0.0;
    }
    settle_pool(block, slot.lane, settings);
  }
}

nlohmann::json named(models::Parameters const& parameters) {
  nlohmann::json out;
  for (auto const& info : models::parameter_table()) out[std::string(info.name)] = parameters.*info.member;
  return out;
}

template <class Group>
nlohmann::json named(Fleet const& fleet, Group PoolBlock::*group) {
  nlohmann::json out;
  for (auto const& [name, member] : arrays_by_name<Group>) {
    std::vector<double> values;
    values.reserve(fleet.slot_of_pool.size());
    for (Slot const& slot : fleet.slot_of_pool) values.push_back((fleet.blocks[slot.block].*group.*member)[slot.lane]);
    out[name] = std::move(values);
  }
  return out;
}

nlohmann::json named(Fleet const& fleet) {
  return {{"state", named(fleet, &PoolBlock::state)},       {"traits", named(fleet, &PoolBlock::traits)},
          {"controls", named(fleet, &PoolBlock::controls)}, {"day", named(fleet, &PoolBlock::day)},
          {"hours", named(fleet, &PoolBlock::hours)},       {"books", named(fleet, &PoolBlock::books)}};
}

nlohmann::json named(std::vector<HourForcing> const& hours) {
  nlohmann::json out;
  auto const put = [&](char const* name, double HourForcing::*member) {
    std::vector<double> values;
    for (HourForcing const& hour : hours) values.push_back(hour.*member);
    out[name] = std::move(values);
  };
  put("air_temperature_K", &HourForcing::air_temperature_K);
  put("vapour_pressure_of_air_Pa", &HourForcing::vapour_pressure_of_air_Pa);
  put("air_pressure_Pa", &HourForcing::air_pressure_Pa);
  put("wind_speed_m_per_s", &HourForcing::wind_speed_m_per_s);
  put("sky_long_wave_W_per_m2", &HourForcing::sky_long_wave_W_per_m2);
  put("sunlight_into_water_W_per_m2", &HourForcing::sunlight_into_water_W_per_m2);
  put("global_irradiance_W_per_m2", &HourForcing::global_irradiance_W_per_m2);
  put("rain_m", &HourForcing::rain_m);
  put("rain_temperature_K", &HourForcing::rain_temperature_K);
  put("wind_for_gas_transfer", &HourForcing::wind_for_gas_transfer);
  put("hour_of_day", &HourForcing::hour_of_day);
  put("time_s", &HourForcing::time_s);
  return out;
}

}  // namespace

std::optional<Workload> make_workload(WorkloadSpec const& spec, Problems& problems) {
  auto scenario = read_scenario(spec.scenario, problems);
  if (!scenario) return std::nullopt;
  scenario->weather.warming_K += spec.warming_K;
  auto const source = open_weather(*scenario, problems);
  if (!source) return std::nullopt;
  std::size_t const listed = scenario->pools.size();
  scenario->pools.resize(spec.pools);
  for (std::size_t i = 0; i < spec.pools; ++i) {
    if (i >= listed) scenario->pools[i] = scenario->pools[i % listed];
    scenario->pools[i].site = SiteId{0};
  }
  scenario->season.days = spec.first_day + spec.days;
  SiteSeason const season = season_weather(*source, *scenario, 0).sites.front();
  Workload workload;
  workload.settings = kernel_settings(scenario->parameters, scenario->bands);
  workload.fleet = make_fleet(*scenario, scenario->seed, 0, workload.settings);
  workload.hours.assign(season.hours.begin() + 24 * spec.first_day, season.hours.end());
  vary_water(workload.fleet, workload.settings);
  bring_day(workload, *scenario, spec.first_day, season.air_highest_K[static_cast<std::size_t>(spec.first_day)]);
  return workload;
}

void advance_days(std::vector<PoolBlock>& blocks, std::vector<HourForcing> const& hours, KernelSettings const& settings,
                  AdvanceBlock advance) {
  for (std::size_t day = 0; day + 24 <= hours.size(); day += 24) {
    for (PoolBlock& block : blocks) {
      block.hours.made_today_mol = {};
      block.hours.wanted_today_h = {};
      for (std::size_t hour = day; hour < day + 24; ++hour) advance(block, hours[hour], settings);
    }
  }
}

void write_case(std::ostream& out, Workload const& workload) {
  KernelSettings const& s = workload.settings;
  Fleet after = workload.fleet;
  advance_days(after.blocks, workload.hours, s, vector_targets().front().advance);
  WaterBands const& bands = s.bands;
  models::CyanurateSet const& c = s.cyanurates;
  out << nlohmann::json{{"parameters", named(s.parameters)},
                        {"bands",
                         {{"free_chlorine_low_kg_per_m3", bands.free_chlorine_low_kg_per_m3},
                          {"free_chlorine_high_kg_per_m3", bands.free_chlorine_high_kg_per_m3},
                          {"ph_low", bands.ph_low},
                          {"ph_high", bands.ph_high},
                          {"saturation_index_low", bands.saturation_index_low},
                          {"saturation_index_high", bands.saturation_index_high},
                          {"salt_low_kg_per_m3", bands.salt_low_kg_per_m3},
                          {"salt_high_kg_per_m3", bands.salt_high_kg_per_m3}}},
                        {"settings",
                         {{"step_s", s.step_s},
                          {"stabiliser_dissolving_share", s.stabiliser_dissolving_share},
                          {"skimmed_share", s.skimmed_share},
                          {"active_chlorine_low_mol_per_m3", s.active_chlorine_low_mol_per_m3},
                          {"rated_efficiency", s.rated_efficiency}}},
                        {"cyanurates",
                         {{"protonation_factor", c.protonation_factor},
                          {"dissociation_2", c.dissociation_2},
                          {"dissociation_3", c.dissociation_3},
                          {"mono_dissociation", c.mono_dissociation},
                          {"per_mono_protonation", c.per_mono_protonation},
                          {"per_di_protonation", c.per_di_protonation},
                          {"per_mono_m3_per_mol", c.per_mono_m3_per_mol},
                          {"per_di_m3_per_mol", c.per_di_m3_per_mol},
                          {"per_tri_m3_per_mol", c.per_tri_m3_per_mol},
                          {"mono_slope_K", c.mono_slope_K},
                          {"di_slope_K", c.di_slope_K}}},
                        {"hours", named(workload.hours)},
                        {"before", named(workload.fleet)},
                        {"after", named(after)}};
}

}  // namespace brinecast::tools
