#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "sim/rounds/exports.hpp"
#include "sim/scenario/date_text.hpp"

namespace brinecast::sim {

namespace {

/// Columns a text fills on a terminal: bytes that begin a character.
std::size_t shown_width(std::string const& text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

std::string padded(std::string text, std::size_t width) {
  std::size_t const shown = shown_width(text);
  if (shown < width) text.append(width - shown, ' ');
  return text;
}

}  // namespace

std::string rounds_text(RoundsView const& view) {
  Scenario const& scenario = *view.scenario;
  RoundsPlan const& plan = *view.plan;
  constexpr std::array weekdays{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
  std::string_view const distance_unit = shown_unit(Quantity::distance, view.units);
  std::string_view const mass_unit = shown_unit(Quantity::mass, view.units);
  std::size_t name_width = 10;
  for (Technician const& technician : scenario.technicians)
    name_width = std::max(name_width, shown_width(technician.name));
  std::string text = fmt::format("Rounds of {}, policy {}: {} working days, then again\n\n", scenario.name, view.policy,
                                 plan.period_days);
  text += fmt::format("{:<15} {} {:>5} {:>6} {:>6} {:>8} {:>9} {:>8} {:>9}\n", "day", padded("technician", name_width),
                      "stops", "leaves", "back", "drive h", fmt::format("drive {}", distance_unit), "over h",
                      fmt::format("load {}", mass_unit));
  double driving_s = 0.0, driving_m = 0.0, overtime_s = 0.0, away_s = 0.0;
  std::size_t stops = 0;
  for (Round const& round : plan.rounds) {
    auto const date = view.dates[static_cast<std::size_t>(round.day)];
    text += fmt::format("{} {} {} {:>5} {:>6} {:>6} {:>8.2f} {:>9.1f} {:>8.2f} {:>9.0f}\n", date_text(date),
                        padded(weekdays[std::chrono::weekday{date}.c_encoding()], 4),
                        padded(scenario.technicians[index_of(round.technician)].name, name_width), round.stops.size(),
                        clock_text(round.leave_start_s), clock_text(round.reach_end_s), round.driving_s / 3600.0,
                        shown_value(round.driving_m, Quantity::distance, view.units), round.overtime_s / 3600.0,
                        shown_value(round.load_kg, Quantity::mass, view.units));
    driving_s += round.driving_s;
    driving_m += round.driving_m;
    overtime_s += round.overtime_s;
    away_s += round.reach_end_s - round.leave_start_s;
    stops += round.stops.size();
  }
  text += fmt::format("\n{} rounds, {} stops, {:.1f} h away, of these {:.1f} h driving {:.0f} {}, {:.1f} h overtime\n",
                      plan.rounds.size(), stops, away_s / 3600.0, driving_s / 3600.0,
                      shown_value(driving_m, Quantity::distance, view.units), distance_unit, overtime_s / 3600.0);
  text +=
      fmt::format("cost of the period {:.2f} {}; no plan of these visits can cost less than {:.2f} {} (gap {:.1f} %)\n",
                  plan.cost, scenario.prices.currency, plan.lower_bound, scenario.prices.currency, gap_percent(plan));
  if (plan.largest_stretch > 0.0) {
    text +=
        fmt::format("intervals were changed by up to {:.0f} % so that all fit one period of at most 60 working days\n",
                    100.0 * plan.largest_stretch);
  }
  for (PoolId const pool : plan.unserved) {
    text += fmt::format("not served: {} (no technician's day can take it: skill, gate hours, load or shift)\n",
                        scenario.pools[index_of(pool)].name);
  }
  text += "\n";
  for (auto const& caution : service_cautions()) text += caution + "\n";
  return text;
}

}  // namespace brinecast::sim
