#include "results/visit_story.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>

#include "results/chunk_encoder.hpp"
#include "results/schema.hpp"
#include "results/table.hpp"
#include "sim/policy/why.hpp"
#include "sim/scenario/date_text.hpp"

namespace brinecast::results {

namespace {

using sim::Quantity;

/// A number of the visit log and how people call it.
struct LogNumber {
  std::string_view variable;  // without "visit_"
  std::string_view label;
  Quantity kind;
  int decimals;  // -1: the kind's own
};

constexpr std::array readings = {LogNumber{"free_chlorine_reading", "free chlorine", Quantity::concentration, 1},
                                 LogNumber{"ph_reading", "pH", Quantity::share, 1},
                                 LogNumber{"alkalinity_reading", "alkalinity", Quantity::alkalinity, -1},
                                 LogNumber{"calcium_reading", "calcium", Quantity::calcium, -1},
                                 LogNumber{"cyanuric_acid_reading", "cyanuric acid", Quantity::cyanuric_acid, -1},
                                 LogNumber{"salt_reading", "salt", Quantity::concentration, -1},
                                 LogNumber{"unit_salt_reading", "salt shown by the unit", Quantity::concentration, -1}};

constexpr std::array doses = {LogNumber{"salt_added", "salt", Quantity::mass, 1},
                              LogNumber{"acid_added", "31.45 % acid", Quantity::chemical_volume, 2},
                              LogNumber{"bicarbonate_added", "bicarbonate", Quantity::mass, 2},
                              LogNumber{"calcium_chloride_added", "calcium chloride", Quantity::mass, 2},
                              LogNumber{"cyanuric_acid_added", "stabiliser", Quantity::mass, 2},
                              LogNumber{"liquid_chlorine_added", "liquid chlorine", Quantity::chemical_volume, 2}};

constexpr std::array expectations = {LogNumber{"expected_free_chlorine", "free chlorine", Quantity::concentration, 1},
                                     LogNumber{"expected_salt", "salt", Quantity::concentration, -1}};

/// As many decimals as Storage::reading keeps: 4.2 comes out of the file as 4.199 and goes to the user as 4.2.
double in_kept_decimals(double value) {
  if (value == 0.0 || !std::isfinite(value)) return value;
  int exponent = 0;
  std::frexp(value, &exponent);
  double const kept_step = std::ldexp(1.0, exponent - 1 - kept_mantissa_bits);
  double const power = std::pow(10.0, std::fabs(std::ceil(std::log10(kept_step))));
  return kept_step <= 1.0 ? std::round(value * power) / power : std::round(value / power) * power;
}

std::string shown(LogNumber const& number, double value, sim::UnitSystem units) {
  if (number.kind == Quantity::share) return number_text(value, number.decimals);
  // A kit counts drops of 10 mg/L, kept as 0.1 mol/m3, which are 10.009 mg/L of calcium hardness: 72 of them are 720.
  constexpr double told_in_tens_from_mg_per_L = 500.0;
  bool const hardness = number.kind == Quantity::calcium || number.kind == Quantity::alkalinity;
  if (double const mg_per_L = sim::shown_value(value, number.kind, units);
      hardness && mg_per_L >= told_in_tens_from_mg_per_L) {
    return fmt::format("{:.0f} {}", 10.0 * std::round(mg_per_L / 10.0), sim::shown_unit(number.kind, units));
  }
  return sim::format_quantity(value, number.kind, units, number.decimals);
}

/// The rows of the log that a query asks for, by time, with the columns that were read so far.
class AskedVisits {
 public:
  AskedVisits(ResultFile const& file, VisitQuery const& query) : file_(file) {
    RunDescription const& run = file.run();
    if (!file.has("visit_time") || file.shape("visit_time").front() == 0) {
      throw ResultError(file.path().string() +
                        ": no visit is logged; either none was made, or the run had visit_log = false in [outputs]");
    }
    std::size_t const pool = file.pool_named(query.pool);
    std::size_t const policy = query.policy.empty() ? 0 : file.policy_named(query.policy);
    if (query.replicate >= run.replicates) {
      throw ResultError(fmt::format("{}: there is no replicate {}; write a number below {}", file.path().string(),
                                    query.replicate, run.replicates));
    }
    auto const day_of = [&](std::chrono::sys_days date) { return static_cast<double>((date - run.first_day).count()); };
    double const from_s = query.first_day ? day_of(*query.first_day) * 86400.0 : 0.0;
    double const to_s = (query.last_day ? day_of(*query.last_day) + 1 : run.days) * 86400.0;
    auto const times = file.read("visit_time");
    auto const pools = file.read("visit_pool");
    auto const policies = file.read("visit_policy");
    auto const replicates = file.read("visit_replicate");
    for (std::size_t i = 0; i < times.size(); ++i) {
      bool const asked = pools[i] == static_cast<double>(pool) && policies[i] == static_cast<double>(policy) &&
                         replicates[i] == static_cast<double>(query.replicate) && times[i] >= from_s && times[i] < to_s;
      if (asked) rows_.push_back(i);
    }
    std::sort(rows_.begin(), rows_.end(), [&](std::size_t a, std::size_t b) { return times[a] < times[b]; });
  }

  [[nodiscard]] std::size_t size() const { return rows_.size(); }

  /// Value of one column for the n-th asked visit.
  double value(std::string const& variable, std::size_t n) {
    auto found = columns_.find(variable);
    if (found == columns_.end()) {
      auto const all = file_.read("visit_" + variable);
      bool const rounded = find_variable("visit_" + variable)->storage == Storage::reading;
      std::vector<double> asked;
      for (std::size_t const row : rows_) asked.push_back(rounded ? in_kept_decimals(all[row]) : all[row]);
      found = columns_.emplace(variable, std::move(asked)).first;
    }
    return found->second[n];
  }
  std::uint32_t bits(std::string const& variable, std::size_t n) {
    return static_cast<std::uint32_t>(value(variable, n));
  }

 private:
  ResultFile const& file_;
  std::vector<std::size_t> rows_;
  std::map<std::string, std::vector<double>> columns_;
};

std::string when(std::chrono::sys_days first_day, double time_s) {
  auto const minutes = static_cast<int>(time_s / 60.0);
  return fmt::format("{} {:02}:{:02}", sim::date_text(first_day + std::chrono::days{minutes / 1440}),
                     minutes % 1440 / 60, minutes % 60);
}

std::vector<std::string> task_words(std::uint32_t tasks) {
  std::vector<std::string> names;
  auto const all = find_variable("visit_tasks")->bit_names();
  for (std::size_t i = 0; i < all.size(); ++i) {
    if ((tasks >> i & 1U) == 0) continue;
    std::string name(all[i]);
    std::replace(name.begin(), name.end(), '_', ' ');
    names.push_back(std::move(name));
  }
  return names;
}

template <class Numbers>
std::string listed(AskedVisits& visits, std::size_t n, Numbers const& numbers, sim::UnitSystem units, bool skip_zero) {
  std::string text;
  for (LogNumber const& number : numbers) {
    double const value = visits.value(std::string(number.variable), n);
    if (std::isnan(value) || (skip_zero && value == 0.0)) continue;
    text += fmt::format("{}{} {}", text.empty() ? "" : ", ", number.label, shown(number, value, units));
  }
  return text;
}

template <class Numbers>
nlohmann::ordered_json as_json(AskedVisits& visits, std::size_t n, Numbers const& numbers) {
  nlohmann::ordered_json object = nlohmann::ordered_json::object();
  for (LogNumber const& number : numbers) {
    double const value = visits.value(std::string(number.variable), n);
    if (!std::isnan(value)) object[std::string(number.variable)] = value;
  }
  return object;
}

}  // namespace

std::string visit_story_text(ResultFile const& file, VisitQuery const& query, sim::UnitSystem units) {
  AskedVisits visits(file, query);
  RunDescription const& run = file.run();
  if (visits.size() == 0) return "no visit in the days asked for\n";
  std::string text;
  for (std::size_t n = 0; n < visits.size(); ++n) {
    auto const technician = static_cast<std::size_t>(visits.value("technician", n));
    fmt::format_to(std::back_inserter(text), "{}  {}, {:.0f} min: {}\n", when(run.first_day, visits.value("time", n)),
                   run.technicians[technician].name, visits.value("service_time", n) / 60.0,
                   sim::words_of_reasons(visits.bits("reasons", n)));
    auto const line = [&text](std::string_view head, std::string const& body) {
      if (!body.empty()) fmt::format_to(std::back_inserter(text), "  {:<9} {}\n", head, body);
    };
    line("read", listed(visits, n, readings, units, false));
    line("rules", sim::words_of_rules(visits.bits("rules", n)));
    line("lacked", sim::words_of_shortages(visits.bits("shortages", n)));
    line("added", listed(visits, n, doses, units, true));
    line("did", fmt::format("{}", fmt::join(task_words(visits.bits("tasks", n)), ", ")));
    line("left", fmt::format("output {:.0f} %, pump {:.1f} h a day", 100.0 * visits.value("output_setting", n),
                             visits.value("pump_hours", n)));
    line("expected", listed(visits, n, expectations, units, true));
  }
  return text;
}

std::string visit_story_json(ResultFile const& file, VisitQuery const& query) {
  AskedVisits visits(file, query);
  RunDescription const& run = file.run();
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (std::size_t n = 0; n < visits.size(); ++n) {
    nlohmann::ordered_json entry;
    entry["time"] = when(run.first_day, visits.value("time", n));
    entry["technician"] = run.technicians[static_cast<std::size_t>(visits.value("technician", n))].name;
    entry["reasons"] = sim::words_of_reasons(visits.bits("reasons", n));
    entry["readings"] = as_json(visits, n, readings);
    entry["rules"] = sim::words_of_rules(visits.bits("rules", n));
    entry["lacked"] = sim::words_of_shortages(visits.bits("shortages", n));
    entry["tasks"] = task_words(visits.bits("tasks", n));
    entry["doses"] = as_json(visits, n, doses);
    entry["output_setting"] = visits.value("output_setting", n);
    entry["pump_hours"] = visits.value("pump_hours", n);
    entry["expected"] = as_json(visits, n, expectations);
    entry["service_time"] = visits.value("service_time", n);
    list.push_back(std::move(entry));
  }
  return list.dump(2) + "\n";
}

}  // namespace brinecast::results
