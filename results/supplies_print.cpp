// A plan of supplies as text for people, CSV for spreadsheets and JSON for programs.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "results/supplies.hpp"
#include "results/table.hpp"
#include "results/us_units.hpp"
#include "sim/scenario/date_text.hpp"

namespace brinecast::results {

namespace {

using sim::date_text;

/// How a material's amounts are printed.
struct Scale {
  std::string units;
  double factor = 1.0;
};

Scale scale_of(std::string const& file_units, Units units) {
  if (file_units == "kg") return units == Units::si ? Scale{"kg", 1.0} : Scale{"lb", pounds_per_kg};
  if (file_units == "m3") return units == Units::si ? Scale{"L", 1000.0} : Scale{"gal", us_gallons_per_m3};
  return {"", 1.0};
}

std::string words_of(std::string name) {
  for (char& c : name) {
    if (c == '_') c = ' ';
  }
  return name;
}

std::string month_text(std::chrono::sys_days day) { return date_text(day).substr(0, 7); }

std::string range_text(Quantiles const& q, double factor) {
  return fmt::format("{} ({} to {})", number_text(q.p50 * factor, 0), number_text(q.p10 * factor, 0),
                     number_text(q.p90 * factor, 0));
}

std::string with_units(std::string const& text, std::string const& units) {
  return units.empty() ? text : fmt::format("{}, {}", text, units);
}

std::string percent_text(double share) { return std::isfinite(share) ? fmt::format("{:.0f} %", 100.0 * share) : "-"; }

std::string pack_text(SupplyEntry const& supply, Units units) {
  auto const scale = scale_of(supply.units, units);
  return scale.units.empty()
             ? supply.pack
             : fmt::format("{} of {:.3g} {}", supply.pack, supply.pack_size * scale.factor, scale.units);
}

std::string needs_table(SuppliesPlan const& plan) {
  std::vector<std::vector<std::string>> rows = {{"month"}};
  for (auto const& material : plan.materials) {
    rows[0].push_back(with_units(words_of(material.supply.name), scale_of(material.supply.units, plan.units).units));
  }
  for (std::size_t m = 0; m < plan.months.size(); ++m) {
    rows.push_back({month_text(plan.months[m])});
    for (auto const& material : plan.materials) {
      rows.back().push_back(range_text(material.months[m].amount, scale_of(material.supply.units, plan.units).factor));
    }
  }
  rows.push_back({"season"});
  for (auto const& material : plan.materials) {
    rows.back().push_back(range_text(material.season, scale_of(material.supply.units, plan.units).factor));
  }
  return table_text(rows);
}

std::string orders_table(SuppliesPlan const& plan) {
  std::vector<std::vector<std::string>> rows = {{"order by", "for", "material", "packs", "pallets"}};
  struct Order {
    std::chrono::sys_days by;
    std::vector<std::string> row;
  };
  std::vector<Order> orders;
  for (std::size_t m = 0; m < plan.months.size(); ++m) {
    for (auto const& material : plan.materials) {
      auto const& need = material.months[m];
      if (need.order_packs <= 0.0) continue;
      double const per_pallet = material.supply.packs_per_pallet;
      orders.push_back({need.order_by,
                        {date_text(need.order_by), month_text(plan.months[m]), words_of(material.supply.name),
                         fmt::format("{:.0f} x {}", need.order_packs, pack_text(material.supply, plan.units)),
                         per_pallet > 0.0 ? fmt::format("{:.1f}", need.order_packs / per_pallet) : ""}});
    }
  }
  std::stable_sort(orders.begin(), orders.end(), [](auto const& a, auto const& b) { return a.by < b.by; });
  for (auto& order : orders) rows.push_back(std::move(order.row));
  return table_text(rows, 3);
}

std::string stock_table(SuppliesPlan const& plan) {
  std::vector<std::vector<std::string>> rows = {{"material", "stock for the season", "packs", "reorder at", "packs",
                                                 "one van's day", "packs", "lead time, d", "visits short of it",
                                                 "median need costs, " + plan.run.currency}};
  for (auto const& material : plan.materials) {
    auto const scale = scale_of(material.supply.units, plan.units);
    auto row = std::vector<std::string>{words_of(material.supply.name)};
    for (double const amount : {material.season_stock, material.reorder_level, material.van_load}) {
      bool const known = !std::isnan(amount);
      row.push_back(known ? fmt::format("{} {}", number_text(amount * scale.factor, 0), scale.units) : "-");
      row.push_back(known ? fmt::format("{:.0f}", packs_for(amount, material.supply)) : "-");
    }
    row.push_back(number_text(material.supply.lead_time_d, 0));
    row.push_back(std::isnan(material.short_visits.p50) ? "-" : range_text(material.short_visits, 1.0));
    row.push_back(number_text(material.season_cost, 0));
    rows.push_back(std::move(row));
  }
  return table_text(rows);
}

std::string work_table(SuppliesPlan const& plan) {
  std::vector<std::vector<std::string>> rows = {
      {"month", "work at pools, h", "driving, h", "overtime, h", "visits short of a supply", "capacity, h",
       "load at P90", plan.units == Units::si ? "material, kg" : "material, lb", "van loads"}};
  for (std::size_t m = 0; m < plan.months.size(); ++m) {
    auto const& work = plan.work[m];
    rows.push_back({month_text(plan.months[m]), range_text(work.service_h, 1.0), range_text(work.driving_h, 1.0),
                    range_text(work.overtime_h, 1.0), range_text(work.shortages, 1.0), number_text(work.capacity_h, 0),
                    percent_text((work.service_h.p90 + work.driving_h.p90) / work.capacity_h),
                    range_text(work.load_kg, plan.units == Units::si ? 1.0 : pounds_per_kg),
                    number_text(work.van_loads, 0)});
  }
  return table_text(rows);
}

std::string weeks_table(SuppliesPlan const& plan) {
  std::vector<std::vector<std::string>> rows = {{"week from", "work and driving, h", "capacity, h", "load at P90"}};
  for (auto const& week : plan.busiest) {
    rows.push_back({date_text(week.monday), range_text(week.work_h, 1.0), number_text(week.capacity_h, 0),
                    percent_text(load_of(week))});
  }
  return table_text(rows);
}

WeekWork const& busiest_week(TechnicianWork const& technician) {
  return *std::max_element(technician.weeks.begin(), technician.weeks.end(),
                           [](auto const& a, auto const& b) { return load_of(a) < load_of(b); });
}

std::string technicians_table(SuppliesPlan const& plan) {
  std::vector<std::vector<std::string>> rows = {{"technician", "season's work and driving, h", "capacity, h",
                                                 "load at P90", "busiest week from", "work and driving, h",
                                                 "capacity, h", "load at P90"}};
  for (auto const& technician : plan.technicians) {
    auto const& week = busiest_week(technician);
    rows.push_back({technician.name, range_text(technician.season_h, 1.0), number_text(technician.season_capacity_h, 0),
                    percent_text(technician.season_h.p90 / technician.season_capacity_h), date_text(week.monday),
                    range_text(week.work_h, 1.0), number_text(week.capacity_h, 0), percent_text(load_of(week))});
  }
  return table_text(rows);
}

nlohmann::json number(double value) { return std::isfinite(value) ? nlohmann::json(value) : nlohmann::json(nullptr); }

nlohmann::json quantiles_json(Quantiles const& q, double factor = 1.0) {
  return {{"p10", number(q.p10 * factor)}, {"p50", number(q.p50 * factor)}, {"p90", number(q.p90 * factor)}};
}

}  // namespace

std::string supplies_text(SuppliesPlan const& plan) {
  auto const& run = plan.run;
  std::string text = fmt::format("{}: supplies and work under {}, {}, {} simulated\n", run.scenario_name,
                                 run.policies[plan.policy].name, count_text(run.pools.size(), "pool"),
                                 count_text(plan.replicates, "season"));
  text += "\nneeded by month: median (P10 to P90)\n" + needs_table(plan);
  text +=
      fmt::format("\norders after stock in hand: each material runs out in at most {:.0f} % of seasons like these\n",
                  100.0 * stock_out_share) +
      orders_table(plan);
  text += fmt::format(
              "\nstock of each material in the depot, and on one van for a day, that runs out in at most {:.0f} % of "
              "seasons like these\n",
              100.0 * stock_out_share) +
          stock_table(plan);
  text += "\nwork of the fleet by month: median (P10 to P90)\n" + work_table(plan);
  text += "\nbusiest weeks of the fleet: median (P10 to P90)\n" + weeks_table(plan);
  text += "\nload of each technician: median (P10 to P90)\n" + technicians_table(plan);
  if (!std::isnan(plan.largest_van_day_kg.p90)) {
    bool const si = plan.units == Units::si;
    double const factor = si ? 1.0 : pounds_per_kg;
    text += fmt::format("\nheaviest van day of the season: {} {}; the smallest payload is {} {}\n",
                        range_text(plan.largest_van_day_kg, factor), si ? "kg" : "lb",
                        number_text(plan.smallest_payload_kg * factor, 0), si ? "kg" : "lb");
  }
  if (static_cast<double>(plan.replicates + 1) * stock_out_share < 1.0) {
    text += "\n" +
            wrapped(fmt::format("With {} the safe stock is the largest need seen; use at least {:.0f} "
                                "replicates to tell {:.0f} % apart.",
                                count_text(plan.replicates, "season"), std::ceil(1.0 / stock_out_share) - 1.0,
                                100.0 * stock_out_share)) +
            "\n";
  }
  bool const short_of_some = std::any_of(plan.materials.begin(), plan.materials.end(),
                                         [](auto const& material) { return material.ever_short; });
  if (short_of_some) {
    text += "\n" +
            wrapped(
                "Some visits lacked a supply, because the depot or their own van had run out of it: the tables show "
                "what was used, which is less than what was wanted. To size both, run the scenario without its "
                "limits (no ..._in_stock and ..._on_van, many cells) and read this plan again: the season's stock "
                "and the reorder level are the depot's, one van's day is what a van should hold.") +
            "\n";
  }
  return text + "\n" +
         wrapped(
             "Caution: keep acid and chlorine products apart, in storage and in the van: mixed, they give off "
             "poisonous chlorine gas. Ventilate, secure and label them, and follow the safety data sheets and the "
             "local rules on storing and carrying dangerous goods, which limit amounts.") +
         "\n";
}

std::string supplies_csv(SuppliesPlan const& plan) {
  std::string text = "item,period,measure,units,p10,p50,p90,value,date\n";
  auto const spread = [&](std::string const& item, std::string const& period, std::string_view measure,
                          std::string const& units, Quantiles const& q, double factor) {
    text += fmt::format("{},{},{},{},{},{},{},,\n", item, period, measure, units, csv_number(q.p10 * factor),
                        csv_number(q.p50 * factor), csv_number(q.p90 * factor));
  };
  auto const single = [&](std::string const& item, std::string const& period, std::string_view measure,
                          std::string const& units, double value, std::string const& date) {
    text += fmt::format("{},{},{},{},,,,{},{}\n", item, period, measure, units, csv_number(value), date);
  };
  for (auto const& material : plan.materials) {
    auto const& name = material.supply.name;
    auto const scale = scale_of(material.supply.units, plan.units);
    for (std::size_t m = 0; m < plan.months.size(); ++m) {
      auto const& need = material.months[m];
      spread(name, month_text(plan.months[m]), "need", scale.units, need.amount, scale.factor);
      single(name, month_text(plan.months[m]), "order", material.supply.pack, need.order_packs,
             date_text(need.order_by));
    }
    spread(name, "season", "need", scale.units, material.season, scale.factor);
    single(name, "season", "safe_stock", scale.units, material.season_stock * scale.factor, "");
    single(name, "season", "reorder_level", scale.units, material.reorder_level * scale.factor, "");
    single(name, "season", "van_load", scale.units, material.van_load * scale.factor, "");
    spread(name, "season", "short_visits", "1", material.short_visits, 1.0);
    single(name, "season", "cost", csv_field(plan.run.currency), material.season_cost, "");
  }
  double const mass_factor = plan.units == Units::si ? 1.0 : pounds_per_kg;
  std::string const mass_units = plan.units == Units::si ? "kg" : "lb";
  for (std::size_t m = 0; m < plan.months.size(); ++m) {
    auto const& work = plan.work[m];
    auto const period = month_text(plan.months[m]);
    spread("work", period, "service", "h", work.service_h, 1.0);
    spread("work", period, "driving", "h", work.driving_h, 1.0);
    spread("work", period, "overtime", "h", work.overtime_h, 1.0);
    spread("work", period, "shortages", "1", work.shortages, 1.0);
    single("work", period, "capacity", "h", work.capacity_h, "");
    spread("vans", period, "material", mass_units, work.load_kg, mass_factor);
    single("vans", period, "loads", "1", work.van_loads, "");
  }
  for (auto const& week : plan.busiest) {
    spread("busiest week", date_text(week.monday), "work", "h", week.work_h, 1.0);
    single("busiest week", date_text(week.monday), "capacity", "h", week.capacity_h, date_text(week.monday));
  }
  for (auto const& technician : plan.technicians) {
    std::string const item = csv_field("technician " + technician.name);
    spread(item, "season", "work", "h", technician.season_h, 1.0);
    single(item, "season", "capacity", "h", technician.season_capacity_h, "");
    for (auto const& week : technician.weeks) {
      spread(item, date_text(week.monday), "work", "h", week.work_h, 1.0);
      single(item, date_text(week.monday), "capacity", "h", week.capacity_h, "");
    }
  }
  spread("vans", "season", "heaviest_day", mass_units, plan.largest_van_day_kg, mass_factor);
  return text;
}

std::string supplies_json(SuppliesPlan const& plan) {
  auto const& run = plan.run;
  nlohmann::json json = {{"format", "brinecast supplies"},
                         {"format_version", 1},
                         {"scenario", run.scenario_name},
                         {"policy", run.policies[plan.policy].name},
                         {"seed", run.seed},
                         {"replicates", plan.replicates},
                         {"stock_out_share", stock_out_share},
                         {"currency", run.currency},
                         {"materials", nlohmann::json::array()},
                         {"work", nlohmann::json::array()},
                         {"busiest_weeks", nlohmann::json::array()},
                         {"technicians", nlohmann::json::array()}};
  for (auto const& material : plan.materials) {
    auto const scale = scale_of(material.supply.units, plan.units);
    nlohmann::json entry = {{"material", material.supply.name},
                            {"units", scale.units},
                            {"pack", material.supply.pack},
                            {"pack_size", material.supply.pack_size * scale.factor},
                            {"packs_per_pallet", material.supply.packs_per_pallet},
                            {"lead_time_days", material.supply.lead_time_d},
                            {"in_stock", material.supply.in_stock * scale.factor},
                            {"season", quantiles_json(material.season, scale.factor)},
                            {"safe_stock", number(material.season_stock * scale.factor)},
                            {"reorder_level", number(material.reorder_level * scale.factor)},
                            {"van_load", number(material.van_load * scale.factor)},
                            {"season_cost", number(material.season_cost)},
                            {"short_visits", quantiles_json(material.short_visits)},
                            {"months", nlohmann::json::array()}};
    for (std::size_t m = 0; m < plan.months.size(); ++m) {
      auto const& need = material.months[m];
      entry["months"].push_back({{"month", month_text(plan.months[m])},
                                 {"need", quantiles_json(need.amount, scale.factor)},
                                 {"order_packs", need.order_packs},
                                 {"order_by", date_text(need.order_by)}});
    }
    json["materials"].push_back(std::move(entry));
  }
  double const mass_factor = plan.units == Units::si ? 1.0 : pounds_per_kg;
  json["mass_units"] = plan.units == Units::si ? "kg" : "lb";
  for (std::size_t m = 0; m < plan.months.size(); ++m) {
    auto const& work = plan.work[m];
    json["work"].push_back({{"month", month_text(plan.months[m])},
                            {"service_h", quantiles_json(work.service_h)},
                            {"driving_h", quantiles_json(work.driving_h)},
                            {"overtime_h", quantiles_json(work.overtime_h)},
                            {"shortages", quantiles_json(work.shortages)},
                            {"capacity_h", work.capacity_h},
                            {"material", quantiles_json(work.load_kg, mass_factor)},
                            {"van_loads", number(work.van_loads)}});
  }
  auto const week_json = [](WeekWork const& week) -> nlohmann::json {
    return {
        {"monday", date_text(week.monday)}, {"work_h", quantiles_json(week.work_h)}, {"capacity_h", week.capacity_h}};
  };
  for (auto const& week : plan.busiest) json["busiest_weeks"].push_back(week_json(week));
  for (auto const& technician : plan.technicians) {
    nlohmann::json entry = {{"technician", technician.name},
                            {"season_h", quantiles_json(technician.season_h)},
                            {"season_capacity_h", technician.season_capacity_h},
                            {"weeks", nlohmann::json::array()}};
    for (auto const& week : technician.weeks) entry["weeks"].push_back(week_json(week));
    json["technicians"].push_back(std::move(entry));
  }
  json["heaviest_van_day"] = quantiles_json(plan.largest_van_day_kg, mass_factor);
  json["smallest_payload"] = number(plan.smallest_payload_kg * mass_factor);
  return json.dump(2) + "\n";
}

}  // namespace brinecast::results
