#include "sim/rounds/round_clock.hpp"

#include <algorithm>
#include <cmath>
#include <string>

namespace brinecast::sim {

namespace {

std::int32_t whole_seconds(double duration_s) { return static_cast<std::int32_t>(std::lround(duration_s)); }

}  // namespace

RoundClock::RoundClock(Scenario const& scenario, TravelTable const& travel)
    : travel_(&travel),
      wage_per_s_(scenario.prices.wage_per_h / 3600.0),
      overtime_surcharge_(scenario.prices.overtime_factor - 1.0),
      driving_per_m_(scenario.prices.driving_per_km / 1000.0),
      restocking_s_(whole_seconds(scenario.rounds.restocking_s)) {
  std::vector<std::string> skills;  // that some pool asks for; the reader refuses more than there are bits
  static_assert(most_skills <= 64);
  for (Pool const& pool : scenario.pools) {
    std::uint32_t skill = 0;
    if (!pool.skill.empty()) {
      auto const known = std::find(skills.begin(), skills.end(), pool.skill);
      skill = static_cast<std::uint32_t>(known - skills.begin()) + 1;
      if (known == skills.end()) skills.push_back(pool.skill);
    }
    pools_.push_back({whole_seconds(pool.gate_opens_s), whole_seconds(pool.gate_closes_s), skill});
  }
  for (Technician const& technician : scenario.technicians) {
    TechnicianRules rules{.shift_start_s = whole_seconds(technician.shift_start_s),
                          .half_shift_s = whole_seconds(technician.shift_start_s + technician.shift_length_s / 2.0),
                          .shift_length_s = whole_seconds(technician.shift_length_s),
                          .latest_end_s = whole_seconds(technician.shift_start_s + technician.shift_length_s +
                                                        technician.overtime_limit_s),
                          .break_s = whole_seconds(technician.break_s),
                          .payload_kg = static_cast<float>(technician.payload_kg),
                          .skills = 0};
    for (std::string const& skill : technician.skills) {
      auto const known = std::find(skills.begin(), skills.end(), skill);
      if (known != skills.end()) rules.skills |= std::uint64_t{1} << (known - skills.begin());
    }
    technicians_.push_back(rules);
  }
}

DayFigures RoundClock::walk(TechnicianId technician, std::span<StopWork const> stops,
                            std::vector<PlannedStop>* times) const {
  TechnicianRules const& rules = technicians_[index_of(technician)];
  DayFigures day;
  std::size_t place = start_place(technician);
  std::int32_t time_s = rules.shift_start_s;
  if (!stops.empty()) {
    std::size_t const first = place_of_pool(stops.front().pool);
    time_s = std::max(time_s, pools_[first].opens_s - travel_->seconds(place, first));
  }
  day.leave_start_s = time_s;
  float on_board_kg = rules.payload_kg;
  auto const drive_to = [&](std::size_t next) {
    std::int32_t const travel_s = travel_->seconds(place, next);
    day.driving_s += travel_s;
    day.driving_m += travel_->metres(place, next);
    time_s += travel_s;
    place = next;
  };
  bool break_due = rules.break_s > 0;
  for (StopWork const& stop : stops) {
    PoolRules const& pool = pools_[index_of(stop.pool)];
    bool restocked = false;
    if (stop.supplies_kg > on_board_kg) {
      day.loads_fit = day.loads_fit && stop.supplies_kg <= rules.payload_kg;
      drive_to(start_place(technician));
      time_s += restocking_s_;
      on_board_kg = rules.payload_kg;
      ++day.restocked;
      restocked = true;
    }
    on_board_kg -= stop.supplies_kg;
    day.load_kg += stop.supplies_kg;
    drive_to(place_of_pool(stop.pool));
    std::int32_t const arrival_s = time_s;
    if (arrival_s > pool.closes_s) ++day.late_stops;
    std::int32_t start_s = std::max(arrival_s, pool.opens_s);
    if (break_due && start_s >= rules.half_shift_s) {
      break_due = false;
      day.break_s = rules.break_s;
      start_s = std::max(arrival_s + rules.break_s, pool.opens_s);
      day.waiting_s -= rules.break_s;
    }
    day.waiting_s += start_s - arrival_s;
    time_s = start_s + stop.service_s;
    if (times != nullptr) times->push_back({stop.pool, arrival_s, start_s, time_s, restocked});
  }
  if (break_due && !stops.empty() && time_s + travel_->seconds(place, end_place(technician)) >= rules.half_shift_s) {
    day.break_s = rules.break_s;
    time_s += rules.break_s;
  }
  drive_to(end_place(technician));
  day.reach_end_s = time_s;
  day.overtime_s = std::max(0, time_s - day.leave_start_s - rules.shift_length_s);
  day.within_shift = time_s <= rules.latest_end_s;
  return day;
}

Round RoundClock::timed_round(TechnicianId technician, int day, std::span<StopWork const> stops) const {
  Round round;
  round.technician = technician;
  round.day = day;
  round.stops.reserve(stops.size());
  DayFigures const figures = walk(technician, stops, &round.stops);
  round.leave_start_s = figures.leave_start_s;
  round.reach_end_s = figures.reach_end_s;
  round.driving_s = figures.driving_s;
  round.driving_m = figures.driving_m;
  round.overtime_s = figures.overtime_s;
  round.load_kg = figures.load_kg;
  return round;
}

}  // namespace brinecast::sim
