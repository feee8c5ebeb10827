// What a season is measured by: noon figures, hourly traces, months, totals.

#include <algorithm>
#include <array>
#include <limits>

#include "models/constants.hpp"
#include "sim/ensemble/season_task.hpp"

namespace brinecast::sim {

namespace {

constexpr int hours_per_day = 24;

/// Quantities whose quantiles are kept, in the order of `DayTally`.
enum NoonQuantity : std::size_t {
  noon_salt,
  noon_free_chlorine,
  noon_ph,
  noon_saturation,
  noon_scale,
  noon_temperature
};

}  // namespace

void SeasonTask::note_noon(std::size_t number) {
  PoolBlock const& block = fleet_.blocks[number];
  PoolState const& s = block.state;
  for (std::size_t lane = 0; lane < block_pools; ++lane) {
    double const per_m3 = 1.0 / s.water_volume_m3[lane];
    auto const note = [&](NoonQuantity quantity, double value) {
      noon_[quantity][number][lane] = static_cast<float>(value);
    };
    note(noon_salt, s.salt_kg[lane] * per_m3);
    note(noon_free_chlorine, s.free_chlorine_mol[lane] * per_m3 * models::molar_mass_Cl2_kg_per_mol);
    note(noon_ph, s.ph[lane]);
    note(noon_saturation, s.saturation_index[lane]);
    note(noon_scale, s.scale_kg_per_m2[lane]);
    note(noon_temperature, s.water_temperature_K[lane]);
  }
}

void SeasonTask::note_traces(std::size_t number, std::size_t hour) {
  for (PoolTrace& trace : result_.traces) {
    Slot const slot = fleet_.slot_of_pool[trace.pool];
    if (slot.block != number) continue;
    PoolState const& s = fleet_.blocks[number].state;
    std::size_t const lane = slot.lane;
    double const per_m3 = 1.0 / s.water_volume_m3[lane];
    auto const note = [&](std::vector<float>& channel, double value) {
      if (channel.empty()) channel.resize(static_cast<std::size_t>(scenario_.season.days) * hours_per_day);
      channel[hour] = static_cast<float>(value);
    };
    note(trace.water_volume, s.water_volume_m3[lane]);
    note(trace.water_temperature, s.water_temperature_K[lane]);
    note(trace.salt, s.salt_kg[lane] * per_m3);
    note(trace.free_chlorine, s.free_chlorine_mol[lane] * per_m3 * models::molar_mass_Cl2_kg_per_mol);
    note(trace.active_chlorine, s.hypochlorous_mol_per_m3[lane] * models::molar_mass_Cl2_kg_per_mol);
    note(trace.combined_chlorine, s.combined_chlorine_mol[lane] * per_m3 * models::molar_mass_Cl2_kg_per_mol);
    note(trace.ph, s.ph[lane]);
    note(trace.alkalinity, s.alkalinity_mol[lane] * per_m3);
    note(trace.calcium, s.calcium_mol[lane] * per_m3);
    note(trace.cyanuric_acid, s.cyanuric_acid_mol[lane] * per_m3);
    note(trace.saturation_index, s.saturation_index[lane]);
    note(trace.scale, s.scale_kg_per_m2[lane]);
    note(trace.cell_output, s.cell_output[lane]);
    note(trace.coating, s.coating_left[lane]);
  }
}

/// The fleet's figures of the day.
void SeasonTask::note_day() {
  auto const day = static_cast<std::size_t>(day_);
  float open = 0.0F;
  float waiting = 0.0F;
  for (std::size_t i = 0; i < files_.size(); ++i) {
    auto const [number, lane] = fleet_.slot_of_pool[i];
    PoolBlock const& block = fleet_.blocks[number];
    bool const idle = block.hours.wanted_today_h[lane] > 0.0 && block.hours.made_today_mol[lane] <= 0.0;
    if (idle) result_.pools.days_without_production[i] += 1.0;
    if (!files_[i].lost && block.controls.open[lane] > 0.5) open += 1.0F;
    if (files_[i].called_on >= 0) waiting += 1.0F;
  }
  DayTally& days = result_.days;
  days.rain[day] = static_cast<float>(weather_.sites.front().rain_m[day]);
  days.air_temperature[day] = static_cast<float>(weather_.sites.front().air_mean_K[day]);
  days.open_pools[day] = open;
  days.waiting_call_outs[day] = waiting;
  std::array<std::array<std::vector<float>, day_quantiles.size()>*, 6> const series = {
      &days.salt, &days.free_chlorine, &days.ph, &days.saturation_index, &days.scale, &days.water_temperature};
  for (std::size_t quantity = 0; quantity < series.size(); ++quantity) {
    scratch_.clear();
    for (std::size_t i = 0; i < files_.size(); ++i) {
      Slot const slot = fleet_.slot_of_pool[i];
      if (fleet_.blocks[slot.block].controls.counted[slot.lane] > 0.5) {
        scratch_.push_back(noon_[quantity][slot.block][slot.lane]);
      }
    }
    auto from = scratch_.begin();
    for (std::size_t q = 0; q < day_quantiles.size(); ++q) {
      if (scratch_.empty()) {
        (*series[quantity])[q][day] = std::numeric_limits<float>::quiet_NaN();
        continue;
      }
      auto const rank = static_cast<std::ptrdiff_t>(day_quantiles[q] * static_cast<double>(scratch_.size() - 1) + 0.5);
      auto const nth = scratch_.begin() + rank;
      std::nth_element(from, nth, scratch_.end());
      from = nth;
      (*series[quantity])[q][day] = *nth;
    }
  }
}

void SeasonTask::close_month(std::size_t m) {
  double counted = 0.0, in_range = 0.0, idle = 0.0;
  for (std::size_t i = 0; i < files_.size(); ++i) {
    Slot const slot = fleet_.slot_of_pool[i];
    PoolHours const& hours = fleet_.blocks[slot.block].hours;
    counted += hours.open_h[slot.lane];
    in_range += hours.open_h[slot.lane] - hours.free_chlorine_low_h[slot.lane] - hours.free_chlorine_high_h[slot.lane];
    idle += hours.without_production_h[slot.lane];
  }
  MonthTally& months = result_.months;
  double const month_hours = counted - counted_hours_before_;
  months.free_chlorine_in_range[m] =
      month_hours > 0.0 ? (in_range - in_range_hours_before_) / month_hours : std::numeric_limits<double>::quiet_NaN();
  months.hours_without_production[m] = idle - idle_hours_before_;
  months.cost[m] = months.labour_cost[m] + months.driving_cost[m] + months.supplies_cost[m] + months.equipment_cost[m];
  counted_hours_before_ = counted;
  in_range_hours_before_ = in_range;
  idle_hours_before_ = idle;
}

void SeasonTask::finish() {
  PoolTally& pools = result_.pools;
  for (std::size_t i = 0; i < files_.size(); ++i) {
    Slot const slot = fleet_.slot_of_pool[i];
    std::size_t const lane = slot.lane;
    PoolBlock const& block = fleet_.blocks[slot.block];
    PoolHours const& hours = block.hours;
    double const open_h = hours.open_h[lane];
    auto const share = [&](double part_h) {
      return open_h > 0.0 ? part_h / open_h : std::numeric_limits<double>::quiet_NaN();
    };
    pools.open_hours[i] = open_h;
    pools.free_chlorine_low[i] = share(hours.free_chlorine_low_h[lane]);
    pools.free_chlorine_high[i] = share(hours.free_chlorine_high_h[lane]);
    pools.free_chlorine_in_range[i] =
        share(open_h - hours.free_chlorine_low_h[lane] - hours.free_chlorine_high_h[lane]);
    pools.active_chlorine_low[i] = share(hours.active_chlorine_low_h[lane]);
    pools.ph_in_range[i] = share(hours.ph_in_range_h[lane]);
    pools.saturation_in_range[i] = share(hours.saturation_in_range_h[lane]);
    pools.salt_in_range[i] = share(hours.salt_in_range_h[lane]);
    pools.cloudy_hours[i] = hours.cloudy_h[lane];
    pools.hours_without_production[i] = hours.without_production_h[lane];
    pools.warning_hours[i] = hours.warning_h[lane];
    pools.false_warning_hours[i] = hours.false_warning_h[lane];
    pools.chlorine_produced[i] = hours.chlorine_produced_mol[lane] * models::molar_mass_Cl2_kg_per_mol;
    pools.cell_hours[i] = hours.cell_h[lane];
    pools.rain_water[i] = block.books.rain_m3[lane];
    pools.evaporated[i] = block.books.evaporation_m3[lane];
    pools.overflowed[i] = block.books.overflow_m3[lane];
    pools.coating_left[i] = block.state.coating_left[lane];
    pools.largest_scale[i] = hours.largest_scale_kg_per_m2[lane];
    pools.largest_saturation_index[i] = hours.largest_saturation_index[lane];
  }
  result_.book_errors = audit(fleet_);
  result_.simulated_pool_hours =
      static_cast<double>(files_.size()) * static_cast<double>(scenario_.season.days) * hours_per_day;
}

}  // namespace brinecast::sim
