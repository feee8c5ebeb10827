// A comparison as text for people, CSV for spreadsheets and JSON for programs.

#include <fmt/format.h>

#include <cmath>
#include <iterator>
#include <nlohmann/json.hpp>

#include "results/comparison.hpp"
#include "results/table.hpp"

namespace brinecast::results {

namespace {

std::string label_of(Figure const& figure, Comparison const& comparison) {
  auto const units = units_of(figure, comparison.units, comparison.run.currency);
  return units.empty() ? std::string(figure.label) : fmt::format("{}, {}", figure.label, units);
}

std::string difference_text(PairedDifference const& difference, int decimals) {
  auto const signed_text = [&](double value) { return signed_number(value, decimals); };
  auto const& [mean, low, high] = difference.interval;
  if (std::isnan(low)) return signed_text(mean);
  return fmt::format("{} ({} to {}){}", signed_text(mean), signed_text(low), signed_text(high),
                     difference.adjusted_p_value < 1.0 - confidence ? "*" : " ");
}

void append_group(std::string& text, Comparison const& comparison, GroupComparison const& group) {
  auto const& policies = comparison.run.policies;
  auto out = std::back_inserter(text);
  fmt::format_to(out, "\n{} ({})\n", group.name, count_text(group.pools, "pool"));
  std::vector<std::vector<std::string>> values = {{"mean of a season"}};
  for (auto const& policy : policies) values[0].push_back(policy.name);
  for (auto const& each : group.figures) {
    values.push_back({label_of(*each.figure, comparison)});
    for (auto const& policy : each.policies) {
      values.back().push_back(number_text(policy.value.mean, each.figure->decimals));
    }
  }
  text += table_text(values);
  if (policies.size() < 2) return;
  std::vector<std::vector<std::string>> differences = {{fmt::format(
      "difference to {}{}", policies[comparison.baseline].name, comparison.replicates > 1 ? " (95 % interval)" : "")}};
  for (std::size_t p = 0; p < policies.size(); ++p) {
    // Room for the star under the name.
    if (p != comparison.baseline) differences[0].push_back(policies[p].name + (comparison.replicates > 1 ? " " : ""));
  }
  for (auto const& each : group.figures) {
    differences.push_back({label_of(*each.figure, comparison)});
    for (auto const& policy : each.policies) {
      if (policy.difference) differences.back().push_back(difference_text(*policy.difference, each.figure->decimals));
    }
  }
  text += "\n" + table_text(differences);
}

/// Which policy is best, figure by figure of the whole fleet.
std::string chances_table(Comparison const& comparison) {
  std::vector<std::vector<std::string>> rows = {{"chance of being best, %"}};
  for (auto const& policy : comparison.run.policies) rows[0].push_back(policy.name);
  for (auto const& each : comparison.groups.front().figures) {
    if (!each.figure->headline || each.figure->better == Better::neither) continue;
    rows.push_back({std::string(each.figure->label)});
    for (auto const& policy : each.policies) rows.back().push_back(number_text(100.0 * policy.probability_best, 1));
  }
  return table_text(rows);
}

nlohmann::json number(double value) { return std::isfinite(value) ? nlohmann::json(value) : nlohmann::json(nullptr); }

nlohmann::json interval_json(Interval const& interval) {
  return {{"mean", number(interval.mean)}, {"low", number(interval.low)}, {"high", number(interval.high)}};
}

nlohmann::json policies_json(Comparison const& comparison, std::vector<PolicyFigure> const& figures) {
  auto list = nlohmann::json::array();
  for (std::size_t p = 0; p < figures.size(); ++p) {
    auto entry = interval_json(figures[p].value);
    entry["policy"] = comparison.run.policies[p].name;
    entry["probability_best"] = number(figures[p].probability_best);
    if (auto const& difference = figures[p].difference) {
      entry["difference"] = interval_json(difference->interval);
      entry["difference"]["simultaneous_low"] = number(difference->simultaneous.low);
      entry["difference"]["simultaneous_high"] = number(difference->simultaneous.high);
      entry["difference"]["p_value"] = number(difference->p_value);
      entry["difference"]["adjusted_p_value"] = number(difference->adjusted_p_value);
      entry["difference"]["replicates_to_separate"] = number(difference->replicates_to_separate);
    }
    list.push_back(std::move(entry));
  }
  return list;
}

}  // namespace

std::string comparison_text(Comparison const& comparison) {
  auto const& run = comparison.run;
  std::string text = fmt::format("{}: {}, {}, {}, seed {}\n", run.scenario_name, count_text(run.pools.size(), "pool"),
                                 count_text(static_cast<std::size_t>(run.days), "day"),
                                 count_text(comparison.replicates, "paired replicate"), run.seed);
  for (auto const& group : comparison.groups) append_group(text, comparison, group);
  if (run.policies.size() > 1 && comparison.replicates > 1) {
    text += "\n" + chances_table(comparison) +
            "\n* differs from the baseline at the 5 % level, corrected over the policies of a line (Holm);\n"
            "  intervals hold for each line alone, those of the closing sentence for all comparisons (Bonferroni)\n";
  }
  if (comparison.pools_figure != nullptr) {
    auto const& figure = *comparison.pools_figure;
    std::vector<std::vector<std::string>> rows = {{"pool", "class", "neighbourhood"}};
    for (auto const& policy : run.policies) rows[0].push_back(policy.name);
    for (auto const& pool : comparison.pools) {
      auto const& entry = run.pools[pool.pool];
      rows.push_back({entry.name, entry.pool_class, entry.neighbourhood});
      for (auto const& policy : pool.policies) {
        rows.back().push_back(number_text(policy.value.mean, figure.decimals));
      }
    }
    text +=
        fmt::format("\npools behind \"{}\", most affected first\n", label_of(figure, comparison)) + table_text(rows, 3);
  }
  return text + "\n" + wrapped(comparison.verdict) + "\n";
}

std::string comparison_csv(Comparison const& comparison) {
  auto const& run = comparison.run;
  std::string text =
      "group,pools,figure,units,policy,mean,low,high,probability_best,difference,difference_low,difference_high,"
      "simultaneous_low,simultaneous_high,p_value,adjusted_p_value,replicates_to_separate\n";
  auto const row = [&](std::string const& group, std::size_t pools, Figure const& figure, std::size_t policy,
                       PolicyFigure const& value) {
    text += fmt::format("{},{},{},{},{},{},{},{},{}", csv_field(group), pools, figure.name,
                        csv_field(units_of(figure, comparison.units, run.currency)),
                        csv_field(run.policies[policy].name), csv_number(value.value.mean), csv_number(value.value.low),
                        csv_number(value.value.high), csv_number(value.probability_best));
    if (auto const& difference = value.difference) {
      text += fmt::format(",{},{},{},{},{},{},{},{}\n", csv_number(difference->interval.mean),
                          csv_number(difference->interval.low), csv_number(difference->interval.high),
                          csv_number(difference->simultaneous.low), csv_number(difference->simultaneous.high),
                          csv_number(difference->p_value), csv_number(difference->adjusted_p_value),
                          csv_number(difference->replicates_to_separate));
    } else {
      text += ",,,,,,,,\n";
    }
  };
  for (auto const& group : comparison.groups) {
    for (auto const& each : group.figures) {
      for (std::size_t p = 0; p < each.policies.size(); ++p)
        row(group.name, group.pools, *each.figure, p, each.policies[p]);
    }
  }
  for (auto const& pool : comparison.pools) {
    for (std::size_t p = 0; p < pool.policies.size(); ++p) {
      row("pool " + run.pools[pool.pool].name, 1, *comparison.pools_figure, p, pool.policies[p]);
    }
  }
  return text;
}

std::string comparison_json(Comparison const& comparison) {
  auto const& run = comparison.run;
  nlohmann::json json = {
      {"format", "brinecast comparison"},
      {"format_version", 1},
      {"scenario", run.scenario_name},
      {"seed", run.seed},
      {"replicates", comparison.replicates},
      {"confidence", confidence},
      {"correction", "p values: Holm; simultaneous intervals: Bonferroni; over the policies of a figure"},
      {"baseline", run.policies[comparison.baseline].name},
      {"verdict", comparison.verdict},
      {"groups", nlohmann::json::array()}};
  for (auto const& group : comparison.groups) {
    nlohmann::json entry = {{"name", group.name}, {"pools", group.pools}, {"figures", nlohmann::json::array()}};
    for (auto const& each : group.figures) {
      entry["figures"].push_back({{"figure", each.figure->name},
                                  {"units", units_of(*each.figure, comparison.units, run.currency)},
                                  {"policies", policies_json(comparison, each.policies)}});
    }
    json["groups"].push_back(std::move(entry));
  }
  if (comparison.pools_figure != nullptr) {
    nlohmann::json list = nlohmann::json::array();
    for (auto const& pool : comparison.pools) {
      auto const& entry = run.pools[pool.pool];
      list.push_back({{"pool", entry.name},
                      {"class", entry.pool_class},
                      {"neighbourhood", entry.neighbourhood},
                      {"policies", policies_json(comparison, pool.policies)}});
    }
    json["pools"] = {{"figure", comparison.pools_figure->name}, {"list", std::move(list)}};
  }
  return json.dump(2) + "\n";
}

}  // namespace brinecast::results
