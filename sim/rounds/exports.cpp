#include "sim/rounds/exports.hpp"

#include <fmt/format.h>

#include <cmath>

#include "sim/scenario/date_text.hpp"

namespace brinecast::sim {

std::vector<std::chrono::sys_days> working_dates(Scenario const& scenario, int days) {
  std::vector<std::chrono::sys_days> dates;
  // Holidays are finite and some weekday is worked, so the search ends.
  for (auto day = scenario.season.first_day; dates.size() < static_cast<std::size_t>(days);
       day += std::chrono::days{1}) {
    if (scenario.is_working_day(day)) dates.push_back(day);
  }
  return dates;
}

// Acid, gas: US EPA 550-F-01-003. Power: US OSHA 29 CFR 1910.147; NFPA 70 article 680. Barriers: US CPSC publication 362.
// Frost: common practice, no source.
std::vector<std::string> const& service_cautions() {
  static std::vector<std::string> const cautions{
      "Acid burns: wear goggles and gloves; pour acid into water, never water into acid.",
      "Never let acid and chlorine products meet: together they give off poisonous chlorine gas.",
      "Lock out the power of pump and cell before opening the cell or its box; electrical repairs are for licensed "
      "people.",
      "Drain or guard lines before frost; do not empty a pool beyond what its builder allows.",
      "Leave gates, barriers and covers closed: pools drown children.",
      "Public pools follow their health code. Local codes, the makers' instructions and licensed practice come first."};
  return cautions;
}

double gap_percent(RoundsPlan const& plan) {
  return plan.lower_bound > 0.0 ? 100.0 * (plan.cost / plan.lower_bound - 1.0) : 0.0;
}

std::string clock_text(std::int32_t seconds_after_midnight) {
  return fmt::format("{:02}:{:02}", seconds_after_midnight / 3600, seconds_after_midnight / 60 % 60);
}

std::string utc_text(Scenario const& scenario, std::chrono::sys_days day, std::int32_t seconds_after_midnight) {
  auto const local = day + std::chrono::seconds{seconds_after_midnight};
  auto const utc = local - std::chrono::seconds{std::lround(scenario.season.utc_offset_h * 3600.0)};
  auto const utc_day = std::chrono::floor<std::chrono::days>(utc);
  auto const rest_s = (utc - utc_day).count();
  return fmt::format("{}T{:02}:{:02}:{:02}Z", date_text(utc_day), rest_s / 3600, rest_s / 60 % 60, rest_s % 60);
}

}  // namespace brinecast::sim
