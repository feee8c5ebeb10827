#include <fmt/format.h>

#include "sim/rounds/exports.hpp"
#include "sim/scenario/date_text.hpp"

namespace brinecast::sim {

namespace {

std::string escaped(std::string_view text) {
  std::string result;
  for (char const c : text) {
    switch (c) {
      case '&':
        result += "&amp;";
        break;
      case '<':
        result += "&lt;";
        break;
      case '>':
        result += "&gt;";
        break;
      case '"':
        result += "&quot;";
        break;
      default:
        // XML 1.0 has no other control characters.
        if (static_cast<unsigned char>(c) >= 0x20U || c == '\n' || c == '\t') result += c;
    }
  }
  return result;
}

std::string joined(std::vector<std::string> const& lines) {
  std::string text;
  for (auto const& line : lines) text += (text.empty() ? "" : "; ") + line;
  return text;
}

std::string round_name(RoundsView const& view, Round const& round) {
  return fmt::format("{} {}", date_text(view.dates[static_cast<std::size_t>(round.day)]),
                     view.scenario->technicians[index_of(round.technician)].name);
}

}  // namespace

std::string rounds_gpx(RoundsView const& view) {
  Scenario const& scenario = *view.scenario;
  RoundsPlan const& plan = *view.plan;
  // The schema fixes the order of elements: metadata, way points, routes, tracks.
  std::string gpx =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<gpx version=\"1.1\" creator=\"brinecast\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n<metadata>\n";
  gpx += fmt::format("<name>{}</name>\n<desc>{}</desc>\n", escaped(scenario.name + ", policy " + view.policy),
                     escaped(joined(service_cautions())));
  if (auto const credit = scenario.roads.credit(); !credit.empty()) {
    gpx += fmt::format("<copyright author=\"{}\"/>\n", escaped(credit));
  }
  gpx += "</metadata>\n";
  for (Round const& round : plan.rounds) {
    auto const date = view.dates[static_cast<std::size_t>(round.day)];
    gpx += fmt::format("<rte>\n<name>{}</name>\n", escaped(round_name(view, round)));
    for (PlannedStop const& stop : round.stops) {
      Pool const& pool = scenario.pools[index_of(stop.pool)];
      StopNotes const& notes = view.notes[index_of(stop.pool)];
      std::string description = joined(notes.tasks);
      if (!notes.expected_doses.empty()) description += "; expected: " + joined(notes.expected_doses);
      gpx += fmt::format(
          "<rtept lat=\"{:.7f}\" lon=\"{:.7f}\">\n<time>{}</time>\n<name>{}</name>\n<desc>{}</desc>\n</rtept>\n",
          pool.position.latitude_deg, pool.position.longitude_deg, utc_text(scenario, date, stop.arrival_s),
          escaped(pool.name), escaped(description));
    }
    gpx += "</rte>\n";
  }
  for (std::size_t index = 0; index < plan.rounds.size(); ++index) {
    gpx += fmt::format("<trk>\n<name>{}</name>\n<trkseg>\n", escaped(round_name(view, plan.rounds[index])));
    for (Position const position : view.shapes[index]) {
      gpx += fmt::format("<trkpt lat=\"{:.7f}\" lon=\"{:.7f}\"/>\n", position.latitude_deg, position.longitude_deg);
    }
    gpx += "</trkseg>\n</trk>\n";
  }
  return gpx + "</gpx>\n";
}

}  // namespace brinecast::sim
