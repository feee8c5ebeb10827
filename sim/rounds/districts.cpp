#include "sim/rounds/districts.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <utility>

#include "sim/rounds/round_clock.hpp"
#include "sim/scenario/earth.hpp"

namespace brinecast::sim {

namespace {

/// Splits a fleet until its parts keep the limits.
class Splitter {
 public:
  Splitter(Scenario const& scenario, std::vector<PlannedPool> const& pools, Period const& period,
           DistrictLimits const& limits)
      : scenario_(&scenario), pools_(&pools), period_(&period), limits_(limits) {}

  void split(District district, std::vector<District>& parts) {
    if (visits_in(district, *period_) <= limits_.visits || district.technicians.size() < 2 * limits_.technicians) {
      leave_far_pools(district);
      parts.push_back(std::move(district));
      return;
    }
    auto [low, high] = halves(district);
    split(std::move(low), parts);
    split(std::move(high), parts);
  }

 private:
  Pool const& pool(std::size_t index) const { return scenario_->pools[index_of((*pools_)[index].pool)]; }
  double work_s(std::size_t index) const {
    return (*pools_)[index].service_s * (period_->days / period_->cycles[index]);
  }

  std::pair<District, District> halves(District const& district) const {
    // The axis along which the pools spread more, in units of equal length.
    double east_sum = 0.0, north_sum = 0.0, east2 = 0.0, north2 = 0.0;
    double const shrink = std::cos(pool(district.pools.front()).position.latitude_deg * std::numbers::pi / 180.0);
    for (std::size_t const index : district.pools) {
      double const east = pool(index).position.longitude_deg * shrink;
      double const north = pool(index).position.latitude_deg;
      east_sum += east;
      north_sum += north;
      east2 += east * east;
      north2 += north * north;
    }
    auto const count = static_cast<double>(district.pools.size());
    bool const eastward = east2 - east_sum * east_sum / count >= north2 - north_sum * north_sum / count;
    auto const along = [eastward](Position position) {
      return eastward ? position.longitude_deg : position.latitude_deg;
    };

    std::vector<std::size_t> technicians = district.technicians;
    std::sort(technicians.begin(), technicians.end(), [&](std::size_t a, std::size_t b) {
      return std::pair(along(scenario_->technicians[a].start), a) <
             std::pair(along(scenario_->technicians[b].start), b);
    });
    auto const middle = technicians.begin() + static_cast<std::ptrdiff_t>(technicians.size() / 2);
    District low{.technicians = {technicians.begin(), middle}, .pools = {}};
    District high{.technicians = {middle, technicians.end()}, .pools = {}};
    auto const shifts_s = [&](District const& side) {
      double sum = 0.0;
      for (std::size_t const technician : side.technicians) {
        sum += scenario_->technicians[technician].shift_length_s - scenario_->technicians[technician].break_s;
      }
      return sum;
    };
    auto const has_skill = [&](District const& side, std::string const& skill) {
      return std::any_of(side.technicians.begin(), side.technicians.end(), [&](std::size_t technician) {
        auto const& skills = scenario_->technicians[technician].skills;
        return std::find(skills.begin(), skills.end(), skill) != skills.end();
      });
    };
    auto const has_name = [&](District const& side, std::string const& name) {
      return std::any_of(side.technicians.begin(), side.technicians.end(),
                         [&](std::size_t technician) { return scenario_->technicians[technician].name == name; });
    };

    double total_s = 0.0;
    double low_s = 0.0;
    std::vector<std::size_t> free;
    for (std::size_t const index : district.pools) {
      total_s += work_s(index);
      Pool const& here = pool(index);
      bool low_may = here.skill.empty() || has_skill(low, here.skill);
      bool high_may = here.skill.empty() || has_skill(high, here.skill);
      if (low_may && high_may && !here.preferred_technician.empty()) {
        low_may = !has_name(high, here.preferred_technician);
        high_may = !has_name(low, here.preferred_technician);
      }
      if (low_may == high_may) {
        free.push_back(index);
        continue;
      }
      (low_may ? low : high).pools.push_back(index);
      if (low_may) low_s += work_s(index);
    }
    std::sort(free.begin(), free.end(), [&](std::size_t a, std::size_t b) {
      return std::pair(along(pool(a).position), a) < std::pair(along(pool(b).position), b);
    });
    double const low_target_s = total_s * shifts_s(low) / (shifts_s(low) + shifts_s(high));
    for (std::size_t const index : free) {
      bool const to_low = low_s + work_s(index) / 2.0 <= low_target_s;
      (to_low ? low : high).pools.push_back(index);
      if (to_low) low_s += work_s(index);
    }
    std::sort(low.technicians.begin(), low.technicians.end());
    std::sort(high.technicians.begin(), high.technicians.end());
    std::sort(low.pools.begin(), low.pools.end());
    std::sort(high.pools.begin(), high.pools.end());
    return {std::move(low), std::move(high)};
  }

  void leave_far_pools(District& district) const {
    if (district.pools.size() <= limits_.pools) return;
    std::vector<std::pair<double, std::size_t>> by_way_m;
    for (std::size_t const index : district.pools) {
      double nearest_m = 1e9;
      for (std::size_t const technician : district.technicians) {
        nearest_m = std::min(nearest_m, great_circle_m(scenario_->technicians[technician].start, pool(index).position));
      }
      by_way_m.emplace_back(nearest_m, index);
    }
    std::sort(by_way_m.begin(), by_way_m.end());
    district.pools.clear();
    for (std::size_t rank = 0; rank < limits_.pools; ++rank) district.pools.push_back(by_way_m[rank].second);
    std::sort(district.pools.begin(), district.pools.end());
  }

  Scenario const* scenario_;
  std::vector<PlannedPool> const* pools_;
  Period const* period_;
  DistrictLimits limits_;
};

}  // namespace

std::size_t visits_in(District const& district, Period const& period) {
  std::size_t visits = 0;
  for (std::size_t const index : district.pools) visits += static_cast<std::size_t>(period.days / period.cycles[index]);
  return visits;
}

std::vector<District> districts_of(Scenario const& scenario, std::vector<PlannedPool> const& pools,
                                   Period const& period, DistrictLimits const& limits) {
  District all{.technicians = std::vector<std::size_t>(scenario.technicians.size()),
               .pools = std::vector<std::size_t>(pools.size())};
  std::iota(all.technicians.begin(), all.technicians.end(), std::size_t{0});
  std::iota(all.pools.begin(), all.pools.end(), std::size_t{0});
  std::vector<District> parts;
  Splitter(scenario, pools, period, limits).split(std::move(all), parts);
  return parts;
}

}  // namespace brinecast::sim
