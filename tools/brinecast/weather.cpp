// brinecast weather: what a weather source contains, and generated seasons beside it.

#include "sim/weather/weather_report.hpp"

#include <fmt/format.h>

#include <cmath>
#include <iostream>
#include <nlohmann/json.hpp>

#include "sim/scenario/read_scenario.hpp"
#include "sim/scenario/units.hpp"
#include "tools/brinecast/command.hpp"

namespace brinecast::tools {

namespace {

namespace po = boost::program_options;
using sim::MonthSummary;
using sim::Quantity;
using sim::UnitSystem;

constexpr std::array<std::string_view, 13> month_names{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul",
                                                       "Aug", "Sep", "Oct", "Nov", "Dec", "all"};

/// A column of the monthly table; without a kind its unit is the same in both systems.
struct Column {
  std::string_view key, shown;
  double MonthSummary::*member;
  std::optional<Quantity> kind;
  std::string_view unit;
  int decimals_si, decimals_us;
};

constexpr std::array<Column, 9> columns{{
    {"rain", "rain", &MonthSummary::rain_m, Quantity::depth, "", 1, 2},
    {"wet_days", "wet days", &MonthSummary::wet_days, {}, "d", 1, 1},
    {"longest_dry_spell", "dry spell", &MonthSummary::longest_dry_spell_d, {}, "d", 0, 0},
    {"mean_temperature", "mean", &MonthSummary::mean_temperature_K, Quantity::temperature, "", 1, 1},
    {"lowest_temperature", "lowest", &MonthSummary::lowest_K, Quantity::temperature, "", 1, 1},
    {"highest_temperature", "highest", &MonthSummary::highest_K, Quantity::temperature, "", 1, 1},
    {"sun", "sun", &MonthSummary::global_irradiance_W_per_m2, Quantity::irradiance, "", 0, 0},
    {"wind", "wind", &MonthSummary::wind_speed_m_per_s, {}, "", 1, 1},
    {"freezing_hours", "freezing", &MonthSummary::freezing_hours, {}, "h", 0, 0},
}};

/// Wind is shown in m/s, finer than the km/h of other speeds.
std::string unit_of(Column const& column, UnitSystem system) {
  if (column.key == "wind") return system == UnitSystem::si ? "m/s" : "mph";
  return std::string(column.kind ? sim::shown_unit(*column.kind, system) : column.unit);
}

double value_of(Column const& column, MonthSummary const& month, UnitSystem system) {
  double const value = month.*column.member;
  if (column.key == "wind") return system == UnitSystem::si ? value : sim::shown_value(value, Quantity::speed, system);
  return column.kind ? sim::shown_value(value, *column.kind, system) : value;
}

int decimals_of(Column const& column, UnitSystem system) {
  return system == UnitSystem::si ? column.decimals_si : column.decimals_us;
}

/// A comparison in the units of the system.
struct ShownComparison {
  std::string units;
  double source, generated, low, high;
};

ShownComparison shown(sim::Comparison const& row, UnitSystem system) {
  ShownComparison out{row.units, row.source, row.generated, row.low, row.high};
  if (system == UnitSystem::si) return out;
  double factor = 1.0, offset = 0.0;
  if (row.units == "mm") {
    factor = 1.0 / 25.4;
    out.units = "in";
  } else if (row.units == "degC") {
    factor = 1.8;
    offset = 32.0;
    out.units = "degF";
  } else if (row.units == "K") {
    factor = 1.8;
    out.units = "degF";
  }
  for (double* const value : {&out.source, &out.generated, &out.low, &out.high}) *value = factor * *value + offset;
  return out;
}

void print_text(sim::WeatherReport const& report, UnitSystem system) {
  std::cout << report.source << '\n';
  for (auto const& note : report.notes) std::cout << "  note: " << note << '\n';
  std::cout << "\nmonth ";
  for (auto const& column : columns) std::cout << fmt::format("{:>10}", column.shown);
  std::cout << "\n      ";
  for (auto const& column : columns) std::cout << fmt::format("{:>10}", unit_of(column, system));
  std::cout << '\n';
  auto const line = [&](std::size_t m, MonthSummary const& month) {
    if (month.years <= 0.0) return;
    std::cout << fmt::format("{:<6}", month_names[m]);
    for (auto const& column : columns) {
      std::cout << fmt::format("{:>10.{}f}", value_of(column, month, system), decimals_of(column, system));
    }
    std::cout << '\n';
  };
  for (std::size_t m = 0; m < 12; ++m) line(m, report.months[m]);
  line(12, report.year);
  std::cout << fmt::format("means of {:.1f} years; dry spell, lowest and highest are the extremes of all\n",
                           report.year.years);
  if (!report.comparison.empty()) {
    std::cout << fmt::format("\n{:<46}{:>6}{:>10}{:>10}  {:>21}  {:<5} verdict\n", "generated beside source", "month",
                             "source", "generated", "band for the source", "unit");
    int differ = 0;
    for (auto const& row : report.comparison) {
      auto const out = shown(row, system);
      differ += row.fits() ? 0 : 1;
      std::cout << fmt::format("{:<46}{:>6}{:>10.2f}{:>10.2f}  {:>9.2f} to {:>8.2f}  {:<5} {}\n", row.figure,
                               row.month == 0 ? "all" : month_names[static_cast<std::size_t>(row.month) - 1],
                               out.source, out.generated, out.low, out.high, out.units,
                               row.fits() ? "fits" : "DIFFERS");
    }
    std::cout << fmt::format("{} of {} figures fit\n", report.comparison.size() - static_cast<std::size_t>(differ),
                             report.comparison.size());
  }
  if (!report.comparison_note.empty()) std::cout << report.comparison_note << '\n';
}

void print_csv(sim::WeatherReport const& report, UnitSystem system) {
  std::cout << "table,month,figure,unit,value,source,generated,low,high,verdict\n";
  auto const month_rows = [&](std::string_view name, MonthSummary const& month) {
    if (month.years <= 0.0) return;
    for (auto const& column : columns) {
      std::cout << fmt::format("contents,{},{},{},{:.6g},,,,,\n", name, column.key, unit_of(column, system),
                               value_of(column, month, system));
    }
  };
  for (std::size_t m = 0; m < 12; ++m) month_rows(month_names[m], report.months[m]);
  month_rows("all", report.year);
  for (auto const& row : report.comparison) {
    auto const out = shown(row, system);
    std::cout << fmt::format("comparison,{},\"{}\",{},,{:.6g},{:.6g},{:.6g},{:.6g},{}\n",
                             month_names[row.month == 0 ? 12 : static_cast<std::size_t>(row.month) - 1], row.figure,
                             out.units, out.source, out.generated, out.low, out.high, row.fits() ? "fits" : "differs");
  }
}

void print_json(sim::WeatherReport const& report, UnitSystem system) {
  using nlohmann::json;
  json document{{"source", report.source}, {"notes", report.notes}, {"comparison_note", report.comparison_note}};
  json units = json::object();
  for (auto const& column : columns) units[std::string(column.key)] = unit_of(column, system);
  document["units"] = units;
  document["months"] = json::array();
  auto const row_of = [&](json label, MonthSummary const& month) {
    json row{{"month", std::move(label)}, {"years", month.years}};
    for (auto const& column : columns) row[std::string(column.key)] = value_of(column, month, system);
    return row;
  };
  for (int m = 1; m <= 12; ++m) {
    auto const& month = report.months[static_cast<std::size_t>(m) - 1];
    if (month.years > 0.0) document["months"].push_back(row_of(m, month));
  }
  document["all"] = row_of(nullptr, report.year);
  document["comparison"] = json::array();
  for (auto const& row : report.comparison) {
    auto const out = shown(row, system);
    document["comparison"].push_back({{"figure", row.figure},
                                      {"month", row.month == 0 ? json() : json(row.month)},
                                      {"unit", out.units},
                                      {"source", out.source},
                                      {"generated", out.generated},
                                      {"low", out.low},
                                      {"high", out.high},
                                      {"fits", row.fits()}});
  }
  // Names in files need not be UTF-8; what is not is replaced.
  std::cout << document.dump(2, ' ', false, json::error_handler_t::replace) << '\n';
}

int run(Arguments const& arguments) {
  CommandLine line("weather", "show what a weather source contains, and generated seasons beside it");
  line.positional("source", "SCENARIO|FILE",
                  "a scenario (.toml), or a weather file: TMY3, TMY2, EPW, GHCN-Daily, a table of hours, "
                  "days or monthly figures");
  line.options().add_options()(
      "format", po::value<std::string>()->default_value("text")->notifier(one_of("format", {"text", "csv", "json"})),
      "text, csv or json")("units",
                           po::value<std::string>()->default_value("si")->notifier(one_of("units", {"si", "us"})),
                           "si or us")("latitude", po::value<double>()->value_name("DEG"),
                                       "where a file that does not tell was measured, north positive")(
      "longitude", po::value<double>()->value_name("DEG"), "the same, east positive")(
      "utc-offset", po::value<double>()->value_name("HOURS"), "standard time there; by longitude where not given");
  line.epilogue(
      "The verdicts say whether 200 generated seasons and the source differ by more than chance. Rain is the water "
      "that\n"
      "dilutes a pool: a file without it says so.");
  int code = fine;
  auto const values = line.parse(arguments, code);
  if (!values) return code;
  auto const number = [&](char const* name) {
    return values->count(name) > 0 ? std::optional((*values)[name].as<double>()) : std::nullopt;
  };
  sim::ReportPlace const place{number("latitude"), number("longitude"), number("utc-offset")};
  if (place.latitude_deg && !(std::fabs(*place.latitude_deg) <= 90.0))
    return fault("weather", "--latitude lies between -90 and 90", wrong_usage);
  if (place.longitude_deg && !(std::fabs(*place.longitude_deg) <= 180.0))
    return fault("weather", "--longitude lies between -180 and 180", wrong_usage);
  if (place.utc_offset_h && !(std::fabs(*place.utc_offset_h) <= 14.0))
    return fault("weather", "--utc-offset lies between -14 and 14", wrong_usage);
  std::filesystem::path const path = (*values)["source"].as<std::string>();
  sim::Problems problems;
  std::optional<sim::WeatherReport> report;
  if (path.extension() == ".toml") {
    auto const scenario = sim::read_scenario(path, problems);
    if (scenario) report = sim::report_scenario_weather(*scenario, problems);
  } else {
    report = sim::report_weather_file(path, place, problems);
  }
  if (!report) {
    std::cerr << problems.text();
    return input_at_fault;
  }
  UnitSystem const system = (*values)["units"].as<std::string>() == "si" ? UnitSystem::si : UnitSystem::us;
  std::string const format = (*values)["format"].as<std::string>();
  if (format == "json") {
    print_json(*report, system);
  } else if (format == "csv") {
    print_csv(*report, system);
    for (auto const& note : report->notes) std::cerr << "brinecast weather: " << note << '\n';
  } else {
    print_text(*report, system);
  }
  return fine;
}

CommandRegistration const registration{
    {"weather", "what a weather source contains; a generated season beside it", run}};

}  // namespace

}  // namespace brinecast::tools
