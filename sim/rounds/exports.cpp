#include "sim/rounds/exports.hpp"

#include <fmt/format.h>

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

std::string date_text(std::chrono::sys_days day) {
  std::chrono::year_month_day const date{day};
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(date.year()), static_cast<unsigned>(date.month()),
                     static_cast<unsigned>(date.day()));
}

std::string clock_text(std::int32_t seconds_after_midnight) {
  return fmt::format("{:02}:{:02}", seconds_after_midnight / 3600, seconds_after_midnight / 60 % 60);
}

}  // namespace brinecast::sim
