#include <fmt/format.h>

#include "sim/rounds/exports.hpp"
#include "sim/scenario/date_text.hpp"

namespace brinecast::sim {

namespace {

/// RFC 5545, section 3.3.11.
std::string escaped(std::string_view text) {
  std::string result;
  for (char const c : text) {
    if (c == '\\' || c == ';' || c == ',') result += '\\';
    if (c == '\n') {
      result += "\\n";
    } else if (static_cast<unsigned char>(c) >= 0x20U) {
      result += c;
    }
  }
  return result;
}

/// A content line: CRLF at its end, folded so that no line has more than 75 octets (section 3.1), characters kept
/// whole.
void add_line(std::string& calendar, std::string_view line) {
  constexpr std::size_t longest_octets = 75;
  std::size_t room = longest_octets;
  while (line.size() > room) {
    std::size_t cut = room;
    while (cut > 0 && (static_cast<unsigned char>(line[cut]) & 0xC0U) == 0x80U) --cut;
    calendar.append(line.substr(0, cut)).append("\r\n ");
    line.remove_prefix(cut);
    room = longest_octets - 1;  // the leading space counts
  }
  calendar.append(line).append("\r\n");
}

/// The form of date with UTC time (section 3.3.5): 20270301T143000Z.
std::string stamp_of(Scenario const& scenario, std::chrono::sys_days day, std::int32_t seconds_after_midnight) {
  std::string text = utc_text(scenario, day, seconds_after_midnight);
  std::erase_if(text, [](char c) { return c == '-' || c == ':'; });
  return text;
}

std::string description_of(StopNotes const& notes) {
  std::string text = "Tasks:";
  for (auto const& task : notes.tasks) text += "\n- " + task;
  if (!notes.expected_doses.empty()) {
    text += "\nExpected doses (the readings decide):";
    for (auto const& dose : notes.expected_doses) text += "\n- " + dose;
  }
  text += "\nCautions:";
  for (auto const& caution : service_cautions()) text += "\n- " + caution;
  return text;
}

}  // namespace

std::string rounds_calendar(RoundsView const& view) {
  Scenario const& scenario = *view.scenario;
  std::string calendar;
  add_line(calendar, "BEGIN:VCALENDAR");
  add_line(calendar, "VERSION:2.0");
  add_line(calendar, "PRODID:-//brinecast//rounds//EN");
  add_line(calendar, "CALSCALE:GREGORIAN");
  // The plan has no time of its own: the season's first day stands for it, so that the same plan is the same file.
  std::string const stamp = stamp_of(scenario, scenario.season.first_day, 0);
  for (Round const& round : view.plan->rounds) {
    auto const date = view.dates[static_cast<std::size_t>(round.day)];
    std::string const& technician = scenario.technicians[index_of(round.technician)].name;
    for (PlannedStop const& stop : round.stops) {
      Pool const& pool = scenario.pools[index_of(stop.pool)];
      add_line(calendar, "BEGIN:VEVENT");
      add_line(calendar, fmt::format("UID:{}-pool-{}-technician-{}@brinecast.invalid", date_text(date),
                                     index_of(stop.pool), index_of(round.technician)));
      add_line(calendar, "DTSTAMP:" + stamp);
      add_line(calendar, "DTSTART:" + stamp_of(scenario, date, stop.arrival_s));
      add_line(calendar, "DTEND:" + stamp_of(scenario, date, stop.leave_s));
      add_line(calendar, "SUMMARY:" + escaped(fmt::format("{} ({})", pool.name, technician)));
      if (!pool.neighbourhood.empty()) add_line(calendar, "LOCATION:" + escaped(pool.neighbourhood));
      add_line(calendar, fmt::format("GEO:{:.6f};{:.6f}", pool.position.latitude_deg, pool.position.longitude_deg));
      add_line(calendar, "CATEGORIES:" + escaped(technician));
      add_line(calendar, "DESCRIPTION:" + escaped(description_of(view.notes[index_of(stop.pool)])));
      add_line(calendar, "END:VEVENT");
    }
  }
  add_line(calendar, "END:VCALENDAR");
  return calendar;
}

}  // namespace brinecast::sim
