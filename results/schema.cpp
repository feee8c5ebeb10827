#include "results/schema.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "sim/policy/why.hpp"
#include "sim/scenario/date_text.hpp"

namespace brinecast::results {

namespace {

using sim::DayTally;
using sim::MonthTally;
using sim::PoolTally;
using sim::PoolTrace;
using sim::TechnicianTally;
using sim::VisitRecord;

struct Book {
  std::string_view name;
  double sim::BookErrors::*member;
};
constexpr std::array books = {Book{"water", &sim::BookErrors::water},
                              Book{"heat", &sim::BookErrors::heat},
                              Book{"salt", &sim::BookErrors::salt},
                              Book{"calcium", &sim::BookErrors::calcium},
                              Book{"alkalinity", &sim::BookErrors::alkalinity},
                              Book{"inorganic_carbon", &sim::BookErrors::inorganic_carbon},
                              Book{"cyanuric_acid", &sim::BookErrors::cyanuric_acid},
                              Book{"borate", &sim::BookErrors::borate},
                              Book{"chlorine", &sim::BookErrors::chlorine}};
constexpr auto book_name_list = [] {
  std::array<std::string_view, books.size()> names;
  for (std::size_t i = 0; i < books.size(); ++i) names[i] = books[i].name;
  return names;
}();

/// One value of each entry of a list of the run's description.
template <auto List, auto Member>
std::vector<double> numbers(RunDescription const& run) {
  std::vector<double> values;
  for (auto const& entry : run.*List) values.push_back(static_cast<double>(entry.*Member));
  return values;
}
template <auto List, auto Member>
std::vector<std::string> texts(RunDescription const& run) {
  std::vector<std::string> values;
  for (auto const& entry : run.*List) values.push_back(entry.*Member);
  return values;
}

std::vector<double> counted(std::size_t n) {
  std::vector<double> values(n);
  for (std::size_t i = 0; i < n; ++i) values[i] = static_cast<double>(i);
  return values;
}
std::vector<double> replicate_numbers(RunDescription const& run) { return counted(run.replicates); }
std::vector<double> day_numbers(RunDescription const& run) { return counted(static_cast<std::size_t>(run.days)); }
std::vector<double> hour_numbers(RunDescription const& run) { return counted(static_cast<std::size_t>(run.days) * 24); }
std::vector<double> stop_numbers(RunDescription const& run) { return counted(run.planned_stops.size()); }
std::vector<double> round_numbers(RunDescription const& run) { return counted(run.planned_rounds.size()); }
std::vector<double> route_point_numbers(RunDescription const& run) { return counted(run.route_points.size()); }
std::vector<double> month_days(RunDescription const& run) {
  std::vector<double> values;
  for (auto const start : month_starts(run)) values.push_back(static_cast<double>((start - run.first_day).count()));
  return values;
}
std::vector<double> quantile_values(RunDescription const&) {
  return {sim::day_quantiles.begin(), sim::day_quantiles.end()};
}
std::vector<double> working_day_values(RunDescription const& run) {
  return {run.working_days.begin(), run.working_days.end()};
}
std::vector<std::string> trace_pool_names(RunDescription const& run) {
  std::vector<std::string> values;
  for (auto const pool : run.trace_pools) values.push_back(run.pools.at(pool).name);
  return values;
}
std::vector<std::string> task_bit_names() {
  // In the order of sim::VisitTask.
  constexpr std::array<std::string_view, 20> names = {
      "test",   "salt",       "acid",         "bicarbonate", "calcium",      "cyanuric_acid", "liquid_chlorine",
      "output", "pump_hours", "inspect_cell", "clean_cell",  "replace_cell", "restart_unit",  "backwash",
      "debris", "drain",      "refill",       "close",       "open",         "call_out"};
  static_assert(names.size() == sim::visit_task_count);
  return {names.begin(), names.end()};
}
/// The phrases for people as single words: what CF does not allow in a flag's meaning becomes an underscore.
template <class Bit, std::size_t count>
std::vector<std::string> bit_names() {
  std::vector<std::string> names;
  for (std::size_t i = 0; i < count; ++i) {
    std::string name;
    for (char const c : sim::words(static_cast<Bit>(i))) {
      bool const plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
      if (plain) {
        name += c;
      } else if (!name.empty() && name.back() != '_') {
        name += '_';
      }
    }
    while (!name.empty() && name.back() == '_') name.pop_back();
    names.push_back(std::move(name));
  }
  return names;
}

std::vector<std::string> book_texts(RunDescription const&) { return {book_name_list.begin(), book_name_list.end()}; }

using Run = RunDescription;
using A = Axis;
using S = Storage;

// clang-format off: one line a variable
std::vector<Variable> build_table() {
  std::vector<Variable> table = {
      // Coordinates
      {"policy", "", "care policy", {A::policy}, S::text, &texts<&Run::policies, &PolicyEntry::name>},
      {"replicate",
       "1",
       "replicate; equal numbers met the same weather and chance",
       {A::replicate},
       S::int32,
       &replicate_numbers},
      {"pool", "", "pool", {A::pool}, S::text, &texts<&Run::pools, &PoolEntry::name>},
      {"month",
       "days since {first_day}",
       "first day of the calendar month within the season",
       {A::month},
       S::int32,
       &month_days},
      {"technician", "", "technician", {A::technician}, S::text, &texts<&Run::technicians, &TechnicianEntry::name>},
      {"day", "days since {first_day}", "day of the season, local standard time", {A::day}, S::int32, &day_numbers},
      {"quantile", "1", "share of open pools at or below the value", {A::quantile}, S::float64, &quantile_values},
      {"visit", "1", "number of the visit in the log", {A::visit}, S::int32, OfWriter::visit},
      {"trace_pool", "", "pool with hourly traces", {A::trace_pool}, S::text, &trace_pool_names},
      {"trace_hour",
       "hours since {first_day}",
       "start of the hour, local standard time",
       {A::trace_hour},
       S::int32,
       &hour_numbers},
      {"book", "", "conservation book", {A::book}, S::text, &book_texts},
      {"parameter", "", "model parameter", {A::parameter}, S::text, &texts<&Run::parameters, &ParameterEntry::name>},
      {"supply",
       "",
       "material or part that is bought",
       {A::supply},
       S::text,
       &texts<&Run::supplies, &SupplyEntry::name>},
      {"planned_stop", "1", "number of the stop in the plans of rounds", {A::planned_stop}, S::int32, &stop_numbers},
      {"planned_round", "1", "number of the round in the plans", {A::planned_round}, S::int32, &round_numbers},
      {"route_point",
       "1",
       "number of the point on the lines of rounds",
       {A::route_point},
       S::int32,
       &route_point_numbers},
      {"input_file",
       "",
       "file that the scenario read",
       {A::input_file},
       S::text,
       &texts<&Run::input_files, &InputFileEntry::path>},
      // What the run was
      {"task_complete",
       "1",
       "whether this policy and replicate is simulated",
       {A::policy, A::replicate},
       S::uint8,
       OfWriter::task_complete},
      {"policy_comment",
       "",
       "who would want the policy",
       {A::policy},
       S::text,
       &texts<&Run::policies, &PolicyEntry::comment>},
      {"policy_visit_interval",
       "d",
       "planned interval between visits",
       {A::policy},
       S::float64,
       &numbers<&Run::policies, &PolicyEntry::visit_interval_d>},
      {"policy_plan_period",
       "1",
       "working days after which the plan of rounds repeats",
       {A::policy},
       S::int32,
       &numbers<&Run::policies, &PolicyEntry::plan_period_days>},
      {"pool_longitude",
       "degrees_east",
       "longitude of the pool",
       {A::pool},
       S::float64,
       &numbers<&Run::pools, &PoolEntry::longitude_deg>},
      {"pool_latitude",
       "degrees_north",
       "latitude of the pool",
       {A::pool},
       S::float64,
       &numbers<&Run::pools, &PoolEntry::latitude_deg>},
      {"pool_volume",
       "m3",
       "water volume at normal level",
       {A::pool},
       S::float64,
       &numbers<&Run::pools, &PoolEntry::water_volume_m3>},
      {"pool_neighbourhood",
       "",
       "neighbourhood of the pool",
       {A::pool},
       S::text,
       &texts<&Run::pools, &PoolEntry::neighbourhood>},
      {"pool_class",
       "",
       "the fleet's own grouping of pools",
       {A::pool},
       S::text,
       &texts<&Run::pools, &PoolEntry::pool_class>},
      {"pool_site", "", "weather site of the pool", {A::pool}, S::text, &texts<&Run::pools, &PoolEntry::site>},
      {"technician_start_longitude",
       "degrees_east",
       "where the working day begins",
       {A::technician},
       S::float64,
       &numbers<&Run::technicians, &TechnicianEntry::start_longitude_deg>},
      {"technician_start_latitude",
       "degrees_north",
       "where the working day begins",
       {A::technician},
       S::float64,
       &numbers<&Run::technicians, &TechnicianEntry::start_latitude_deg>},
      {"technician_end_longitude",
       "degrees_east",
       "where the working day ends",
       {A::technician},
       S::float64,
       &numbers<&Run::technicians, &TechnicianEntry::end_longitude_deg>},
      {"technician_end_latitude",
       "degrees_north",
       "where the working day ends",
       {A::technician},
       S::float64,
       &numbers<&Run::technicians, &TechnicianEntry::end_latitude_deg>},
      {"technician_shift_start",
       "s",
       "start of the shift after midnight",
       {A::technician},
       S::float64,
       &numbers<&Run::technicians, &TechnicianEntry::shift_start_s>},
      {"technician_shift_length",
       "s",
       "length of the shift with its break",
       {A::technician},
       S::float64,
       &numbers<&Run::technicians, &TechnicianEntry::shift_length_s>},
      {"technician_break",
       "s",
       "break within the shift",
       {A::technician},
       S::float64,
       &numbers<&Run::technicians, &TechnicianEntry::break_s>},
      {"technician_overtime_limit",
       "s",
       "overtime allowed in a day",
       {A::technician},
       S::float64,
       &numbers<&Run::technicians, &TechnicianEntry::overtime_limit_s>},
      {"technician_payload",
       "kg",
       "what the van may carry",
       {A::technician},
       S::float64,
       &numbers<&Run::technicians, &TechnicianEntry::payload_kg>},
      {"day_working", "1", "whether technicians drive on this day", {A::day}, S::uint8, &working_day_values},
      {"parameter_value",
       "1",
       "value used, in the parameter's own units",
       {A::parameter},
       S::float64,
       &numbers<&Run::parameters, &ParameterEntry::value>},
      {"parameter_units",
       "",
       "units of the parameter",
       {A::parameter},
       S::text,
       &texts<&Run::parameters, &ParameterEntry::units>},
      {"parameter_meaning",
       "",
       "meaning of the parameter",
       {A::parameter},
       S::text,
       &texts<&Run::parameters, &ParameterEntry::meaning>},
      {"parameter_source",
       "",
       "source of the parameter's default",
       {A::parameter},
       S::text,
       &texts<&Run::parameters, &ParameterEntry::source>},
      {"supply_units",
       "",
       "units in which the material is counted",
       {A::supply},
       S::text,
       &texts<&Run::supplies, &SupplyEntry::units>},
      {"supply_pack", "", "what a pack is called", {A::supply}, S::text, &texts<&Run::supplies, &SupplyEntry::pack>},
      {"supply_pack_size",
       "1",
       "content of a pack, in the material's units",
       {A::supply},
       S::float64,
       &numbers<&Run::supplies, &SupplyEntry::pack_size>},
      {"supply_packs_per_pallet",
       "1",
       "packs on a pallet, 0 when not sold by the pallet",
       {A::supply},
       S::float64,
       &numbers<&Run::supplies, &SupplyEntry::packs_per_pallet>},
      {"supply_mass_per_unit",
       "kg",
       "what one of the material's units weighs",
       {A::supply},
       S::float64,
       &numbers<&Run::supplies, &SupplyEntry::mass_per_unit_kg>},
      {"supply_lead_time",
       "d",
       "days from order to delivery",
       {A::supply},
       S::float64,
       &numbers<&Run::supplies, &SupplyEntry::lead_time_d>},
      {"supply_price",
       "1",
       "price of one of the material's units, in the file's currency",
       {A::supply},
       S::float64,
       &numbers<&Run::supplies, &SupplyEntry::price>},
      {"supply_in_stock",
       "1",
       "stock at the season's start, in the material's units",
       {A::supply},
       S::float64,
       &numbers<&Run::supplies, &SupplyEntry::in_stock>},
      {"planned_policy",
       "1",
       "index of the policy whose plan holds the stop",
       {A::planned_stop},
       S::int32,
       &numbers<&Run::planned_stops, &PlannedStopEntry::policy>},
      {"planned_day",
       "1",
       "working day of the plan's period, from 0",
       {A::planned_stop},
       S::int32,
       &numbers<&Run::planned_stops, &PlannedStopEntry::day>},
      {"planned_technician",
       "1",
       "index of the technician",
       {A::planned_stop},
       S::int32,
       &numbers<&Run::planned_stops, &PlannedStopEntry::technician>},
      {"planned_position",
       "1",
       "place of the stop in the technician's day, from 0",
       {A::planned_stop},
       S::int32,
       &numbers<&Run::planned_stops, &PlannedStopEntry::position>},
      {"planned_pool",
       "1",
       "index of the pool",
       {A::planned_stop},
       S::int32,
       &numbers<&Run::planned_stops, &PlannedStopEntry::pool>},
      {"planned_arrival",
       "s",
       "planned arrival after midnight",
       {A::planned_stop},
       S::int32,
       &numbers<&Run::planned_stops, &PlannedStopEntry::arrival_s>},
      {"planned_start",
       "s",
       "planned start of work after midnight",
       {A::planned_stop},
       S::int32,
       &numbers<&Run::planned_stops, &PlannedStopEntry::start_s>},
      {"planned_leave",
       "s",
       "planned departure after midnight",
       {A::planned_stop},
       S::int32,
       &numbers<&Run::planned_stops, &PlannedStopEntry::leave_s>},
      {"round_policy",
       "1",
       "index of the policy whose plan holds the round",
       {A::planned_round},
       S::int32,
       &numbers<&Run::planned_rounds, &PlannedRoundEntry::policy>},
      {"round_day",
       "1",
       "working day of the plan's period, from 0",
       {A::planned_round},
       S::int32,
       &numbers<&Run::planned_rounds, &PlannedRoundEntry::day>},
      {"round_technician",
       "1",
       "index of the technician",
       {A::planned_round},
       S::int32,
       &numbers<&Run::planned_rounds, &PlannedRoundEntry::technician>},
      {"round_leave_start",
       "s",
       "planned departure from the start after midnight",
       {A::planned_round},
       S::int32,
       &numbers<&Run::planned_rounds, &PlannedRoundEntry::leave_start_s>},
      {"round_reach_end",
       "s",
       "planned arrival at the end after midnight",
       {A::planned_round},
       S::int32,
       &numbers<&Run::planned_rounds, &PlannedRoundEntry::reach_end_s>},
      {"round_driving_time",
       "s",
       "planned driving of the round",
       {A::planned_round},
       S::int32,
       &numbers<&Run::planned_rounds, &PlannedRoundEntry::driving_s>},
      {"round_driving_distance",
       "m",
       "planned distance driven in the round",
       {A::planned_round},
       S::int32,
       &numbers<&Run::planned_rounds, &PlannedRoundEntry::driving_m>},
      {"round_overtime",
       "s",
       "planned overtime of the round",
       {A::planned_round},
       S::int32,
       &numbers<&Run::planned_rounds, &PlannedRoundEntry::overtime_s>},
      {"round_load",
       "kg",
       "expected material that the van takes along",
       {A::planned_round},
       S::float64,
       &numbers<&Run::planned_rounds, &PlannedRoundEntry::load_kg>},
      {"round_route_points",
       "1",
       "points of the round's line; the lines follow one another on axis route_point",
       {A::planned_round},
       S::int32,
       &numbers<&Run::planned_rounds, &PlannedRoundEntry::route_points>},
      {"route_longitude",
       "degrees_east",
       "longitude of the point, thinned to 5 m",
       {A::route_point},
       S::float64,
       &numbers<&Run::route_points, &RoutePointEntry::longitude_deg>},
      {"route_latitude",
       "degrees_north",
       "latitude of the point, thinned to 5 m",
       {A::route_point},
       S::float64,
       &numbers<&Run::route_points, &RoutePointEntry::latitude_deg>},
      {"input_sha256",
       "",
       "SHA-256 of the input file",
       {A::input_file},
       S::text,
       &texts<&Run::input_files, &InputFileEntry::sha256>},
      {"input_text",
       "",
       "content of a small input file",
       {A::input_file},
       S::text,
       &texts<&Run::input_files, &InputFileEntry::text>},
      {"book_error",
       "1",
       "worst relative closure of the conservation book",
       {A::policy, A::replicate, A::book},
       S::float64,
       OfWriter::book_error},
  };
  auto const pool = [&](std::string_view name, std::string_view units, std::string_view long_name, PoolMember member) {
    table.push_back({name, units, long_name, {A::policy, A::replicate, A::pool}, S::float32, member});
  };
  pool("open_hours", "h", "hours in which the pool was open", &PoolTally::open_hours);
  pool("free_chlorine_in_range", "1", "share of open hours with free chlorine in range",
       &PoolTally::free_chlorine_in_range);
  pool("free_chlorine_low", "1", "share of open hours with free chlorine under the range",
       &PoolTally::free_chlorine_low);
  pool("free_chlorine_high", "1", "share of open hours with free chlorine over the range",
       &PoolTally::free_chlorine_high);
  pool("active_chlorine_low", "1", "share of open hours with hypochlorous acid under the algae threshold",
       &PoolTally::active_chlorine_low);
  pool("ph_in_range", "1", "share of open hours with pH in range", &PoolTally::ph_in_range);
  pool("saturation_in_range", "1", "share of open hours with the saturation index in range",
       &PoolTally::saturation_in_range);
  pool("salt_in_range", "1", "share of open hours with salt in range", &PoolTally::salt_in_range);
  pool("cloudy_hours", "h", "hours of cloudy water", &PoolTally::cloudy_hours);
  pool("hours_without_production", "h", "hours in which chlorine was wanted from the cell and none was made",
       &PoolTally::hours_without_production);
  pool("days_without_production", "d", "open days on which the cell made nothing", &PoolTally::days_without_production);
  pool("warning_hours", "h", "hours with a warning lit", &PoolTally::warning_hours);
  pool("false_warning_hours", "h", "hours with a warning lit though salt and cell were fine",
       &PoolTally::false_warning_hours);
  pool("chlorine_produced", "kg", "chlorine made by the cell, as Cl2", &PoolTally::chlorine_produced);
  pool("cell_hours", "h", "operating hours of the cell", &PoolTally::cell_hours);
  pool("salt_added", "kg", "salt added", &PoolTally::salt_added);
  pool("acid_added", "m3", "31.45 % hydrochloric acid added", &PoolTally::acid_added);
  pool("bicarbonate_added", "kg", "sodium bicarbonate added", &PoolTally::bicarbonate_added);
  pool("calcium_chloride_added", "kg", "anhydrous calcium chloride added", &PoolTally::calcium_chloride_added);
  pool("cyanuric_acid_added", "kg", "cyanuric acid (stabiliser) added", &PoolTally::cyanuric_acid_added);
  pool("liquid_chlorine_added", "m3", "12.5 % sodium hypochlorite solution added", &PoolTally::liquid_chlorine_added);
  pool("fill_water", "m3", "fill water", &PoolTally::fill_water);
  pool("rain_water", "m3", "rain fallen on pool and catchment", &PoolTally::rain_water);
  pool("evaporated", "m3", "water evaporated", &PoolTally::evaporated);
  pool("overflowed", "m3", "water overflowed at the rim", &PoolTally::overflowed);
  pool("pump_energy", "kWh", "electricity of pump and cell", &PoolTally::pump_energy);
  pool("visits", "1", "visits, planned and call-outs", &PoolTally::visits);
  pool("call_outs", "1", "call-outs served", &PoolTally::call_outs);
  pool("late_visits", "1", "planned visits served after their day", &PoolTally::late_visits);
  pool("missed_visits", "1", "planned visits not served before the next was due", &PoolTally::missed_visits);
  pool("shortages", "1", "visits that lacked a supply", &PoolTally::shortages);
  pool("remote_readings", "1", "readings taken from afar", &PoolTally::remote_readings);
  pool("cell_cleanings", "1", "acid cleanings of the cell", &PoolTally::cell_cleanings);
  pool("innocent_cleanings", "1", "cleanings of a cell that carried no scale", &PoolTally::innocent_cleanings);
  pool("cells_replaced", "1", "cells replaced", &PoolTally::cells_replaced);
  pool("freeze_breaks", "1", "cells or pipes broken by frost", &PoolTally::freeze_breaks);
  pool("complaints", "1", "complaints of customers", &PoolTally::complaints);
  pool("lost_customers", "1", "customers lost", &PoolTally::lost_customers);
  pool("coating_left", "1", "share of the cell's coating left at the end", &PoolTally::coating_left);
  pool("largest_scale", "kg m-2", "largest scale on the cell's plates", &PoolTally::largest_scale);
  pool("largest_saturation_index", "1", "largest saturation index of the water", &PoolTally::largest_saturation_index);
  pool("service_time", "s", "work at the pool", &PoolTally::service_time);
  pool("driving_time", "s", "the pool's share of its rounds' driving", &PoolTally::driving_time);
  pool("cost", "1", "wages, mileage, supplies, cells and repairs, in the file's currency", &PoolTally::cost);
  pool("revenue", "1", "fees, in the file's currency", &PoolTally::revenue);

  auto const month = [&](std::string_view name, std::string_view units, std::string_view long_name,
                         MonthMember member) {
    table.push_back({name, units, long_name, {A::policy, A::replicate, A::month}, S::float64, member});
  };
  month("month_salt_added", "kg", "salt added in the month", &MonthTally::salt_added);
  month("month_acid_added", "m3", "31.45 % hydrochloric acid added in the month", &MonthTally::acid_added);
  month("month_bicarbonate_added", "kg", "sodium bicarbonate added in the month", &MonthTally::bicarbonate_added);
  month("month_calcium_chloride_added", "kg", "anhydrous calcium chloride added in the month",
        &MonthTally::calcium_chloride_added);
  month("month_cyanuric_acid_added", "kg", "cyanuric acid (stabiliser) added in the month",
        &MonthTally::cyanuric_acid_added);
  month("month_liquid_chlorine_added", "m3", "12.5 % sodium hypochlorite solution added in the month",
        &MonthTally::liquid_chlorine_added);
  month("month_fill_water", "m3", "fill water in the month", &MonthTally::fill_water);
  month("month_cells_replaced", "1", "cells replaced in the month", &MonthTally::cells_replaced);
  month("month_shortages", "1", "visits of the month that lacked a supply", &MonthTally::shortages);
  month("month_cell_cleanings", "1", "acid cleanings of cells in the month", &MonthTally::cell_cleanings);
  month("month_visits", "1", "visits in the month, planned and call-outs", &MonthTally::visits);
  month("month_call_outs", "1", "call-outs served in the month", &MonthTally::call_outs);
  month("month_late_visits", "1", "planned visits served after their day in the month", &MonthTally::late_visits);
  month("month_missed_visits", "1", "planned visits not served before the next was due in the month",
        &MonthTally::missed_visits);
  month("month_service_time", "s", "work at pools in the month", &MonthTally::service_time);
  month("month_driving_time", "s", "driving in the month", &MonthTally::driving_time);
  month("month_driving_distance", "m", "distance driven in the month", &MonthTally::driving_distance);
  month("month_overtime", "s", "overtime in the month", &MonthTally::overtime);
  month("month_free_chlorine_in_range", "1", "share of the month's open pool-hours with free chlorine in range",
        &MonthTally::free_chlorine_in_range);
  month("month_hours_without_production", "h", "pool-hours in which chlorine was wanted and none was made",
        &MonthTally::hours_without_production);
  month("month_labour_cost", "1", "wages of the month at pools and on the road, in the file's currency",
        &MonthTally::labour_cost);
  month("month_driving_cost", "1", "mileage of the month, in the file's currency", &MonthTally::driving_cost);
  month("month_supplies_cost", "1",
        "chemicals, tests, remote readings, water and electricity of the month, in the file's currency",
        &MonthTally::supplies_cost);
  month("month_equipment_cost", "1", "cells and repairs of the month, in the file's currency",
        &MonthTally::equipment_cost);
  month("month_cost", "1", "all costs of the month, in the file's currency", &MonthTally::cost);
  month("month_revenue", "1", "fees of the month, in the file's currency", &MonthTally::revenue);

  auto const band = [&](std::string_view name, std::string_view units, std::string_view long_name,
                        DayBandMember member) {
    table.push_back({name, units, long_name, {A::policy, A::replicate, A::quantile, A::day}, S::reading, member});
  };
  band("day_salt", "kg m-3", "salt at noon, quantiles over open pools", &DayTally::salt);
  band("day_free_chlorine", "kg m-3", "free chlorine at noon as Cl2, quantiles over open pools",
       &DayTally::free_chlorine);
  band("day_ph", "1", "pH at noon, quantiles over open pools", &DayTally::ph);
  band("day_saturation_index", "1", "saturation index at noon, quantiles over open pools", &DayTally::saturation_index);
  band("day_scale", "kg m-2", "scale on the cells' plates at noon, quantiles over open pools", &DayTally::scale);
  band("day_water_temperature", "K", "water temperature at noon, quantiles over open pools",
       &DayTally::water_temperature);
  auto const day = [&](std::string_view name, std::string_view units, std::string_view long_name, DayMember member) {
    table.push_back({name, units, long_name, {A::policy, A::replicate, A::day}, S::float32, member});
  };
  day("day_rain", "m", "rain of the day at the first site", &DayTally::rain);
  day("day_air_temperature", "K", "mean air temperature of the day at the first site", &DayTally::air_temperature);
  day("day_open_pools", "1", "pools open", &DayTally::open_pools);
  day("day_waiting_call_outs", "1", "call-outs still waiting at the end of the day", &DayTally::waiting_call_outs);

  auto const technician = [&](std::string_view name, std::string_view units, std::string_view long_name,
                              TechnicianMember member) {
    table.push_back({name, units, long_name, {A::policy, A::replicate, A::technician, A::day}, S::float32, member});
  };
  technician("technician_service_time", "s", "work at pools in the day", &TechnicianTally::service_time);
  technician("technician_driving_time", "s", "driving in the day", &TechnicianTally::driving_time);
  technician("technician_driving_distance", "m", "distance driven in the day", &TechnicianTally::driving_distance);
  technician("technician_overtime", "s", "overtime in the day", &TechnicianTally::overtime);
  technician("technician_stops", "1", "stops in the day", &TechnicianTally::stops);

  auto const visit = [&](std::string_view name, std::string_view units, std::string_view long_name, Storage storage,
                         Source source, std::vector<std::string> (*bits)() = nullptr) {
    table.push_back({name, units, long_name, {A::visit}, storage, source, bits});
  };
  visit("visit_time", "seconds since {first_day}", "when the visit began, local standard time", S::int32,
        &VisitRecord::time_s);
  visit("visit_policy", "1", "index of the policy", S::int32, OfWriter::visit_policy);
  visit("visit_replicate", "1", "index of the replicate", S::int32, OfWriter::visit_replicate);
  visit("visit_pool", "1", "index of the pool", S::int32, &VisitRecord::pool);
  visit("visit_technician", "1", "index of the technician", S::int32, &VisitRecord::technician);
  visit("visit_tasks", "1", "what was done, one bit a task", S::uint32, &VisitRecord::tasks, &task_bit_names);
  visit("visit_reasons", "1", "why the visit was made, one bit a reason", S::uint32, &VisitRecord::reasons,
        &bit_names<sim::VisitReason, sim::visit_reason_count>);
  visit("visit_rules", "1", "which rules of the policy fired, one bit a rule", S::uint32, &VisitRecord::rules,
        &bit_names<sim::FiredRule, sim::fired_rule_count>);
  visit("visit_shortages", "1", "what was wanted and not at hand, one bit a supply", S::uint32, &VisitRecord::shortages,
        &bit_names<sim::Shortage, sim::shortage_count>);
  visit("visit_free_chlorine_reading", "kg m-3", "free chlorine read, as Cl2", S::reading,
        &VisitRecord::free_chlorine_reading);
  visit("visit_ph_reading", "1", "pH read", S::reading, &VisitRecord::ph_reading);
  visit("visit_alkalinity_reading", "mol m-3", "total alkalinity read, in equivalents", S::reading,
        &VisitRecord::alkalinity_reading);
  visit("visit_calcium_reading", "mol m-3", "calcium read", S::reading, &VisitRecord::calcium_reading);
  visit("visit_cyanuric_acid_reading", "mol m-3", "cyanuric acid read", S::reading,
        &VisitRecord::cyanuric_acid_reading);
  visit("visit_salt_reading", "kg m-3", "salt read by the independent test", S::reading, &VisitRecord::salt_reading);
  visit("visit_unit_salt_reading", "kg m-3", "salt shown by the unit's own sensor", S::reading,
        &VisitRecord::unit_salt_reading);
  visit("visit_salt_added", "kg", "salt added at the visit", S::reading, &VisitRecord::salt_added);
  visit("visit_acid_added", "m3", "31.45 % hydrochloric acid added at the visit", S::reading, &VisitRecord::acid_added);
  visit("visit_bicarbonate_added", "kg", "sodium bicarbonate added at the visit", S::reading,
        &VisitRecord::bicarbonate_added);
  visit("visit_calcium_chloride_added", "kg", "anhydrous calcium chloride added at the visit", S::reading,
        &VisitRecord::calcium_chloride_added);
  visit("visit_cyanuric_acid_added", "kg", "cyanuric acid added at the visit", S::reading,
        &VisitRecord::cyanuric_acid_added);
  visit("visit_liquid_chlorine_added", "m3", "12.5 % sodium hypochlorite solution added at the visit", S::reading,
        &VisitRecord::liquid_chlorine_added);
  visit("visit_output_setting", "1", "share of full output after the visit", S::reading, &VisitRecord::output_setting);
  visit("visit_pump_hours", "h", "pump hours a day after the visit", S::reading, &VisitRecord::pump_hours);
  visit("visit_expected_free_chlorine", "kg m-3", "free chlorine the rules expect at the next visit, as Cl2",
        S::reading, &VisitRecord::expected_free_chlorine);
  visit("visit_expected_salt", "kg m-3", "salt the rules expect at the next visit", S::reading,
        &VisitRecord::expected_salt);
  visit("visit_service_time", "s", "work at the pool", S::reading, &VisitRecord::service_time);

  auto const trace = [&](std::string_view name, std::string_view units, std::string_view long_name,
                         TraceMember member) {
    table.push_back(
        {name, units, long_name, {A::policy, A::replicate, A::trace_pool, A::trace_hour}, S::reading, member});
  };
  trace("trace_water_volume", "m3", "water volume at the end of the hour", &PoolTrace::water_volume);
  trace("trace_water_temperature", "K", "water temperature at the end of the hour", &PoolTrace::water_temperature);
  trace("trace_salt", "kg m-3", "salt at the end of the hour", &PoolTrace::salt);
  trace("trace_free_chlorine", "kg m-3", "free chlorine at the end of the hour, as Cl2", &PoolTrace::free_chlorine);
  trace("trace_active_chlorine", "kg m-3", "hypochlorous acid at the end of the hour, as Cl2",
        &PoolTrace::active_chlorine);
  trace("trace_combined_chlorine", "kg m-3", "combined chlorine at the end of the hour, as Cl2",
        &PoolTrace::combined_chlorine);
  trace("trace_ph", "1", "pH at the end of the hour", &PoolTrace::ph);
  trace("trace_alkalinity", "mol m-3", "total alkalinity at the end of the hour, in equivalents",
        &PoolTrace::alkalinity);
  trace("trace_calcium", "mol m-3", "calcium at the end of the hour", &PoolTrace::calcium);
  trace("trace_cyanuric_acid", "mol m-3", "cyanuric acid at the end of the hour", &PoolTrace::cyanuric_acid);
  trace("trace_saturation_index", "1", "saturation index at the end of the hour", &PoolTrace::saturation_index);
  trace("trace_scale", "kg m-2", "scale on the cell's plates at the end of the hour", &PoolTrace::scale);
  trace("trace_cell_output", "1", "share of rated production made in the hour", &PoolTrace::cell_output);
  trace("trace_coating", "1", "share of the cell's coating left", &PoolTrace::coating);
  return table;
}
// clang-format on

std::vector<Variable> const& table() {
  static std::vector<Variable> const all = build_table();
  return all;
}

std::string_view name_of(Storage storage) {
  switch (storage) {
    case Storage::float64:
      return "float64";
    case Storage::float32:
      return "float32";
    case Storage::reading:
      return "float32, 12 bits";
    case Storage::int32:
      return "int32";
    case Storage::uint32:
      return "uint32";
    case Storage::uint8:
      return "uint8";
    case Storage::text:
      return "text";
  }
  return "";
}

}  // namespace

std::string_view name_of(Axis axis) {
  constexpr std::array<std::string_view, axis_count> names = {
      "policy",   "replicate",    "pool",          "month",       "technician", "day",
      "quantile", "visit",        "trace_pool",    "trace_hour",  "book",       "parameter",
      "supply",   "planned_stop", "planned_round", "route_point", "input_file"};
  return names[static_cast<std::size_t>(axis)];
}

std::span<Variable const> variables() { return table(); }

Variable const* find_variable(std::string_view name) {
  auto const found = std::find_if(table().begin(), table().end(), [&](auto const& v) { return v.name == name; });
  return found == table().end() ? nullptr : &*found;
}

std::string units_of(Variable const& variable, RunDescription const& run) {
  std::string units(variable.units);
  std::string_view const mark = "{first_day}";
  if (auto const at = units.find(mark); at != std::string::npos) {
    units.replace(at, mark.size(), sim::date_text(run.first_day) + " 00:00:00");
  }
  return units;
}

std::array<std::size_t, axis_count> axis_lengths(RunDescription const& run) {
  return {run.policies.size(),
          run.replicates,
          run.pools.size(),
          month_starts(run).size(),
          run.technicians.size(),
          static_cast<std::size_t>(run.days),
          sim::day_quantiles.size(),
          0,
          run.trace_pools.size(),
          run.trace_pools.empty() ? 0 : static_cast<std::size_t>(run.days) * 24,
          books.size(),
          run.parameters.size(),
          run.supplies.size(),
          run.planned_stops.size(),
          run.planned_rounds.size(),
          run.route_points.size(),
          run.input_files.size()};
}

std::span<std::string_view const> book_names() { return book_name_list; }

std::vector<double> book_values(sim::BookErrors const& errors) {
  std::vector<double> values;
  for (auto const& book : books) values.push_back(errors.*book.member);
  return values;
}

std::string schema_table() {
  std::string text = "| variable | units | axes | stored as | meaning |\n|---|---|---|---|---|\n";
  for (auto const& variable : variables()) {
    std::string axes;
    for (auto const axis : variable.axes) axes += (axes.empty() ? "" : ", ") + std::string(name_of(axis));
    fmt::format_to(std::back_inserter(text), "| `{}` | {} | {} | {} | {} |\n", variable.name, variable.units, axes,
                   name_of(variable.storage), variable.long_name);
  }
  return text;
}

}  // namespace brinecast::results
