#include "results/comparison.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>

#include "results/us_units.hpp"
#include "sim/scenario/date_text.hpp"
#include "sim/scenario/limits.hpp"
#include "sim/scenario/problems.hpp"

namespace brinecast::results {

namespace {

constexpr double days_per_month = 365.25 / 12.0;

// clang-format off: one line a figure
std::vector<Figure> const all_figures = {
    {"free_chlorine_in_range", "free chlorine in range", FigureKind::share, "free_chlorine_in_range",
     "month_free_chlorine_in_range", "%", "%", 100, 100, 1, Better::more, true},
    {"free_chlorine_low", "free chlorine too low", FigureKind::share, "free_chlorine_low", "", "%", "%", 100, 100, 1,
     Better::less, false},
    {"free_chlorine_high", "free chlorine too high", FigureKind::share, "free_chlorine_high", "", "%", "%", 100, 100, 1,
     Better::less, false},
    {"ph_in_range", "pH in range", FigureKind::share, "ph_in_range", "", "%", "%", 100, 100, 1, Better::more, false},
    {"saturation_in_range", "saturation index in range", FigureKind::share, "saturation_in_range", "", "%", "%", 100,
     100, 1, Better::more, false},
    {"salt_in_range", "salt in range", FigureKind::share, "salt_in_range", "", "%", "%", 100, 100, 1, Better::more,
     false},
    {"days_without_production", "days without production", FigureKind::mean_per_pool, "days_without_production", "",
     "d/pool", "d/pool", 1, 1, 2, Better::less, true},
    {"cloudy_hours", "cloudy water", FigureKind::mean_per_pool, "cloudy_hours", "", "h/pool", "h/pool", 1, 1, 1,
     Better::less, false},
    {"call_outs", "call-outs", FigureKind::total, "call_outs", "month_call_outs", "", "", 1, 1, 1, Better::less, true},
    {"complaints", "complaints", FigureKind::total, "complaints", "", "", "", 1, 1, 1, Better::less, false},
    {"lost_customers", "customers lost", FigureKind::total, "lost_customers", "", "", "", 1, 1, 2, Better::less, false},
    {"visits", "visits", FigureKind::total, "visits", "month_visits", "", "", 1, 1, 0, Better::neither, true},
    {"late_visits", "late visits", FigureKind::total, "late_visits", "month_late_visits", "", "", 1, 1, 1, Better::less,
     false},
    {"missed_visits", "missed visits", FigureKind::total, "missed_visits", "month_missed_visits", "", "", 1, 1, 1,
     Better::less, true},
    {"service_time", "work at pools", FigureKind::total, "service_time", "month_service_time", "h", "h", 1.0 / 3600,
     1.0 / 3600, 0, Better::less, true},
    {"driving_time", "driving", FigureKind::total, "driving_time", "month_driving_time", "h", "h", 1.0 / 3600,
     1.0 / 3600, 0, Better::less, false},
    {"driving_distance", "distance driven", FigureKind::fleet_total, "", "month_driving_distance", "km", "mi", 1e-3,
     miles_per_m, 0, Better::less, false},
    {"overtime", "overtime", FigureKind::fleet_total, "", "month_overtime", "h", "h", 1.0 / 3600, 1.0 / 3600, 1,
     Better::less, false},
    {"salt_added", "salt", FigureKind::total, "salt_added", "month_salt_added", "kg", "lb", 1, pounds_per_kg, 0,
     Better::less, true},
    {"acid_added", "acid (31.45 %)", FigureKind::total, "acid_added", "month_acid_added", "L", "gal", 1000,
     us_gallons_per_m3, 0, Better::less, true},
    {"bicarbonate_added", "bicarbonate", FigureKind::total, "bicarbonate_added", "month_bicarbonate_added", "kg", "lb",
     1, pounds_per_kg, 0, Better::less, false},
    {"calcium_chloride_added", "calcium chloride", FigureKind::total, "calcium_chloride_added",
     "month_calcium_chloride_added", "kg", "lb", 1, pounds_per_kg, 0, Better::less, false},
    {"cyanuric_acid_added", "stabiliser (cyanuric acid)", FigureKind::total, "cyanuric_acid_added",
     "month_cyanuric_acid_added", "kg", "lb", 1, pounds_per_kg, 0, Better::less, false},
    {"liquid_chlorine_added", "liquid chlorine (12.5 %)", FigureKind::total, "liquid_chlorine_added",
     "month_liquid_chlorine_added", "L", "gal", 1000, us_gallons_per_m3, 0, Better::less, false},
    {"fill_water", "fill water", FigureKind::total, "fill_water", "month_fill_water", "m3", "kgal", 1,
     us_gallons_per_m3 / 1000, 0, Better::less, false},
    {"cell_cleanings", "cell cleanings", FigureKind::total, "cell_cleanings", "month_cell_cleanings", "", "", 1, 1, 1,
     Better::neither, false},
    {"cells_replaced", "cells replaced", FigureKind::total, "cells_replaced", "month_cells_replaced", "", "", 1, 1, 1,
     Better::less, false},
    {"innocent_cleanings", "cleanings of a cell without scale", FigureKind::total, "innocent_cleanings", "", "", "", 1,
     1, 1, Better::less, false},
    {"freeze_breaks", "frost repairs", FigureKind::total, "freeze_breaks", "", "", "", 1, 1, 1, Better::less, false},
    {"shortages", "visits short of a supply", FigureKind::total, "shortages", "month_shortages", "", "", 1, 1, 1,
     Better::less, false},
    {"cost", "cost per pool and month", FigureKind::per_pool_month, "cost", "month_cost", "currency", "currency", 1, 1,
     2, Better::less, true},
    {"revenue", "revenue per pool and month", FigureKind::per_pool_month, "revenue", "month_revenue", "currency",
     "currency", 1, 1, 2, Better::more, false},
    {"margin", "margin per pool and month", FigureKind::margin, "revenue", "month_revenue", "currency", "currency", 1,
     1, 2, Better::more, true},
};
// clang-format on

/// Values of one figure, [policy][replicate].
using Samples = std::vector<std::vector<double>>;

/// Arrays of the file, read once.
class Arrays {
 public:
  explicit Arrays(ResultFile const& file) : file_(file) {}
  std::vector<double> const& of(std::string_view variable) {
    auto const found = arrays_.find(variable);
    return found != arrays_.end() ? found->second : arrays_.emplace(variable, file_.read(variable)).first->second;
  }

 private:
  ResultFile const& file_;
  std::map<std::string_view, std::vector<double>> arrays_;
};

class Sampler {
 public:
  explicit Sampler(ResultFile const& file)
      : run_(file.run()), arrays_(file), replicates_(file.paired_replicates()), months_(month_starts(run_).size()) {
    std::vector<double> days(months_, 0.0);
    for (auto const month : month_of_days(run_)) days[month] += 1.0;
    month_days_ = days;
  }

  [[nodiscard]] std::vector<std::uint32_t> const& replicates() const { return replicates_; }

  /// A figure over a group of pools for the whole season; empty when it is not known per pool and the group is not the
  /// whole fleet.
  Samples of_pools(Figure const& figure, std::vector<std::size_t> const& pools) {
    if (figure.kind == FigureKind::fleet_total) {
      return pools.size() == run_.pools.size() ? of_months(figure) : Samples{};
    }
    auto const& values = arrays_.of(figure.variable);
    double const pool_months = static_cast<double>(pools.size()) * run_.days / days_per_month;
    return sampled([&](std::size_t policy, std::uint32_t replicate) {
      std::size_t const row = (policy * run_.replicates + replicate) * run_.pools.size();
      auto const sum = [&](std::vector<double> const& array) {
        double total = 0.0;
        for (auto const pool : pools) total += array[row + pool];
        return total;
      };
      switch (figure.kind) {
        case FigureKind::share: {
          auto const& hours = arrays_.of("open_hours");
          double in = 0.0;
          for (auto const pool : pools) {
            // A pool that was never open has no share; it weighs nothing.
            if (hours[row + pool] > 0.0) in += values[row + pool] * hours[row + pool];
          }
          return in / sum(hours);
        }
        case FigureKind::mean_per_pool:
          return sum(values) / static_cast<double>(pools.size());
        case FigureKind::per_pool_month:
          return sum(values) / pool_months;
        case FigureKind::margin:
          return (sum(values) - sum(arrays_.of("cost"))) / pool_months;
        default:
          return sum(values);
      }
    });
  }

  /// A figure of the whole fleet in one month; empty when it is not known by month.
  Samples of_month(Figure const& figure, std::size_t month) {
    if (figure.month_variable.empty()) return {};
    auto const& values = arrays_.of(figure.month_variable);
    double const pool_months = static_cast<double>(run_.pools.size()) * month_days_[month] / days_per_month;
    return sampled([&](std::size_t policy, std::uint32_t replicate) {
      std::size_t const at = (policy * run_.replicates + replicate) * months_ + month;
      switch (figure.kind) {
        case FigureKind::per_pool_month:
          return values[at] / pool_months;
        case FigureKind::margin:
          return (values[at] - arrays_.of("month_cost")[at]) / pool_months;
        default:
          return values[at];
      }
    });
  }

 private:
  Samples of_months(Figure const& figure) {
    auto const& values = arrays_.of(figure.month_variable);
    return sampled([&](std::size_t policy, std::uint32_t replicate) {
      auto const at = values.begin() + static_cast<std::ptrdiff_t>((policy * run_.replicates + replicate) * months_);
      return std::accumulate(at, at + static_cast<std::ptrdiff_t>(months_), 0.0);
    });
  }

  template <class Value>
  Samples sampled(Value const& value) const {
    Samples samples(run_.policies.size());
    for (std::size_t policy = 0; policy < samples.size(); ++policy) {
      for (auto const replicate : replicates_) samples[policy].push_back(value(policy, replicate));
    }
    return samples;
  }

  RunDescription const& run_;
  Arrays arrays_;
  std::vector<std::uint32_t> replicates_;
  std::size_t months_;
  std::vector<double> month_days_;
};

std::vector<PolicyFigure> inferred(Samples samples, Figure const& figure, std::size_t baseline, double factor) {
  for (auto& values : samples) {
    for (double& value : values) value *= factor;
  }
  std::vector<PolicyFigure> policies(samples.size());
  std::vector<double> best(samples.size(), std::numeric_limits<double>::quiet_NaN());
  bool const defined = std::none_of(samples.begin(), samples.end(), [](auto const& values) {
    return std::any_of(values.begin(), values.end(), [](double value) { return std::isnan(value); });
  });
  if (figure.better != Better::neither && defined) best = probability_best(samples, figure.better == Better::more);
  std::vector<double> p_values;
  for (std::size_t p = 0; p < samples.size(); ++p) {
    policies[p].value = mean_interval(samples[p]);
    policies[p].probability_best = best[p];
    if (p == baseline) continue;
    policies[p].difference = paired_difference(samples[p], samples[baseline], samples.size() - 1);
    p_values.push_back(policies[p].difference->p_value);
  }
  auto const adjusted = holm_adjusted(p_values);
  std::size_t next = 0;
  for (auto& policy : policies) {
    if (policy.difference) policy.difference->adjusted_p_value = adjusted[next++];
  }
  return policies;
}

std::vector<std::size_t> all_pools(RunDescription const& run) {
  std::vector<std::size_t> pools(run.pools.size());
  std::iota(pools.begin(), pools.end(), std::size_t{0});
  return pools;
}

// The verdict ------------------------------------------------------------------------------------------------------

struct Ranking {
  std::size_t best = 0, second = 0;
};

Ranking ranked(Samples const& samples, bool higher_is_better) {
  std::vector<std::size_t> order(samples.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  auto const mean = [&](std::size_t p) { return mean_interval(samples[p]).mean; };
  std::stable_sort(order.begin(), order.end(),
                   [&](auto a, auto b) { return higher_is_better ? mean(a) > mean(b) : mean(a) < mean(b); });
  return {order[0], order.size() > 1 ? order[1] : order[0]};
}

/// The policies whose figures are those of `policy` in every season, itself among them.
std::vector<std::size_t> equals_of(Samples const& samples, std::size_t policy) {
  std::vector<std::size_t> equals;
  for (std::size_t p = 0; p < samples.size(); ++p) {
    if (samples[p] == samples[policy]) equals.push_back(p);
  }
  return equals;
}

/// "a, b and c"
std::string listed(RunDescription const& run, std::vector<std::size_t> const& policies) {
  std::string text;
  for (std::size_t i = 0; i < policies.size(); ++i) {
    text += i == 0 ? "" : i + 1 < policies.size() ? ", " : " and ";
    text += run.policies[policies[i]].name;
  }
  return text;
}

std::string percent_of_resamplings(double probability) {
  if (probability >= 1.0) return fmt::format("all of {} resamplings", resamplings);
  return fmt::format("{:.1f} % of {} resamplings", 100.0 * probability, resamplings);
}

std::string verdict_of(Sampler& sampler, RunDescription const& run) {
  auto const pools = all_pools(run);
  auto const margins = sampler.of_pools(*find_figure("margin"), pools);
  auto const shares = sampler.of_pools(*find_figure("free_chlorine_in_range"), pools);
  std::size_t const replicates = sampler.replicates().size();
  auto const& names = run.policies;
  auto const of_all = [&](std::string_view figure) { return sampler.of_pools(*find_figure(figure), pools); };
  auto const zero = [](Samples const& samples) {
    return std::all_of(samples.begin(), samples.end(), [](auto const& policy) {
      return std::all_of(policy.begin(), policy.end(), [](double value) { return value == 0.0; });
    });
  };
  auto const revenues = of_all("revenue");
  bool const fees = !zero(revenues);
  if (names.size() < 2) {
    auto const margin = mean_interval(margins[0]);
    return fmt::format("Only {} was simulated, so nothing can be compared; its margin is {:.2f} {} per pool and month.",
                       names[0].name, margin.mean, run.currency);
  }
  auto const [best, second] = ranked(margins, true);
  auto const equals = equals_of(margins, best);
  if (replicates < 2) {
    std::string_view const lead = fees ? "earned the most" : "cost the least";
    std::string_view const tie = fees ? "earned the same" : "cost the same";
    return fmt::format(
        "{} {} in the one season simulated; one season says nothing about how sure that is. "
        "Use at least 20 replicates.",
        listed(run, equals),
        equals.size() == 1              ? std::string(lead)
        : equals.size() == names.size() ? std::string(tie)
                                        : fmt::format("{}, {} than the others,", tie, fees ? "more" : "less"));
  }
  // The best is compared with every other policy, and the interval covers all of these comparisons together.
  auto const difference = paired_difference(margins[best], margins[second], names.size() - 1);
  bool const separated = difference.simultaneous.low > 0.0;
  std::string text;
  if (separated) {
    text = fmt::format(
        "{} {}: {:.2f} {} per pool and month {} than {} (95 % interval{} {:.2f} to {:.2f}, paired over {} "
        "seasons; best in {}), or {:.0f} {} for the fleet and season.",
        names[best].name, fees ? "earns the most" : "costs the least", difference.interval.mean, run.currency,
        fees ? "more" : "less", names[second].name, names.size() > 2 ? " over all comparisons" : "",
        difference.simultaneous.low, difference.simultaneous.high, replicates,
        percent_of_resamplings(probability_best(margins, true)[best]),
        difference.interval.mean * static_cast<double>(pools.size()) * run.days / days_per_month, run.currency);
  } else if (equals.size() > 1) {
    text = fmt::format("No policy {}: {} come to the same in every season.",
                       fees ? "earns clearly the most" : "costs clearly the least", listed(run, equals));
  } else {
    double const needed = difference.replicates_to_separate;
    text = fmt::format(
        "No policy {}: {} leads {} by {:.2f} {} per pool and month, but the 95 % interval, {:.2f} "
        "to {:.2f}, holds zero; {}.",
        fees ? "earns clearly the most" : "costs clearly the least", names[best].name, names[second].name,
        difference.interval.mean, run.currency, difference.simultaneous.low, difference.simultaneous.high,
        needed > sim::most_replicates ? std::string("on average they come to the same")
        : needed > static_cast<double>(replicates)
            ? fmt::format("about {:.0f} replicates would separate them, {:.0f} more", needed,
                          needed - static_cast<double>(replicates))
            : std::string("more replicates may separate them"));
  }
  bool const same_fees = std::all_of(revenues.begin(), revenues.end(), [&](auto const& r) { return r == revenues[0]; });
  if (fees && same_fees && zero(of_all("lost_customers"))) {
    text += " Fees are the same under all policies, and no customer leaves over the water.";
  }
  bool const open = std::none_of(shares.begin(), shares.end(),
                                 [](auto const& policy) { return std::isnan(mean_interval(policy).mean); });
  std::size_t const cleanest = open ? ranked(shares, true).best : best;
  double const percent = 100.0;
  auto const share = [&](std::size_t p) { return percent * mean_interval(shares[p]).mean; };
  // "It" is a policy that the text has named for the best; where none is, a policy goes by its name.
  std::string const& leader = names[best].name;
  if (!open) {
    text += " No pool was open under at least one policy, so that nothing is said of the water.";
  } else if (auto const as_clean = equals_of(shares, best); as_clean.size() == names.size()) {
    text += fmt::format(" Free chlorine is in range {:.1f} % of the time under every policy.", share(best));
  } else if (shares[cleanest] == shares[best]) {
    text += as_clean.size() > 1
                ? fmt::format(" Free chlorine is in range for the longest under {}", listed(run, as_clean))
                : fmt::format(" {} free chlorine in range for the longest",
                              separated ? "It also keeps" : leader + " keeps");
    text += fmt::format(": {:.1f} % of the time.", share(best));
  } else {
    auto const loss = paired_difference(shares[best], shares[cleanest], names.size() - 1).simultaneous;
    if (loss.high < 0.0) {
      text += fmt::format(
          " {} costs water quality: free chlorine is in range {:.1f} % of the time against {:.1f} % under {} "
          "({:.1f} points, {:.1f} to {:.1f}).",
          separated ? "It" : leader, share(best), share(cleanest), names[cleanest].name, percent * loss.mean,
          percent * loss.low, percent * loss.high);
    } else {
      text += fmt::format(" {} is in range {:.1f} % of the time, not distinguishable from the best, {:.1f} % under {}.",
                          separated ? "Free chlorine" : "Under " + leader + " free chlorine", share(best),
                          share(cleanest), names[cleanest].name);
    }
  }
  auto const lost = of_all("lost_customers");
  std::size_t const keenest = ranked(lost, false).best;
  if (paired_difference(lost[best], lost[keenest], names.size() - 1).simultaneous.low > 0.0) {
    text += fmt::format(
        " {} loses customers, and with them their fees from then on: {:.1f} of {} in the season against {:.1f} under "
        "{}.",
        leader, mean_interval(lost[best]).mean, pools.size(), mean_interval(lost[keenest]).mean, names[keenest].name);
  }
  double const lacking = mean_interval(of_all("shortages")[best]).mean;
  if (lacking >= 0.5) {
    text += fmt::format(" Under {} {:.0f} visits a season lacked a supply, and what was not used cost nothing.",
                        names[best].name, lacking);
  }
  return text;
}

}  // namespace

std::vector<Figure> const& figures() { return all_figures; }

Figure const* find_figure(std::string_view name) {
  auto const found =
      std::find_if(all_figures.begin(), all_figures.end(), [&](auto const& f) { return f.name == name; });
  return found == all_figures.end() ? nullptr : &*found;
}

std::string units_of(Figure const& figure, Units units, std::string const& currency) {
  auto const text = units == Units::si ? figure.si_units : figure.us_units;
  return text == "currency" ? currency : std::string(text);
}

double factor_of(Figure const& figure, Units units) { return units == Units::si ? figure.si_factor : figure.us_factor; }

Comparison compare(ResultFile const& file, ComparisonOptions const& options) {
  Comparison comparison;
  comparison.run = file.run();
  auto const& run = comparison.run;
  comparison.baseline = options.baseline.empty() ? 0 : file.policy_named(options.baseline);
  comparison.units = options.units;
  Sampler sampler(file);
  comparison.replicates = sampler.replicates().size();
  if (comparison.replicates == 0) {
    throw ResultError(fmt::format("{}: no replicate is complete under every policy; finish the run with --resume",
                                  file.path().string()));
  }
  auto const add_group = [&](std::string name, std::size_t pools, bool headlines_only, auto const& samples_of) {
    GroupComparison group{std::move(name), pools, {}};
    for (auto const& figure : figures()) {
      if (headlines_only && !figure.headline) continue;
      auto samples = samples_of(figure);
      if (samples.empty()) continue;
      group.figures.push_back(
          {&figure, inferred(std::move(samples), figure, comparison.baseline, factor_of(figure, options.units))});
    }
    comparison.groups.push_back(std::move(group));
  };
  auto const fleet = all_pools(run);
  add_group("whole fleet", fleet.size(), false, [&](Figure const& figure) { return sampler.of_pools(figure, fleet); });
  if (options.grouping == Grouping::month) {
    auto const starts = month_starts(run);
    for (std::size_t month = 0; month < starts.size(); ++month) {
      add_group(sim::date_text(starts[month]).substr(0, 7), fleet.size(), true,
                [&](Figure const& figure) { return sampler.of_month(figure, month); });
    }
  } else if (options.grouping != Grouping::none) {
    std::map<std::string, std::vector<std::size_t>> groups;
    for (auto const pool : fleet) {
      auto const& entry = run.pools[pool];
      groups[options.grouping == Grouping::pool_class ? entry.pool_class : entry.neighbourhood].push_back(pool);
    }
    for (auto const& [name, pools] : groups) {
      add_group(name.empty() ? "(none)" : name, pools.size(), true,
                [&, &members = pools](Figure const& figure) { return sampler.of_pools(figure, members); });
    }
  }
  if (options.pools > 0) {
    Figure const* const figure = find_figure(options.figure);
    if (figure == nullptr || figure->kind == FigureKind::fleet_total) {
      std::vector<std::string> known;
      for (auto const& each : figures()) {
        if (each.kind != FigureKind::fleet_total) known.emplace_back(each.name);
      }
      std::string const near = sim::nearest_word(options.figure, known);
      throw ResultError(fmt::format(
          "no figure of single pools is called \"{}\"; {}", options.figure,
          near.empty() ? fmt::format("known are {}", fmt::join(known, ", ")) : "did you mean " + near + "?"));
    }
    comparison.pools_figure = figure;
    for (auto const pool : fleet) {
      comparison.pools.push_back({pool, inferred(sampler.of_pools(*figure, {pool}), *figure, comparison.baseline,
                                                 factor_of(*figure, options.units))});
    }
    // Most harmed by any other policy first; a single policy lists its worst pools.
    double const sign = figure->better == Better::more ? 1.0 : -1.0;
    auto const merit = [&](PoolComparison const& pool) {
      double worst = std::numeric_limits<double>::infinity();
      for (auto const& policy : pool.policies) {
        if (policy.difference) worst = std::min(worst, sign * policy.difference->interval.mean);
        if (pool.policies.size() == 1) worst = sign * policy.value.mean;
      }
      return std::isnan(worst) ? std::numeric_limits<double>::infinity() : worst;
    };
    std::stable_sort(comparison.pools.begin(), comparison.pools.end(),
                     [&](auto const& a, auto const& b) { return merit(a) < merit(b); });
    comparison.pools.resize(std::min(options.pools, comparison.pools.size()));
  }
  comparison.verdict = verdict_of(sampler, run);
  return comparison;
}

}  // namespace brinecast::results
