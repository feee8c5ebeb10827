#include "sim/rounds/exports.hpp"

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>

#include "sim/rounds/crew.hpp"
#include "sim/rounds/route_shapes.hpp"
#include "sim/scenario/date_text.hpp"
#include "tests/sim/rounds/small_town.hpp"

using namespace brinecast;
using namespace brinecast::sim;

namespace {

struct Planned {
  Scenario town = tests::small_town(24, 2, 6000.0);
  TravelTable travel;
  std::vector<PlannedPool> pools;
  RoundsPlan plan;
  RoundsView view;

  Planned() {
    town.name = "Tëst & <town>";
    town.season.first_day = std::chrono::sys_days{std::chrono::year{2027} / 5 / 29};  // a Saturday
    town.season.holidays = {std::chrono::sys_days{std::chrono::year{2027} / 5 / 31}};
    town.season.utc_offset_h = -6.0;
    town.pools[3].name =
        "Gull Lane 4; \"Dëck\", a very long name that has to be folded at seventy-five octets éééééééé";
    town.rounds.planning_time_s = 0.05;
    Problems problems;
    travel = travel_table(town, problems);
    for (std::size_t i = 0; i < town.pools.size(); ++i) pools.push_back({static_cast<PoolId>(i), 7.0, 1500.0, 5.0});
    plan = plan_rounds(town, travel, pools, 1);
    view.scenario = &town;
    view.policy = "weekly";
    view.plan = &plan;
    view.dates = working_dates(town, plan.period_days);
    view.notes.assign(town.pools.size(), {{"test pH (kit)"}, {"salt 1.5 kg a visit on average"}});
    view.shapes = route_shapes(town, {plan}, problems).at(0);
  }
};

Planned const& planned() {
  static Planned const one;
  return one;
}

}  // namespace

TEST_CASE("rounds fall on working days that are no holidays", "[sim][rounds][unit]") {
  auto const& dates = planned().view.dates;
  REQUIRE(dates.size() == 5);
  CHECK(date_text(dates[0]) == "2027-06-01");
  CHECK(date_text(dates[3]) == "2027-06-04");
  CHECK(date_text(dates[4]) == "2027-06-07");
}

TEST_CASE("the JSON of a plan lists every stop once and its money", "[sim][rounds][unit]") {
  auto const document = nlohmann::json::parse(rounds_json(planned().view));
  std::size_t stops = 0;
  for (auto const& round : document["rounds"]) stops += round["stops"].size();
  CHECK(stops == 24);
  CHECK(document["cost"].get<double>() >= document["lower_bound"].get<double>());
  CHECK(document["rounds"][0]["stops"][0]["tasks"][0] == "test pH (kit)");
  CHECK(document["cautions"].size() >= 3);
}

TEST_CASE("the GeoJSON keeps the rules of RFC 7946", "[sim][rounds][published]") {
  auto const& view = planned().view;
  auto const document = nlohmann::json::parse(rounds_geojson(view));
  CHECK(document["type"] == "FeatureCollection");  // section 3.3
  CHECK_FALSE(document.contains("crs"));           // section 4
  for (char const* key : {"coordinates", "geometries", "geometry", "properties"})
    CHECK_FALSE(document.contains(key));  // 7.1
  std::size_t lines = 0;
  for (auto const& feature : document["features"]) {
    REQUIRE(feature["type"] == "Feature");  // section 3.2
    REQUIRE(feature["properties"].is_object());
    auto const& geometry = feature["geometry"];
    auto const check_position = [](nlohmann::json const& position) {
      REQUIRE(position.size() == 2);  // section 3.1.1: longitude first
      REQUIRE(std::abs(position[0].get<double>()) <= 180.0);
      REQUIRE(std::abs(position[1].get<double>()) <= 90.0);
    };
    if (geometry["type"] == "LineString") {
      auto const& points = geometry["coordinates"];
      for (std::size_t i = 1; i < points.size(); ++i) CHECK(points[i] != points[i - 1]);
      ++lines;
      REQUIRE(geometry["coordinates"].size() >= 2);  // section 3.1.4
      for (auto const& position : geometry["coordinates"]) check_position(position);
    } else {
      REQUIRE(geometry["type"] == "Point");
      check_position(geometry["coordinates"]);
    }
  }
  CHECK(lines == planned().plan.rounds.size());
}

TEST_CASE("drives on the roads of an extract carry the credit that its licence asks for", "[sim][rounds][unit]") {
  auto view = planned().view;
  Scenario mapped = planned().town;
  view.scenario = &mapped;
  auto const credited = [&] {
    return std::array{nlohmann::json::parse(rounds_json(view)).value("attribution", ""),
                      nlohmann::json::parse(rounds_geojson(view)).value("attribution", "")};
  };
  std::array<std::string, 2> const nobody;
  CHECK(credited() == nobody);  // straight lines are nobody's data
  CHECK(rounds_gpx(view).find("<copyright") == std::string::npos);
  mapped.roads.kind = RoadKind::osm_extract;
  for (auto const& credit : credited()) CHECK(credit.find("OpenStreetMap") != std::string::npos);
  CHECK(rounds_gpx(view).find("<copyright author=\"") != std::string::npos);
  mapped.roads.attribution.clear();
  CHECK(credited() == nobody);
  CHECK(rounds_gpx(view).find("<copyright") == std::string::npos);
}

TEST_CASE("the GPX is well formed and has the elements of GPX 1.1 in the schema's order", "[sim][rounds][published]") {
  std::string const gpx = rounds_gpx(planned().view);
  CHECK(gpx.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>"));
  // A small XML reader: every tag is closed, every name is known inside its parent, in the order of the schema
  // (http://www.topografix.com/GPX/1/1/gpx.xsd).
  std::map<std::string, std::vector<std::string>> const children{
      {"", {"gpx"}},
      {"gpx", {"metadata", "wpt", "rte", "trk", "extensions"}},
      {"metadata", {"name", "desc", "author", "copyright", "link", "time", "keywords", "bounds"}},
      {"rte", {"name", "cmt", "desc", "src", "link", "number", "type", "rtept"}},
      {"rtept", {"ele", "time", "magvar", "geoidheight", "name", "cmt", "desc"}},
      {"trk", {"name", "cmt", "desc", "src", "link", "number", "type", "trkseg"}},
      {"trkseg", {"trkpt"}}};
  std::vector<std::pair<std::string, std::size_t>> open{{"", 0}};
  std::size_t points = 0;
  static std::regex const tag(R"(<(/?)([a-z]+)((?:\s+[a-zA-Z:]+="[^"<]*")*)(/?)>)");
  std::size_t at = gpx.find("?>") + 2;
  while (at < gpx.size()) {
    std::size_t const next = gpx.find('<', at);
    std::string const text = gpx.substr(at, next == std::string::npos ? next : next - at);
    static std::regex const plain(R"((?:[^<>&]|&(?:amp|lt|gt|quot);)*)");
    REQUIRE(std::regex_match(text, plain));
    if (next == std::string::npos) break;
    std::smatch match;
    std::string const rest = gpx.substr(next, 300);
    REQUIRE(std::regex_search(rest, match, tag, std::regex_constants::match_continuous));
    std::string const name = match[2];
    if (match[1].length() > 0) {
      REQUIRE(open.back().first == name);
      open.pop_back();
    } else {
      auto const& known = children.at(open.back().first);
      auto const place = static_cast<std::size_t>(std::find(known.begin(), known.end(), name) - known.begin());
      REQUIRE(place < known.size());
      REQUIRE(place >= open.back().second);
      open.back().second = place;
      if (name == "rtept" || name == "trkpt") {
        ++points;
        std::string const attributes = match[3];
        REQUIRE(std::regex_match(attributes, std::regex(R"( lat="-?\d+\.\d+" lon="-?\d+\.\d+")")));
      }
      if (match[4].length() == 0) open.emplace_back(name, 0);
    }
    at = next + static_cast<std::size_t>(match.length());
  }
  CHECK(open.size() == 1);
  CHECK(points > 24 * 2);
  CHECK(gpx.find("xmlns=\"http://www.topografix.com/GPX/1/1\"") != std::string::npos);
  CHECK(gpx.find("T\xC3\xABst &amp; &lt;town&gt;") != std::string::npos);
}

TEST_CASE("the calendar keeps the rules of RFC 5545", "[sim][rounds][published]") {
  std::string const calendar = rounds_calendar(planned().view);
  CHECK(calendar == rounds_calendar(planned().view));
  std::vector<std::string> lines;  // unfolded
  std::size_t at = 0;
  while (at < calendar.size()) {
    std::size_t const end = calendar.find("\r\n", at);
    REQUIRE(end != std::string::npos);  // section 3.1: every line ends with CRLF
    REQUIRE(end - at <= 75);            // and has at most 75 octets
    std::string const line = calendar.substr(at, end - at);
    REQUIRE(line.find('\n') == std::string::npos);
    if (line.starts_with(' ')) {
      lines.back() += line.substr(1);
      // A fold inside a character would leave a continuation octet first.
      REQUIRE((static_cast<unsigned char>(line[1]) & 0xC0U) != 0x80U);
    } else {
      lines.push_back(line);
    }
    at = end + 2;
  }
  CHECK(lines.front() == "BEGIN:VCALENDAR");
  CHECK(lines[1] == "VERSION:2.0");
  CHECK(lines.back() == "END:VCALENDAR");
  std::size_t events = 0;
  std::set<std::string> identifiers;
  static std::regex const utc(R"(DT(STAMP|START|END):\d{8}T\d{6}Z)");
  std::string start;
  for (std::string const& line : lines) {
    if (line == "BEGIN:VEVENT") ++events;
    if (line.starts_with("UID:")) CHECK(identifiers.insert(line).second);  // section 3.8.4.7: unique
    if (line.starts_with("DT")) CHECK(std::regex_match(line, utc));
    if (line.starts_with("DTSTART:")) start = line.substr(8);
    if (line.starts_with("DTEND:")) CHECK(line.substr(6) > start);
  }
  CHECK(events == 24);
  CHECK(identifiers.size() == 24);
  // Text is escaped (section 3.3.11).
  CHECK(std::count_if(lines.begin(), lines.end(), [](std::string const& line) {
          return line.starts_with(
              "SUMMARY:Gull Lane 4\\; \"D\xC3\xAB"
              "ck\"\\, a very long name");
        }) == 1);
  // 08:00 local is 14:00 UTC six hours west of Greenwich.
  CHECK(std::any_of(lines.begin(), lines.end(),
                    [](std::string const& line) { return line.starts_with("DTSTART:20270601T14"); }));
}

TEST_CASE("the table names every round, the bound and the gap", "[sim][rounds][unit]") {
  std::string const text = rounds_text(planned().view);
  CHECK(text.find("technician 0") != std::string::npos);
  CHECK(text.find("cost less than") != std::string::npos);
  CHECK(text.find("gap") != std::string::npos);
}

TEST_CASE("the table names pools that no day can take and says that intervals were changed", "[sim][rounds][unit]") {
  CHECK(rounds_text(planned().view).find("not served") == std::string::npos);
  CHECK(rounds_text(planned().view).find("intervals were changed") == std::string::npos);
  RoundsPlan plan = planned().plan;
  plan.unserved = {PoolId{5}};
  plan.largest_stretch = 0.21;
  RoundsView view = planned().view;
  view.plan = &plan;
  std::string const text = rounds_text(view);
  CHECK(text.find("not served: " + planned().town.pools[5].name + " (") != std::string::npos);
  CHECK(text.find("intervals were changed by up to 21 %") != std::string::npos);
}

TEST_CASE("the smallest crew serves all pools and one technician less does not", "[sim][rounds][unit]") {
  Scenario town = tests::small_town(60, 3, 6000.0);
  town.rounds.planning_time_s = 0.2;
  Problems problems;
  TravelTable const travel = travel_table(town, problems);
  std::vector<PlannedPool> pools;
  for (std::size_t i = 0; i < 60; ++i) pools.push_back({static_cast<PoolId>(i), 7.0, 3600.0, 5.0});
  auto const trials = smallest_crew(town, travel, pools, 1, 6);
  REQUIRE(!trials.empty());
  // 60 h of work and the driving do not fit into the five days of one technician, 42.5 h at most without breaks.
  CHECK(trials.back().technicians == 2);
  CHECK(trials.back().plan.unserved.empty());
  for (std::size_t trial = 0; trial + 1 < trials.size(); ++trial) CHECK(!trials[trial].plan.unserved.empty());

  RoundsPlan const plan = plan_rounds(town, travel, pools, 1);
  auto const margins = marginal_costs(town, travel, plan, pools);
  REQUIRE(margins.size() == 2);
  for (MarginalCost const& margin : margins) {
    // At least the wages of the work itself: an hour a week.
    CHECK(margin.money_per_month >= 28.0 * 365.2425 / 12.0 / 7.0 * 0.999);
    CHECK(margin.money_per_month < 300.0);
  }
}
