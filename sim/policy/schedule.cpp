#include "sim/policy/schedule.hpp"

#include <algorithm>
#include <cmath>

namespace brinecast::sim {

namespace {

constexpr double half_day = 0.5;

/// A condition left at its default holds even while nothing is known; a stated one needs a known value.
bool within(double value, double above, double below) {
  bool const conditional = above > 0.0 || below < never;
  return !conditional || (value > above && value < below);
}

bool holds(VisitRule const& rule, Pool const& pool, PoolRecord const& record, DayKnowledge const& today) {
  if (!rule.pool_class.empty() && rule.pool_class != pool.pool_class) return false;
  if (!rule.dates.contains(today.month_day())) return false;
  if (!within(believed_water_temperature_K(record, today), rule.water_above_K, rule.water_below_K)) return false;
  return within(recent_mean(today.air_mean_K, 7), rule.air_above_K, rule.air_below_K);
}

std::chrono::month_day month_day_of(std::chrono::sys_days date) {
  std::chrono::year_month_day const full{date};
  return full.month() / full.day();
}

/// By date: any day between the closing date and the opening date, or without one the end of the closing season, so
/// that a closing that was not served on its day stays due.
bool closing_due(YearSpec const& year, PoolRecord const& record, DayKnowledge const& today) {
  if (!year.closes || record.stage == PoolStage::closed) return false;
  auto const day = today.month_day();
  if (year.close_on) {
    return year.open_on ? closed_by_date(year, day) : DateRange{*year.close_on, year.closing_season.last}.contains(day);
  }
  return year.closing_season.contains(day) && believed_water_temperature_K(record, today) < year.close_below_water_K;
}

bool opening_due(YearSpec const& year, PoolRecord const& record, DayKnowledge const& today) {
  if (record.stage != PoolStage::closed) return false;
  if (!year.closes) return true;
  auto const day = today.month_day();
  if (year.open_on) {
    return year.close_on ? !closed_by_date(year, day)
                         : DateRange{*year.open_on, year.opening_season.last}.contains(day);
  }
  return year.opening_season.contains(day) && recent_mean(today.air_mean_K, 7) > year.open_above_air_K;
}

std::uint32_t triggered(VisitTriggers const& triggers, PoolRecord const& record, DayKnowledge const& today) {
  std::uint32_t reasons = 0;
  if (today.day - record.last_visit_day + half_day < triggers.shortest_gap_d) return reasons;
  if (record.remote_alarm) reasons |= bit(VisitReason::remote_reading);
  if (triggers.warning && record.warning_reported) reasons |= bit(VisitReason::warning);
  // What fell, shone or swam before the last visit was dealt with there.
  int const since = static_cast<int>(std::min(today.day - record.last_visit_day, 1e6));
  if (recent_sum(today.rain_m, std::min(triggers.rain_days, since)) >= triggers.rain_m) {
    reasons |= bit(VisitReason::rain);
  }
  if (since >= triggers.heat_days && recent_mean(today.air_highest_K, triggers.heat_days) >= triggers.heat_K) {
    reasons |= bit(VisitReason::heat);
  }
  if (recent_bathers(record, today.day, std::min(triggers.bather_days, since)) >= triggers.bathers) {
    reasons |= bit(VisitReason::bathers);
  }
  return reasons;
}

}  // namespace

std::size_t matching_rule(PolicySpec const& policy, Pool const& pool, PoolRecord const& record,
                          DayKnowledge const& today) {
  auto const& rules = policy.visits.rules;
  for (std::size_t i = 0; i < rules.size(); ++i) {
    if (holds(rules[i], pool, record, today)) return i;
  }
  return rules.size();
}

double visit_interval_d(PolicySpec const& policy, Pool const& pool, PoolRecord const& record,
                        DayKnowledge const& today) {
  VisitSpec const& visits = policy.visits;
  std::size_t const rule = matching_rule(policy, pool, record, today);
  double const interval_d = rule < visits.rules.size() ? visits.rules[rule].interval_d : visits.interval_d;
  if (!visits.adaptive.used) return interval_d;
  return std::clamp(interval_d * record.stretch, visits.adaptive.shortest_d, visits.adaptive.longest_d);
}

double next_due_day(PolicySpec const& policy, Pool const& pool, PoolRecord const& record, DayKnowledge const& today) {
  if (record.stage == PoolStage::closed) {
    if (opening_due(policy.year, record, today)) return today.day;
    return record.last_visit_day <= long_ago ? today.day + policy.year.winter_watch_d
                                             : record.last_visit_day + policy.year.winter_watch_d;
  }
  if (closing_due(policy.year, record, today)) return today.day;
  return std::min(record.return_day, record.rhythm_day + visit_interval_d(policy, pool, record, today));
}

std::uint32_t reasons_to_visit(PolicySpec const& policy, Pool const& pool, PoolRecord const& record,
                               DayKnowledge const& today) {
  YearSpec const& year = policy.year;
  if (record.stage == PoolStage::closed) {
    if (opening_due(year, record, today)) return bit(VisitReason::opening);
    double const watched_day = std::max(record.last_visit_day, 0.0);
    return today.day + half_day >= watched_day + year.winter_watch_d ? bit(VisitReason::winter_watch) : 0U;
  }
  std::uint32_t reasons = 0;
  if (closing_due(year, record, today)) reasons |= bit(VisitReason::closing);
  reasons |= triggered(policy.visits.triggers, record, today);
  if (today.day + half_day >= record.return_day) reasons |= bit(VisitReason::return_visit);
  if (today.day + half_day >= record.rhythm_day + visit_interval_d(policy, pool, record, today)) {
    reasons |= bit(VisitReason::interval);
  }
  return reasons;
}

bool wants_remote_reading(PolicySpec const& policy, PoolRecord const& record, DayKnowledge const& today) {
  RemoteReadings const& remote = policy.visits.remote;
  return remote.used && record.stage != PoolStage::closed && today.day + half_day >= record.remote_day + remote.every_d;
}

bool closed_by_date(YearSpec const& year, std::chrono::month_day day) {
  if (!year.closes || !year.close_on || !year.open_on) return false;
  return DateRange{*year.close_on, *year.open_on}.contains(day) && day != *year.open_on;
}

double typical_interval_d(PolicySpec const& policy, Pool const& pool, Season const& season) {
  PoolRecord const blank;
  double visits = 0.0;
  int open_days = 0;
  for (int day = 0; day < season.days; ++day) {
    DayKnowledge const then{.day = day,
                            .date = season.first_day + std::chrono::days{day},
                            .rain_m = {},
                            .air_mean_K = {},
                            .air_highest_K = {}};
    if (closed_by_date(policy.year, month_day_of(then.date))) continue;
    visits += 1.0 / visit_interval_d(policy, pool, blank, then);
    ++open_days;
  }
  return open_days > 0 ? open_days / visits : policy.visits.interval_d;
}

void note_visit(PolicySpec const& policy, Pool const& pool, PoolRecord& record, DayKnowledge const& today,
                std::uint32_t reasons) {
  double const interval_d = visit_interval_d(policy, pool, record, today);
  double const due = record.rhythm_day + interval_d;
  bool const regular = has(reasons, VisitReason::interval) || today.day > due - interval_d / 2;
  if (regular) {
    // A day or two late keeps the weekday; half an interval late starts a new rhythm.
    record.rhythm_day = std::abs(today.day - due) < interval_d / 2 ? due : today.day;
  }
  record.last_visit_day = today.day;
  if (today.day + half_day >= record.return_day) record.return_day = never;
  record.warning_reported = false;
  record.remote_alarm = false;
}

}  // namespace brinecast::sim
