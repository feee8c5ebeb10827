#include "results/supplies.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numeric>

#include "results/schema.hpp"
#include "sim/policy/why.hpp"
#include "sim/scenario/policy_spec.hpp"

namespace brinecast::results {

namespace {

constexpr double no_number = std::numeric_limits<double>::quiet_NaN();
constexpr double seconds_per_hour = 3600.0;

/// Where the file keeps a material: its use by month, its use at a visit ("" counts replaced cells), and its bit among
/// what a visit lacked.
struct MaterialSource {
  std::string_view supply, month_variable, visit_variable;
  sim::Shortage shortage;
};
constexpr std::array material_sources = {
    MaterialSource{"salt", "month_salt_added", "visit_salt_added", sim::Shortage::salt},
    MaterialSource{"acid", "month_acid_added", "visit_acid_added", sim::Shortage::acid},
    MaterialSource{"bicarbonate", "month_bicarbonate_added", "visit_bicarbonate_added", sim::Shortage::bicarbonate},
    MaterialSource{"calcium_chloride", "month_calcium_chloride_added", "visit_calcium_chloride_added",
                   sim::Shortage::calcium_chloride},
    MaterialSource{"cyanuric_acid", "month_cyanuric_acid_added", "visit_cyanuric_acid_added",
                   sim::Shortage::cyanuric_acid},
    MaterialSource{"liquid_chlorine", "month_liquid_chlorine_added", "visit_liquid_chlorine_added",
                   sim::Shortage::liquid_chlorine},
    MaterialSource{"cells", "month_cells_replaced", "", sim::Shortage::cell}};

/// Values of one replicate each, [replicate][entry].
using Samples = std::vector<std::vector<double>>;

Quantiles quantiles_of(std::vector<double> const& values) {
  return {sample_quantile(values, 0.1), sample_quantile(values, 0.5), sample_quantile(values, 0.9)};
}

/// Last Monday to Friday by which an order has to go out so that it arrives by `day`; lead times count all days.
std::chrono::sys_days order_day(std::chrono::sys_days day, SupplyEntry const& supply) {
  auto by = day - std::chrono::days{static_cast<int>(std::ceil(supply.lead_time_d))};
  while (std::chrono::weekday{by} == std::chrono::Saturday || std::chrono::weekday{by} == std::chrono::Sunday) {
    by -= std::chrono::days{1};
  }
  return by;
}

std::vector<double> column(Samples const& samples, std::size_t at) {
  std::vector<double> values;
  for (auto const& sample : samples) values.push_back(sample[at]);
  return values;
}

/// Seasons that may fall short so that a season yet to come does with a chance of at most `stock_out_share`: it exceeds
/// the k-th largest of n like seasons with chance k / (n + 1), whatever their distribution. With too few seasons for
/// that, none may.
std::size_t allowed_short(std::size_t seasons) {
  auto const reachable = static_cast<std::size_t>(stock_out_share * static_cast<double>(seasons + 1));
  return reachable > 0 ? reachable - 1 : 0;
}

/// The level that a season yet to come exceeds with a chance of at most `stock_out_share`.
double safe_level(std::vector<double> values) {
  if (values.empty()) return no_number;
  std::sort(values.begin(), values.end());
  return values[values.size() - 1 - allowed_short(values.size())];
}

/// Cumulative stock to have at the start of each month, [month], so that it runs out in any month of no more seasons
/// than `allowed_short`. Each month takes the same order statistic of the cumulative use; the lowest one that holds for
/// the months together is taken.
std::vector<double> safe_cumulative(Samples const& cumulative) {
  std::size_t const seasons = cumulative.size(), months = cumulative.front().size();
  std::size_t const allowed = allowed_short(seasons);
  std::vector<std::vector<double>> sorted;
  for (std::size_t m = 0; m < months; ++m) {
    sorted.push_back(column(cumulative, m));
    std::sort(sorted.back().begin(), sorted.back().end());
  }
  for (std::size_t rank = seasons - 1 - allowed;; ++rank) {
    std::vector<double> stock;
    for (auto const& values : sorted) stock.push_back(values[rank]);
    auto const runs_out = [&](std::vector<double> const& use) {
      return std::mismatch(use.begin(), use.end(), stock.begin(), std::less_equal<>{}).first != use.end();
    };
    auto const short_seasons = std::count_if(cumulative.begin(), cumulative.end(), runs_out);
    if (static_cast<std::size_t>(short_seasons) <= allowed || rank + 1 == seasons) return stock;
  }
}

/// The largest entry of each season.
std::vector<double> largest_of(Samples const& seasons) {
  std::vector<double> largest;
  for (auto const& season : seasons) largest.push_back(*std::max_element(season.begin(), season.end()));
  return largest;
}

/// The largest use in any `window` days in a row.
double largest_window(std::vector<double> const& daily, std::size_t window) {
  double sum = 0.0, largest = 0.0;
  for (std::size_t d = 0; d < daily.size(); ++d) {
    sum += daily[d];
    if (d >= window) sum -= daily[d - window];
    largest = std::max(largest, sum);
  }
  return largest;
}

/// The visit log's lines of one policy.
struct Visits {
  std::vector<std::size_t> lines, replicate, technician, day;
  std::vector<std::uint32_t> shortages;
};

class Planner {
 public:
  Planner(ResultFile const& file, SuppliesOptions const& options) : file_(file), run_(file.run()), options_(options) {
    plan_.run = run_;
    plan_.policy = options.policy.empty() ? 0 : file_.policy_named(options.policy);
    plan_.units = options.units;
    plan_.months = month_starts(run_);
    auto const complete = file.read("task_complete");
    for (std::uint32_t r = 0; r < run_.replicates; ++r) {
      if (complete[plan_.policy * run_.replicates + r] > 0.0) replicates_.push_back(r);
    }
    if (replicates_.empty()) {
      throw ResultError(fmt::format("{}: no replicate of {} is complete; finish the run with --resume",
                                    file.path().string(), run_.policies[plan_.policy].name));
    }
    plan_.replicates = replicates_.size();
    place_of_.assign(run_.replicates, replicates_.size());
    for (std::size_t i = 0; i < replicates_.size(); ++i) place_of_[replicates_[i]] = i;
  }

  SuppliesPlan take() {
    read_visits();
    for (auto const& source : material_sources) {
      auto const supply = std::find_if(run_.supplies.begin(), run_.supplies.end(),
                                       [&](auto const& entry) { return entry.name == source.supply; });
      if (supply != run_.supplies.end()) add_material(*supply, source);
    }
    plan_.largest_van_day_kg =
        visits_.lines.empty() ? Quantiles{no_number, no_number, no_number} : quantiles_of(largest_of(van_days_));
    add_months();
    add_weeks();
    return std::move(plan_);
  }

 private:
  [[nodiscard]] Samples by_month(std::string_view variable) const {
    Samples samples;
    for (auto const r : replicates_) samples.push_back(file_.read_task(variable, plan_.policy, r));
    return samples;
  }

  void read_visits() {
    auto const policy = file_.read("visit_policy"), replicate = file_.read("visit_replicate");
    auto const technician = file_.read("visit_technician"), time = file_.read("visit_time");
    auto const shortages = file_.read("visit_shortages");
    for (std::size_t i = 0; i < policy.size(); ++i) {
      auto const day = static_cast<std::size_t>(time[i] / 86400.0);
      std::size_t const place = place_of_[static_cast<std::size_t>(replicate[i])];
      if (static_cast<std::size_t>(policy[i]) != plan_.policy || place == replicates_.size() ||
          day >= static_cast<std::size_t>(run_.days)) {
        continue;
      }
      visits_.lines.push_back(i);
      visits_.replicate.push_back(place);
      visits_.technician.push_back(static_cast<std::size_t>(technician[i]));
      visits_.day.push_back(day);
      visits_.shortages.push_back(static_cast<std::uint32_t>(shortages[i]));
    }
    van_days_.assign(replicates_.size(), std::vector<double>(static_cast<std::size_t>(run_.days) *
                                                             std::max<std::size_t>(run_.technicians.size(), 1)));
  }

  /// What each visit took of a material, by line of `visits_`.
  [[nodiscard]] std::vector<double> used_at_visits(MaterialSource const& source) const {
    std::vector<double> used;
    if (source.visit_variable.empty()) {
      constexpr auto bit = 1U << static_cast<unsigned>(sim::VisitTask::replace_cell);
      auto const tasks = file_.read("visit_tasks");
      for (auto const line : visits_.lines) {
        used.push_back((static_cast<std::uint32_t>(tasks[line]) & bit) != 0 ? 1.0 : 0.0);
      }
    } else {
      auto const amounts = file_.read(source.visit_variable);
      for (auto const line : visits_.lines) used.push_back(std::isnan(amounts[line]) ? 0.0 : amounts[line]);
    }
    return used;
  }

  void add_material(SupplyEntry const& supply, MaterialSource const& source) {
    MaterialPlan material;
    material.supply = supply;
    Samples const monthly = by_month(source.month_variable);
    Samples cumulative = monthly;
    for (auto& season : cumulative) std::partial_sum(season.begin(), season.end(), season.begin());
    auto const totals = column(cumulative, plan_.months.size() - 1);
    material.season = quantiles_of(totals);
    material.season_stock = safe_level(totals);
    material.season_cost = material.season.p50 * supply.price;
    auto const stock = safe_cumulative(cumulative);
    double packs = 0.0;
    for (std::size_t m = 0; m < plan_.months.size(); ++m) {
      double const wanted = packs_for(std::max(0.0, stock[m] - supply.in_stock), supply);
      double const order = std::max(0.0, wanted - packs);
      packs += order;
      material.months.push_back({quantiles_of(column(monthly, m)), order, order_day(plan_.months[m], supply)});
    }
    material.reorder_level = no_number;
    material.short_visits = {no_number, no_number, no_number};
    material.van_load = no_number;
    if (!visits_.lines.empty()) {
      std::vector<double> short_visits(replicates_.size(), 0.0);
      for (std::size_t i = 0; i < visits_.lines.size(); ++i) {
        if (sim::has(visits_.shortages[i], source.shortage)) short_visits[visits_.replicate[i]] += 1.0;
      }
      material.short_visits = quantiles_of(short_visits);
      material.ever_short = *std::max_element(short_visits.begin(), short_visits.end()) > 0.0;
      auto const used = used_at_visits(source);
      auto const days = static_cast<std::size_t>(run_.days);
      Samples daily(replicates_.size(), std::vector<double>(days, 0.0));
      Samples of_van(replicates_.size(), std::vector<double>(van_days_.front().size(), 0.0));
      for (std::size_t i = 0; i < used.size(); ++i) {
        std::size_t const van_and_day = visits_.technician[i] * days + visits_.day[i];
        daily[visits_.replicate[i]][visits_.day[i]] += used[i];
        of_van[visits_.replicate[i]][van_and_day] += used[i];
        van_days_[visits_.replicate[i]][van_and_day] += used[i] * supply.mass_per_unit_kg;
      }
      material.van_load = safe_level(largest_of(of_van));
      // An order placed in the evening arrives after the lead time's days; until then stock only falls.
      auto const window = static_cast<std::size_t>(std::ceil(supply.lead_time_d)) + 1;
      std::vector<double> largest;
      for (auto const& season : daily) largest.push_back(largest_window(season, window));
      material.reorder_level = safe_level(largest);
    }
    for (std::size_t r = 0; r < replicates_.size(); ++r) {
      month_load_kg_.resize(replicates_.size(), std::vector<double>(plan_.months.size(), 0.0));
      for (std::size_t m = 0; m < plan_.months.size(); ++m) {
        month_load_kg_[r][m] += monthly[r][m] * supply.mass_per_unit_kg;
      }
    }
    plan_.materials.push_back(std::move(material));
  }

  /// Hours that a technician has on one day.
  [[nodiscard]] double capacity_of_day_h(TechnicianEntry const& technician, std::size_t day) const {
    if (run_.working_days[day] == 0) return 0.0;
    return (technician.shift_length_s - technician.break_s) / seconds_per_hour;
  }

  /// Hours that all technicians have on one day.
  [[nodiscard]] double capacity_of_day_h(std::size_t day) const {
    double hours = 0.0;
    for (auto const& technician : run_.technicians) hours += capacity_of_day_h(technician, day);
    return hours;
  }

  void add_months() {
    auto const hours = [&](std::string_view variable) {
      Samples samples = by_month(variable);
      for (auto& season : samples) {
        for (double& value : season) value /= seconds_per_hour;
      }
      return samples;
    };
    Samples const service = hours("month_service_time"), driving = hours("month_driving_time"),
                  overtime = hours("month_overtime"), shortages = by_month("month_shortages");
    double payload = 0.0;
    plan_.smallest_payload_kg = std::numeric_limits<double>::infinity();
    for (auto const& technician : run_.technicians) {
      payload += technician.payload_kg / static_cast<double>(run_.technicians.size());
      plan_.smallest_payload_kg = std::min(plan_.smallest_payload_kg, technician.payload_kg);
    }
    plan_.work.resize(plan_.months.size());
    for (std::size_t m = 0; m < plan_.months.size(); ++m) {
      auto& month = plan_.work[m];
      month.service_h = quantiles_of(column(service, m));
      month.driving_h = quantiles_of(column(driving, m));
      month.overtime_h = quantiles_of(column(overtime, m));
      month.shortages = quantiles_of(column(shortages, m));
      month.load_kg = quantiles_of(column(month_load_kg_, m));
      month.van_loads = std::ceil(month.load_kg.p90 / payload);
    }
    auto const months = month_of_days(run_);
    for (std::size_t d = 0; d < months.size(); ++d) plan_.work[months[d]].capacity_h += capacity_of_day_h(d);
  }

  /// Work of every week of the season against capacity, of each technician and of all together.
  void add_weeks() {
    std::vector<std::chrono::sys_days> mondays;
    std::vector<std::size_t> week_of_day;
    for (int d = 0; d < run_.days; ++d) {
      auto const day = run_.first_day + std::chrono::days{d};
      auto const monday = day - (std::chrono::weekday{day} - std::chrono::Monday);
      if (mondays.empty() || mondays.back() != monday) mondays.push_back(monday);
      week_of_day.push_back(mondays.size() - 1);
    }
    std::size_t const technicians = run_.technicians.size(), weeks = mondays.size();
    // Hours [technician][replicate][week].
    std::vector<Samples> work(technicians, Samples(replicates_.size(), std::vector<double>(weeks, 0.0)));
    for (std::size_t r = 0; r < replicates_.size(); ++r) {
      for (auto const* variable : {"technician_service_time", "technician_driving_time"}) {
        auto const values = file_.read_task(variable, plan_.policy, replicates_[r]);
        for (std::size_t i = 0; i < values.size(); ++i) {
          work[i / week_of_day.size()][r][week_of_day[i % week_of_day.size()]] += values[i] / seconds_per_hour;
        }
      }
    }
    Samples fleet(replicates_.size(), std::vector<double>(weeks, 0.0));
    auto const spread = [&](Samples const& hours, auto const& capacity_h) {
      std::vector<WeekWork> all;
      for (std::size_t w = 0; w < weeks; ++w) all.push_back({mondays[w], quantiles_of(column(hours, w)), 0.0});
      for (std::size_t d = 0; d < week_of_day.size(); ++d) all[week_of_day[d]].capacity_h += capacity_h(d);
      return all;
    };
    for (std::size_t t = 0; t < technicians; ++t) {
      TechnicianWork each{run_.technicians[t].name, {}, {}, 0.0};
      each.weeks = spread(work[t], [&](std::size_t d) { return capacity_of_day_h(run_.technicians[t], d); });
      std::vector<double> seasons;
      for (std::size_t r = 0; r < replicates_.size(); ++r) {
        seasons.push_back(std::accumulate(work[t][r].begin(), work[t][r].end(), 0.0));
        std::transform(work[t][r].begin(), work[t][r].end(), fleet[r].begin(), fleet[r].begin(), std::plus<>{});
      }
      each.season_h = quantiles_of(seasons);
      for (auto const& week : each.weeks) each.season_capacity_h += week.capacity_h;
      plan_.technicians.push_back(std::move(each));
    }
    plan_.busiest = spread(fleet, [&](std::size_t d) { return capacity_of_day_h(d); });
    std::stable_sort(plan_.busiest.begin(), plan_.busiest.end(),
                     [](auto const& a, auto const& b) { return load_of(a) > load_of(b); });
    plan_.busiest.resize(std::min(plan_.busiest.size(), options_.weeks));
  }

  ResultFile const& file_;
  RunDescription const& run_;
  SuppliesOptions const& options_;
  SuppliesPlan plan_;
  std::vector<std::uint32_t> replicates_;
  std::vector<std::size_t> place_of_;  // of a replicate in `replicates_`
  Visits visits_;
  Samples van_days_;       // load of each technician and day, kg, [replicate][technician x day]
  Samples month_load_kg_;  // [replicate][month]
};

}  // namespace

double load_of(WeekWork const& week) {
  if (week.capacity_h > 0.0) return week.work_h.p90 / week.capacity_h;
  return week.work_h.p90 > 0.0 ? std::numeric_limits<double>::infinity() : 0.0;
}

double packs_for(double amount, SupplyEntry const& supply) {
  // An amount that is whole packs but for rounding needs no further one.
  return std::max(0.0, std::ceil(amount / supply.pack_size - 1e-9));
}

SuppliesPlan plan_supplies(ResultFile const& file, SuppliesOptions const& options) {
  return Planner(file, options).take();
}

}  // namespace brinecast::results
