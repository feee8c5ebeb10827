#include "sim/rounds/dispatch.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace brinecast::sim {

Dispatcher::Dispatcher(Scenario const& scenario, TravelTable const& travel)
    : scenario_(&scenario),
      travel_(&travel),
      clock_(scenario, travel),
      days_(scenario.technicians.size()),
      seen_(scenario.pools.size(), false) {}

StopWork Dispatcher::work_of(WantedVisit const& visit) const {
  return {.pool = visit.pool,
          .service_s = static_cast<std::int32_t>(std::lround(visit.service_s)),
          .supplies_kg = static_cast<float>(visit.supplies_kg)};
}

void Dispatcher::refresh(std::size_t technician) {
  Day& day = days_[technician];
  day.figures = clock_.figures(static_cast<TechnicianId>(technician), day.stops);
  day.cost = day.stops.empty() ? 0.0 : clock_.cost(day.figures);
  day.drives.clear();
  if (day.stops.empty()) return;
  std::size_t before = clock_.start_place(static_cast<TechnicianId>(technician));
  for (StopWork const& stop : day.stops) {
    day.drives.push_back(travel_->drive(before, place_of_pool(stop.pool)));
    before = place_of_pool(stop.pool);
  }
  day.drives.push_back(travel_->drive(before, clock_.end_place(static_cast<TechnicianId>(technician))));
}

/// Takes visits out of a technician's day until it is allowed; they join those that wait for a place.
void Dispatcher::trim(std::size_t technician, std::span<WantedVisit const> wanted) {
  Day& day = days_[technician];
  auto const id = static_cast<TechnicianId>(technician);
  auto const take_out = [&](std::size_t position) {
    waiting_.push_back(day.visits[position]);
    day.stops.erase(day.stops.begin() + static_cast<std::ptrdiff_t>(position));
    day.visits.erase(day.visits.begin() + static_cast<std::ptrdiff_t>(position));
  };
  for (std::size_t position = day.stops.size(); position-- > 0;) {
    if (!clock_.has_skill(id, day.stops[position].pool)) take_out(position);
  }
  refresh(technician);
  while (!day.figures.allowed() && !day.stops.empty()) {
    // Seconds that leaving a stop out would save, driving and work.
    auto const saving_s = [&](std::size_t position) {
      std::size_t const here = place_of_pool(day.stops[position].pool);
      std::size_t const before = position == 0 ? clock_.start_place(id) : place_of_pool(day.stops[position - 1].pool);
      std::size_t const after =
          position + 1 == day.stops.size() ? clock_.end_place(id) : place_of_pool(day.stops[position + 1].pool);
      return travel_->seconds(before, here) + travel_->seconds(here, after) - travel_->seconds(before, after) +
             day.stops[position].service_s;
    };
    std::size_t leaves = 0;
    std::int32_t leaves_saving_s = saving_s(0);
    for (std::size_t position = 1; position < day.stops.size(); ++position) {
      double const late = wanted[day.visits[position]].days_late;
      double const leaves_late = wanted[day.visits[leaves]].days_late;
      if (late > leaves_late) continue;
      std::int32_t const saving = saving_s(position);
      if (late < leaves_late || saving > leaves_saving_s) {
        leaves = position;
        leaves_saving_s = saving;
      }
    }
    take_out(leaves);
    refresh(technician);
  }
}

void Dispatcher::put(Place const& place, std::uint32_t visit, StopWork const& work) {
  Day& day = days_[place.technician];
  day.stops.insert(day.stops.begin() + static_cast<std::ptrdiff_t>(place.position), work);
  day.visits.insert(day.visits.begin() + static_cast<std::ptrdiff_t>(place.position), visit);
  refresh(place.technician);
}

/// The place where a stop adds least to the cost of the day and no rule is broken.
Dispatcher::Place Dispatcher::cheapest_place(StopWork const& work) {
  Place best;
  std::size_t const here = place_of_pool(work.pool);
  for (std::size_t technician = 0; technician < days_.size(); ++technician) {
    auto const id = static_cast<TechnicianId>(technician);
    if (!clock_.has_skill(id, work.pool)) continue;
    Day const& day = days_[technician];
    positions_.clear();
    std::size_t before = clock_.start_place(id);
    for (std::size_t position = 0; position <= day.stops.size(); ++position) {
      std::size_t const after =
          position == day.stops.size() ? clock_.end_place(id) : place_of_pool(day.stops[position].pool);
      Drive const there = travel_->drive(before, here), onwards = travel_->drive(here, after);
      Drive const instead = day.stops.empty() ? Drive{} : day.drives[position];
      std::int32_t const detour_s = there.seconds + onwards.seconds - instead.seconds;
      // Waiting for gates can swallow a detour, nothing else can.
      bool const too_long = !day.stops.empty() && day.figures.reach_end_s + detour_s + work.service_s -
                                                          std::max(0, day.figures.waiting_s) - day.figures.break_s >
                                                      clock_.latest_end_s(id);
      if (!too_long) {
        positions_.emplace_back(-clock_.drive_cost(instead) + clock_.drive_cost(there) + clock_.drive_cost(onwards),
                                static_cast<std::uint32_t>(position));
      }
      before = after;
    }
    std::sort(positions_.begin(), positions_.end());
    for (auto const& [driving_cost, position] : positions_) {
      // A day without waiting for gates and trips for supplies has nothing to save on; the margin is above rounding.
      bool const adds_all = day.figures.waiting_s == 0 && day.figures.restocked == 0;
      double const least = driving_cost + clock_.wage_per_s() * work.service_s;
      if (adds_all && best.found && least > best.added_cost + 1e-6) break;
      trial_.assign(day.stops.begin(), day.stops.end());
      trial_.insert(trial_.begin() + position, work);
      DayFigures const figures = clock_.figures(id, trial_);
      if (!figures.allowed()) continue;
      double const added_cost = clock_.cost(figures) - day.cost;
      if (!best.found || added_cost < best.added_cost) best = {technician, position, added_cost, true};
      break;  // the least driving that is allowed
    }
  }
  return best;
}

/// Makes room for an urgent call-out by taking planned visits out where it costs least lateness.
bool Dispatcher::push_others_off(std::uint32_t visit, std::span<WantedVisit const> wanted) {
  StopWork const work = work_of(wanted[visit]);
  std::size_t const here = place_of_pool(work.pool);
  // The technician who passes nearest has the round that can take it with the least harm.
  std::size_t nearest = days_.size();
  std::int32_t nearest_s = 0;
  for (std::size_t technician = 0; technician < days_.size(); ++technician) {
    auto const id = static_cast<TechnicianId>(technician);
    if (!clock_.has_skill(id, work.pool) || days_[technician].stops.empty()) continue;
    for (StopWork const& stop : days_[technician].stops) {
      std::int32_t const away_s = travel_->seconds(place_of_pool(stop.pool), here);
      if (nearest == days_.size() || away_s < nearest_s) {
        nearest = technician;
        nearest_s = away_s;
      }
    }
  }
  if (nearest == days_.size()) return false;
  Day& day = days_[nearest];
  Day const before = day;
  std::size_t const waited_before = still_waiting_.size();
  while (!day.stops.empty()) {
    std::size_t leaves = day.stops.size();
    for (std::size_t position = 0; position < day.stops.size(); ++position) {
      WantedVisit const& candidate = wanted[day.visits[position]];
      if (candidate.call_out || candidate.days_late >= wanted[visit].days_late) continue;
      if (leaves == day.stops.size() || candidate.days_late < wanted[day.visits[leaves]].days_late) leaves = position;
    }
    if (leaves == day.stops.size()) break;
    still_waiting_.push_back(day.visits[leaves]);
    day.stops.erase(day.stops.begin() + static_cast<std::ptrdiff_t>(leaves));
    day.visits.erase(day.visits.begin() + static_cast<std::ptrdiff_t>(leaves));
    refresh(nearest);
    Place const place = cheapest_place(work);
    if (place.found) {
      put(place, visit, work);
      return true;
    }
  }
  day = before;
  still_waiting_.resize(waited_before);
  return false;
}

DayRounds Dispatcher::dispatch(std::span<WantedVisit const> wanted) {
  for (Day& day : days_) {
    day.stops.clear();
    day.visits.clear();
  }
  waiting_.clear();
  still_waiting_.clear();
  order_.clear();
  for (std::uint32_t visit = 0; visit < wanted.size(); ++visit) order_.push_back(visit);
  // Call-outs last, so that a pool that is planned anyway keeps its place.
  std::sort(order_.begin(), order_.end(), [&](std::uint32_t a, std::uint32_t b) {
    auto const key = [&](std::uint32_t visit) {
      WantedVisit const& v = wanted[visit];
      return std::tuple(v.call_out, v.planned_technician, v.planned_position, v.pool, visit);
    };
    return key(a) < key(b);
  });
  for (std::uint32_t const visit : order_) {
    WantedVisit const& want = wanted[visit];
    if (seen_[index_of(want.pool)]) continue;
    seen_[index_of(want.pool)] = true;
    if (want.call_out || index_of(want.planned_technician) >= days_.size()) {
      waiting_.push_back(visit);
    } else {
      Day& day = days_[index_of(want.planned_technician)];
      day.stops.push_back(work_of(want));
      day.visits.push_back(visit);
    }
  }
  for (WantedVisit const& want : wanted) seen_[index_of(want.pool)] = false;
  for (std::size_t technician = 0; technician < days_.size(); ++technician) trim(technician, wanted);

  double const longest_wait_d = scenario_->rounds.call_out_max_wait_s / 86400.0;
  std::sort(waiting_.begin(), waiting_.end(), [&](std::uint32_t a, std::uint32_t b) {
    auto const key = [&](std::uint32_t visit) {
      WantedVisit const& v = wanted[visit];
      return std::tuple(-v.days_late, !v.call_out, v.pool);
    };
    return key(a) < key(b);
  });
  for (std::uint32_t const visit : waiting_) {
    WantedVisit const& want = wanted[visit];
    StopWork const work = work_of(want);
    Place const place = cheapest_place(work);
    if (place.found) {
      put(place, visit, work);
    } else if (!(want.call_out && want.days_late >= longest_wait_d && push_others_off(visit, wanted))) {
      still_waiting_.push_back(visit);
    }
  }

  DayRounds result;
  for (std::size_t technician = 0; technician < days_.size(); ++technician) {
    if (days_[technician].stops.empty()) continue;
    result.rounds.push_back(clock_.timed_round(static_cast<TechnicianId>(technician), 0, days_[technician].stops));
  }
  for (std::uint32_t const visit : still_waiting_) result.not_served.push_back(wanted[visit].pool);
  std::sort(result.not_served.begin(), result.not_served.end());
  return result;
}

}  // namespace brinecast::sim
