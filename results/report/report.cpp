#include "results/report/report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <nlohmann/json.hpp>

#include "results/report/page_parts.hpp"
#include "results/supplies.hpp"
#include "results/table.hpp"
#include "sim/scenario/date_text.hpp"

namespace brinecast::results {

namespace {

using sim::date_text;

using Json = nlohmann::ordered_json;

std::string html_text(std::string_view text) {
  std::string escaped;
  for (char const c : text) {
    switch (c) {
      case '&':
        escaped += "&amp;";
        break;
      case '<':
        escaped += "&lt;";
        break;
      case '>':
        escaped += "&gt;";
        break;
      case '"':
        escaped += "&quot;";
        break;
      case '\'':
        escaped += "&#39;";
        break;
      default:
        escaped += c;
    }
  }
  return escaped;
}

/// JSON that may stand inside a script element: without the characters that could end it.
std::string script_text(Json const& json) {
  std::string const text = json.dump(-1, ' ', true, Json::error_handler_t::replace);
  std::string escaped;
  for (char const c : text) {
    if (c == '<') {
      escaped += "\\u003c";
    } else {
      escaped += c;
    }
  }
  return escaped;
}

/// The template with each {{mark}} replaced by its value; values are not searched for marks.
std::string filled(std::string_view page, std::map<std::string_view, std::string> const& values) {
  std::string text;
  for (;;) {
    auto const begin = page.find("{{");
    if (begin == std::string_view::npos) return text.append(page);
    auto const end = page.find("}}", begin);
    text.append(page.substr(0, begin)).append(values.at(page.substr(begin + 2, end - begin - 2)));
    page.remove_prefix(end + 2);
  }
}

Json number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

// The season's bands ------------------------------------------------------------------------------------------------

/// A quantity of the water whose daily quantiles the file holds, and how it is shown: value * factor + offset.
struct BandQuantity {
  std::string_view variable, label;
  std::string_view si_units, us_units;
  double si_factor, si_offset, us_factor, us_offset;
  int decimals;
  double sim::WaterBands::*low;  // limits of good water, or nullptr
  double sim::WaterBands::*high;
};

constexpr double ounces_per_square_foot = 0.09290304 / 0.028349523125;  // of 1 kg/m2; both exact by definition

constexpr std::array band_quantities = {
    BandQuantity{"day_free_chlorine", "free chlorine (as Cl2)", "mg/L", "ppm", 1e3, 0, 1e3, 0, 1,
                 &sim::WaterBands::free_chlorine_low_kg_per_m3, &sim::WaterBands::free_chlorine_high_kg_per_m3},
    BandQuantity{"day_salt", "salt", "g/L", "ppm", 1, 0, 1e3, 0, 2, &sim::WaterBands::salt_low_kg_per_m3,
                 &sim::WaterBands::salt_high_kg_per_m3},
    BandQuantity{"day_water_temperature", "water temperature", "°C", "°F", 1, -273.15, 1.8, -459.67, 1, nullptr,
                 nullptr},
    BandQuantity{"day_ph", "pH", "", "", 1, 0, 1, 0, 2, &sim::WaterBands::ph_low, &sim::WaterBands::ph_high},
    BandQuantity{"day_saturation_index", "saturation index", "", "", 1, 0, 1, 0, 2,
                 &sim::WaterBands::saturation_index_low, &sim::WaterBands::saturation_index_high},
    BandQuantity{"day_scale", "scale on the cells' plates", "g/m²", "oz/ft²", 1e3, 0, ounces_per_square_foot, 0, 2,
                 nullptr, nullptr}};

/// Daily quantiles over open pools, each the mean over the replicates that have it, [policy][quantile][day].
Json band_series(ResultFile const& file, BandQuantity const& quantity, double factor, double offset) {
  auto const shape = file.shape(quantity.variable);
  std::size_t const policies = shape[0], quantiles = shape[2], days = shape[3];
  auto const replicates = file.paired_replicates();
  Json all = Json::array();
  for (std::size_t p = 0; p < policies; ++p) {
    std::vector<double> sum(quantiles * days, 0.0), count(quantiles * days, 0.0);
    for (auto const replicate : replicates) {
      auto const values = file.read_task(quantity.variable, p, replicate);
      for (std::size_t i = 0; i < values.size(); ++i) {
        if (std::isnan(values[i])) continue;
        sum[i] += values[i];
        count[i] += 1.0;
      }
    }
    Json lines = Json::array();
    for (std::size_t q = 0; q < quantiles; ++q) {
      Json line = Json::array();
      for (std::size_t d = 0; d < days; ++d) {
        std::size_t const i = q * days + d;
        // Five digits are finer than the file's own storage of daily values.
        line.push_back(count[i] > 0.0 ? Json(std::stod(fmt::format("{:.5g}", sum[i] / count[i] * factor + offset)))
                                      : Json(nullptr));
      }
      lines.push_back(std::move(line));
    }
    all.push_back(std::move(lines));
  }
  return all;
}

Json bands_json(ResultFile const& file, Units units) {
  auto const& run = file.run();
  Json list = Json::array();
  for (auto const& quantity : band_quantities) {
    bool const si = units == Units::si;
    double const factor = si ? quantity.si_factor : quantity.us_factor;
    double const offset = si ? quantity.si_offset : quantity.us_offset;
    auto const limit = [&](double sim::WaterBands::*member) {
      return member == nullptr ? Json(nullptr) : number(run.bands.*member * factor + offset);
    };
    bool const whole_numbers = !si && quantity.variable == "day_salt";
    list.push_back({{"name", quantity.variable},
                    {"label", quantity.label},
                    {"units", si ? quantity.si_units : quantity.us_units},
                    {"decimals", whole_numbers ? 0 : quantity.decimals},
                    {"low", limit(quantity.low)},
                    {"high", limit(quantity.high)},
                    {"series", band_series(file, quantity, factor, offset)}});
  }
  return list;
}

// Rounds -------------------------------------------------------------------------------------------------------------

/// Planned rounds by policy, each with its pools in driving order and its line as [longitude, latitude] pairs.
Json rounds_json(RunDescription const& run) {
  auto stops = run.planned_stops;
  auto const round_of = [](auto const& entry) { return std::tuple(entry.policy, entry.day, entry.technician); };
  std::sort(stops.begin(), stops.end(), [&](PlannedStopEntry const& a, PlannedStopEntry const& b) {
    return std::tuple(round_of(a), a.position) < std::tuple(round_of(b), b.position);
  });
  Json policies = Json::array();
  for (std::size_t p = 0; p < run.policies.size(); ++p) policies.push_back(Json::array());
  auto point = run.route_points.begin();
  for (auto const& round : run.planned_rounds) {
    Json line = Json::array(), pools = Json::array();
    for (std::uint32_t i = 0; i < round.route_points; ++i, ++point) {
      line.push_back({point->longitude_deg, point->latitude_deg});
    }
    auto const first = std::lower_bound(stops.begin(), stops.end(), round, [&](auto const& stop, auto const& wanted) {
      return round_of(stop) < round_of(wanted);
    });
    for (auto stop = first; stop != stops.end() && round_of(*stop) == round_of(round); ++stop) {
      pools.push_back(stop->pool);
    }
    policies[round.policy].push_back({{"day", round.day},
                                      {"technician", round.technician},
                                      {"leave_s", round.leave_start_s},
                                      {"back_s", round.reach_end_s},
                                      {"driving_s", round.driving_s},
                                      {"driving_m", round.driving_m},
                                      {"overtime_s", round.overtime_s},
                                      {"pools", std::move(pools)},
                                      {"line", std::move(line)}});
  }
  return policies;
}

/// Dates of the season's working days, as far as the longest plan needs them.
Json plan_dates(RunDescription const& run) {
  std::uint32_t last = 0;
  for (auto const& round : run.planned_rounds) last = std::max(last, round.day);
  Json dates = Json::array();
  for (std::size_t d = 0; d < run.working_days.size() && dates.size() <= last; ++d) {
    if (run.working_days[d] != 0) dates.push_back(date_text(run.first_day + std::chrono::days{d}));
  }
  return dates;
}

Json places_json(RunDescription const& run) {
  Json pools = Json::array(), technicians = Json::array();
  for (auto const& pool : run.pools) {
    pools.push_back({{"name", pool.name},
                     {"neighbourhood", pool.neighbourhood},
                     {"at", {number(pool.longitude_deg), number(pool.latitude_deg)}}});
  }
  for (auto const& technician : run.technicians) {
    technicians.push_back({{"name", technician.name},
                           {"start", {number(technician.start_longitude_deg), number(technician.start_latitude_deg)}},
                           {"end", {number(technician.end_longitude_deg), number(technician.end_latitude_deg)}}});
  }
  return {{"pools", pools}, {"technicians", technicians}, {"attribution", run.road_attribution}};
}

// The parts that need no script --------------------------------------------------------------------------------------

std::string unit_suffix(std::string const& units) { return units.empty() ? "" : " " + units; }

std::string interval_text(Interval const& interval, int decimals, bool with_sign) {
  auto const text = [&](double value) {
    return with_sign ? signed_number(value, decimals) : number_text(value, decimals);
  };
  if (std::isnan(interval.low)) return text(interval.mean);
  return fmt::format("{} <span class=\"interval\">({} to {})</span>", text(interval.mean), text(interval.low),
                     text(interval.high));
}

/// One row a figure: each policy's mean with its interval, and below it the difference to the baseline.
std::string comparison_table(Comparison const& comparison, bool headline, std::string_view caption) {
  auto const& policies = comparison.run.policies;
  std::string text = fmt::format(
      "<div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-label=\"{0}\"><table class=\"figures\"><caption>{0}"
      "</caption>\n<thead><tr><th scope=\"col\">figure</th>",
      html_text(caption));
  for (std::size_t p = 0; p < policies.size(); ++p) {
    text += fmt::format("<th scope=\"col\">{}{}</th>", html_text(policies[p].name),
                        p == comparison.baseline && policies.size() > 1 ? " <small>(baseline)</small>" : "");
  }
  text += "</tr></thead>\n<tbody>\n";
  for (auto const& row : comparison.groups.front().figures) {
    if (row.figure->headline != headline) continue;
    auto const units = units_of(*row.figure, comparison.units, comparison.run.currency);
    text += fmt::format("<tr data-figure=\"{}\"><th scope=\"row\">{}<span class=\"units\">{}</span></th>",
                        row.figure->name, html_text(row.figure->label), units.empty() ? "" : ", " + html_text(units));
    for (auto const& policy : row.policies) {
      text += fmt::format("<td>{}", interval_text(policy.value, row.figure->decimals, false));
      if (policy.difference) {
        bool const sure = policy.difference->adjusted_p_value < 1.0 - confidence;
        text += fmt::format("<br><span class=\"difference\">{}{}</span>",
                            interval_text(policy.difference->interval, row.figure->decimals, true),
                            sure ? "<abbr title=\"differs from the baseline at the 5 % level\">*</abbr>" : "");
      }
      text += "</td>";
    }
    text += "</tr>\n";
  }
  return text + "</tbody></table></div>\n";
}

/// The two figures that a decision weighs, a card a policy.
std::string cards(Comparison const& comparison) {
  std::string text = "<ul class=\"cards\">\n";
  auto const& figures = comparison.groups.front().figures;
  auto const line = [&](std::string_view name, std::size_t policy) {
    auto const found =
        std::find_if(figures.begin(), figures.end(), [&](auto const& f) { return f.figure->name == name; });
    auto const& value = found->policies[policy];
    auto const units = units_of(*found->figure, comparison.units, comparison.run.currency);
    std::string card =
        fmt::format("<dt>{}</dt><dd><strong>{}</strong>{}", html_text(found->figure->label),
                    number_text(value.value.mean, found->figure->decimals), html_text(unit_suffix(units)));
    if (!std::isnan(value.value.low)) {
      card += fmt::format(" <span class=\"interval\">95 % interval {} to {}</span>",
                          number_text(value.value.low, found->figure->decimals),
                          number_text(value.value.high, found->figure->decimals));
    }
    return card + "</dd>";
  };
  for (std::size_t p = 0; p < comparison.run.policies.size(); ++p) {
    text += fmt::format("<li><h3><span class=\"key key{}\" aria-hidden=\"true\"></span>{}</h3><dl>{}{}{}</dl></li>\n",
                        p % 6, html_text(comparison.run.policies[p].name), line("margin", p), line("cost", p),
                        line("free_chlorine_in_range", p));
  }
  return text + "</ul>\n";
}

std::string policy_definitions(RunDescription const& run) {
  std::string text = "<dl class=\"policies\">\n";
  for (auto const& policy : run.policies) {
    text +=
        fmt::format("<dt>{}</dt><dd>{}<br>Planned interval between visits: {:.3g} days.</dd>\n", html_text(policy.name),
                    html_text(policy.comment.empty() ? "No comment given." : policy.comment), policy.visit_interval_d);
  }
  text += "</dl>\n";
  auto const source = [&](std::string_view path, std::string_view content) {
    text +=
        fmt::format("<details class=\"source\"><summary>Text of {}</summary><pre tabindex=\"0\">{}</pre></details>\n",
                    html_text(path), html_text(content));
  };
  source(std::filesystem::path(run.scenario_path).filename().string(), run.scenario_text);
  for (auto const& input : run.input_files) {
    if (input.path.ends_with(".toml")) source(std::filesystem::path(input.path).filename().string(), input.text);
  }
  return text;
}

std::string provenance(ResultFile const& file, Comparison const& comparison) {
  auto const& run = file.run();
  auto const& record = file.record();
  std::string text = "<dl class=\"facts\">\n";
  auto const fact = [&](std::string_view name, std::string const& value) {
    text += fmt::format("<dt>{}</dt><dd>{}</dd>\n", name, html_text(value));
  };
  fact("seasons simulated under every policy", fmt::format("{}", comparison.replicates));
  fact("season", fmt::format("{} days from {}", run.days, date_text(run.first_day)));
  fact("pools, technicians", fmt::format("{}, {}", run.pools.size(), run.technicians.size()));
  fact("random seed", fmt::format("{}", run.seed));
  fact("program", fmt::format("Brinecast {}, {}", run.program_version, run.vector_target));
  fact("result file", fmt::format("{}, written {}", file.path().filename().string(), record.created));
  fact("command", record.command);
  fact("scenario's SHA-256", run.scenario_sha256);
  fact("worst closure of any conservation book", fmt::format("{:.1e} (relative)", record.largest_book_error));
  return text + "</dl>\n";
}

}  // namespace

std::string report_page(ResultFile const& file, ReportOptions const& options) {
  ComparisonOptions by{.baseline = options.baseline, .units = options.units};
  auto const fleet = compare(file, by);
  auto const& run = fleet.run;
  Json groups;
  for (auto const& [name, grouping] : {std::pair{"class", Grouping::pool_class},
                                       {"neighbourhood", Grouping::neighbourhood},
                                       {"month", Grouping::month}}) {
    by.grouping = grouping;
    groups[name] = Json::parse(comparison_json(compare(file, by)))["groups"];
  }
  Json figure_list = Json::array();
  for (auto const& row : fleet.groups.front().figures) {
    figure_list.push_back({{"name", row.figure->name},
                           {"label", row.figure->label},
                           {"units", units_of(*row.figure, options.units, run.currency)},
                           {"decimals", row.figure->decimals}});
  }
  Json policies = Json::array(), supplies = Json::array();
  for (auto const& policy : run.policies) {
    policies.push_back(policy.name);
    // All weeks, for the picture of the load.
    SuppliesOptions const plan{
        .policy = policy.name, .units = options.units, .weeks = static_cast<std::size_t>(run.days)};
    supplies.push_back(Json::parse(supplies_json(plan_supplies(file, plan))));
  }
  auto const& driven = *find_figure("driving_distance");
  Json const distance = {{"units", units_of(driven, options.units, run.currency)},
                         {"per_m", factor_of(driven, options.units)}};
  Json data = {{"scenario", run.scenario_name},
               {"currency", run.currency},
               {"baseline", fleet.baseline},
               {"replicates", fleet.replicates},
               {"first_day", date_text(run.first_day)},
               {"days", run.days},
               {"policies", policies},
               {"figures", figure_list},
               {"groups", groups},
               {"bands", bands_json(file, options.units)},
               {"supplies", supplies},
               {"rounds", rounds_json(run)},
               {"plan_dates", plan_dates(run)},
               {"distance", distance},
               {"places", places_json(run)}};
  std::string const lines =
      run.route_lines == "roads"
          ? "The lines follow the roads of the scenario's extract."
          : "The lines run straight from stop to stop, not along roads: the scenario names no road extract, or the "
            "plan is too large to draw its drives.";
  std::string const credit = run.road_attribution.empty() ? "" : " Road data: " + html_text(run.road_attribution) + ".";
  return filled(page_html,
                {{"title", html_text(run.scenario_name)},
                 {"subtitle", fmt::format("{}, {} from {}, {}", count_text(run.pools.size(), "pool"),
                                          count_text(static_cast<std::size_t>(run.days), "day"),
                                          date_text(run.first_day), count_text(fleet.replicates, "simulated season"))},
                 {"verdict", html_text(fleet.verdict)},
                 {"cards", cards(fleet)},
                 {"headline_table", comparison_table(fleet, true,
                                                     "Mean of a season, 95 % interval, and "
                                                     "difference to the baseline")},
                 {"other_table", comparison_table(fleet, false, "All other figures of a season")},
                 {"policies", policy_definitions(run)},
                 {"provenance", provenance(file, fleet)},
                 {"route_lines", lines + credit},
                 {"css", std::string(page_css)},
                 {"library", std::string(page_library)},
                 {"data", script_text(data)},
                 {"script", std::string(page_js)}});
}

}  // namespace brinecast::results
