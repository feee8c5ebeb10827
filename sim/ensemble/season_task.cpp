#include "sim/ensemble/season_task.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <chrono>
#include <cmath>

#include "models/constants.hpp"
#include "models/dosing/dosing.hpp"
#include "models/freezing/freezing.hpp"
#include "sim/random/random.hpp"

namespace brinecast::sim {

namespace {

constexpr int hours_per_day = 24;
constexpr double seconds_per_hour = models::seconds_per_hour;
constexpr double patience_after_visit_d = 2.0;  // owners give a visit's work time: common practice, no source
constexpr double plan_tolerance = 0.15;         // of the planned interval, within which the plan's days hold
constexpr double service_memory = 0.3;          // weight of the last visit in the expected work

/// Quantities whose quantiles are kept, in the order of `DayTally`.
enum NoonQuantity : std::size_t {
  noon_salt,
  noon_free_chlorine,
  noon_ph,
  noon_saturation,
  noon_scale,
  noon_temperature
};

float reading(std::optional<double> const& value) {
  return value ? static_cast<float>(*value) : std::numeric_limits<float>::quiet_NaN();
}

double processor_seconds() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

template <class Tally>
void size_all(Tally& tally, std::size_t count) {
  using Column = std::vector<double>;
  static_assert(sizeof(Tally) % sizeof(Column) == 0);
  auto* columns = reinterpret_cast<Column*>(&tally);
  for (std::size_t i = 0; i < sizeof(Tally) / sizeof(Column); ++i) columns[i].assign(count, 0.0);
}

}  // namespace

PlanIndex::PlanIndex(Scenario const& scenario, RoundsPlan const& plan)
    : period_days_(std::max(1, plan.period_days)),
      pools_(scenario.pools.size()),
      places_(static_cast<std::size_t>(period_days_) * pools_),
      usual_(pools_),
      first_day_(pools_, 0) {
  std::vector<int> first_in_period(pools_, -1);
  for (Round const& round : plan.rounds) {
    for (std::size_t position = 0; position < round.stops.size(); ++position) {
      std::size_t const pool = index_of(round.stops[position].pool);
      Place const place{round.technician, static_cast<int>(position)};
      places_[static_cast<std::size_t>(round.day) * pools_ + pool] = place;
      if (usual_[pool].position < 0) usual_[pool] = place;
      if (first_in_period[pool] < 0 || round.day < first_in_period[pool]) first_in_period[pool] = round.day;
    }
  }
  std::vector<int> day_of_working_day;
  auto const working = number_working_days(scenario);
  for (std::size_t day = 0; day < working.size(); ++day) {
    if (working[day] >= 0) day_of_working_day.push_back(static_cast<int>(day));
  }
  for (std::size_t pool = 0; pool < pools_; ++pool) {
    auto const first = static_cast<std::size_t>(std::max(0, first_in_period[pool]));
    first_day_[pool] = first < day_of_working_day.size() ? day_of_working_day[first] : scenario.season.days;
  }
}

PlanIndex::Place PlanIndex::place(std::size_t working_day, PoolId pool) const {
  return places_[working_day % static_cast<std::size_t>(period_days_) * pools_ + index_of(pool)];
}

std::vector<int> number_working_days(Scenario const& scenario) {
  std::vector<int> numbers(static_cast<std::size_t>(scenario.season.days), -1);
  int next = 0;
  for (std::size_t day = 0; day < numbers.size(); ++day) {
    auto const date = scenario.season.first_day + std::chrono::days{static_cast<int>(day)};
    auto const& working = scenario.rounds.working_days;
    auto const& holidays = scenario.season.holidays;
    if (std::find(working.begin(), working.end(), std::chrono::weekday{date}) == working.end()) continue;
    if (std::find(holidays.begin(), holidays.end(), date) != holidays.end()) continue;
    numbers[day] = next++;
  }
  return numbers;
}

SeasonTask::SeasonTask(Prepared const& prepared, TaskId task, SeasonWeather const& weather)
    : prepared_(prepared),
      scenario_(prepared.scenario),
      policy_(scenario_.policies[task.policy]),
      task_(task),
      weather_(weather),
      settings_(kernel_settings(scenario_.parameters, scenario_.bands)),
      advance_(best_vector_target().advance),
      plan_(scenario_, prepared.plans[task.policy]),
      dispatcher_(scenario_, prepared.travel),
      working_days_(number_working_days(scenario_)),
      fleet_(make_fleet(scenario_, scenario_.seed, task.replicate, settings_)),
      files_(scenario_.pools.size()),
      knowledge_(scenario_.sites.size()),
      wanted_reasons_(scenario_.pools.size()),
      stops_of_block_(fleet_.blocks.size()) {
  auto const days = static_cast<std::size_t>(scenario_.season.days);
  std::chrono::year_month_day const first{scenario_.season.first_day};
  for (std::size_t day = 0; day < days; ++day) {
    std::chrono::year_month_day const date{scenario_.season.first_day + std::chrono::days{static_cast<int>(day)}};
    auto const months = (date.year() / date.month()) - (first.year() / first.month());
    month_of_day_.push_back(static_cast<std::size_t>(months.count()));
  }
  std::size_t const pools = scenario_.pools.size();
  for (std::size_t i = 0; i < pools; ++i) {
    Pool const& pool = scenario_.pools[i];
    PoolId const id{static_cast<std::uint32_t>(i)};
    PoolFile& file = files_[i];
    file.record = start_record(policy_, pool, scenario_.season, plan_.first_day(id));
    file.planned_interval_d = typical_interval_d(policy_, pool, scenario_.season);
    file.expected_service_s = typical_service_s(policy_, pool, scenario_.season) + scenario_.rounds.stop_overhead_s;
    file.cell_age_h = pool.cell_age_h;
    if (file.record.stage == PoolStage::closed) {
      Slot const slot = fleet_.slot_of_pool[i];
      PoolControls& controls = fleet_.blocks[slot.block].controls;
      controls.open[slot.lane] = 0.0;
      controls.counted[slot.lane] = 0.0;
      controls.cell_powered[slot.lane] = 0.0;
      controls.lines_protected[slot.lane] = policy_.year.how == Closing::drain_lines ? 1.0 : 0.0;
    }
  }
  result_.policy = task.policy;
  result_.replicate = task.replicate;
  size_all(result_.pools, pools);
  size_all(result_.months, month_of_day_.empty() ? 0 : month_of_day_.back() + 1);
  auto const size_days = [&](std::vector<float>& series) { series.assign(days, 0.0F); };
  DayTally& d = result_.days;
  for (auto* quantity : {&d.salt, &d.free_chlorine, &d.ph, &d.saturation_index, &d.scale, &d.water_temperature}) {
    for (auto& series : *quantity) size_days(series);
  }
  for (auto* series : {&d.rain, &d.air_temperature, &d.open_pools, &d.waiting_call_outs}) size_days(*series);
  TechnicianTally& t = result_.technicians;
  for (auto* quantity : {&t.service_time, &t.driving_time, &t.driving_distance, &t.overtime, &t.stops}) {
    quantity->resize(scenario_.technicians.size());
    for (auto& series : *quantity) size_days(series);
  }
  for (auto& quantity : noon_) quantity.resize(fleet_.blocks.size());
  for (std::size_t i = 0; i < pools; ++i) {
    auto const& names = scenario_.outputs.trace_pools;
    if (std::find(names.begin(), names.end(), scenario_.pools[i].name) == names.end()) continue;
    PoolTrace trace;
    trace.pool = static_cast<std::uint32_t>(i);
    result_.traces.push_back(std::move(trace));
  }
}

DrawKey SeasonTask::key(PoolId pool, std::uint32_t time) const {
  return {.seed = scenario_.seed,
          .replicate = task_.replicate,
          .pool = static_cast<std::uint32_t>(pool),
          .purpose = Purpose::pool_luck,
          .time = time};
}

DayKnowledge const& SeasonTask::knowledge(PoolId pool) const {
  return knowledge_[index_of(scenario_.pools[index_of(pool)].site)];
}

bool SeasonTask::run(std::function<bool()> const& cancelled, bool parallel_blocks) {
  double const started_s = processor_seconds();
  for (day_ = 0; day_ < scenario_.season.days; ++day_) {
    if (cancelled && cancelled()) return false;
    begin_day();
    find_wanted_visits();
    build_rounds();
    advance_hours(parallel_blocks);
    settle_accounts();
    end_day();
  }
  finish();
  result_.total_s = processor_seconds() - started_s;
  return true;
}

/// The morning: what everybody knows, and what the day will bring to each pool.
void SeasonTask::begin_day() {
  auto const past = static_cast<std::size_t>(day_);
  for (std::size_t site = 0; site < weather_.sites.size(); ++site) {
    SiteSeason const& season = weather_.sites[site];
    knowledge_[site] = {.day = day_,
                        .date = scenario_.season.first_day + std::chrono::days{day_},
                        .rain_m = {season.rain_m.data(), past},
                        .air_mean_K = {season.air_mean_K.data(), past},
                        .air_highest_K = {season.air_highest_K.data(), past}};
  }
  models::Parameters const& parameters = scenario_.parameters;
  auto const today = static_cast<std::uint32_t>(day_);
  for (std::size_t i = 0; i < scenario_.pools.size(); ++i) {
    Pool const& pool = scenario_.pools[i];
    PoolId const id{static_cast<std::uint32_t>(i)};
    Slot const slot = fleet_.slot_of_pool[i];
    PoolDay& day = fleet_.blocks[slot.block].day;
    DrawKey draw = key(id, today);
    int const bathers = bathers_of_day(pool, scenario_.season, knowledge(id).date,
                                       weather_.sites[index_of(pool.site)].air_highest_K[past], draw);
    day.bathers[slot.lane] = bathers;
    draw.purpose = Purpose::debris;
    auto const [debris, air] = uniform_pair(draw);
    day.debris_kg[slot.lane] =
        -std::log(debris) * parameters.debris_kg_per_m2_day * pool.surface_area_m2 * pool.debris_factor;
    day.air_in_line[slot.lane] = air < parameters.air_in_line_per_day ? 1.0 : 0.0;
  }
}

/// A planned pool is wanted on its plan's day; one that slipped, was triggered or called for, on every working day
/// until it is served.
void SeasonTask::find_wanted_visits() {
  wanted_.clear();
  int const working_day = working_days_[static_cast<std::size_t>(day_)];
  for (std::size_t i = 0; i < files_.size(); ++i) {
    PoolId const id{static_cast<std::uint32_t>(i)};
    PoolFile& file = files_[i];
    wanted_reasons_[i] = 0;
    if (file.lost) continue;
    Pool const& pool = scenario_.pools[i];
    DayKnowledge const& today = knowledge(id);
    if (wants_remote_reading(policy_, file.record, today)) {
      Slot const slot = fleet_.slot_of_pool[i];
      PoolBlock& block = fleet_.blocks[slot.block];
      auto const setting =
          read_remotely(policy_, file.record, true_water(block, slot.lane, file.cell_age_h, scenario_.parameters),
                        today, key(id, static_cast<std::uint32_t>(day_ * hours_per_day)));
      if (setting) block.controls.output_setting[slot.lane] = *setting;
      result_.pools.remote_readings[i] += 1.0;
      result_.pools.cost[i] += scenario_.prices.remote_reading_per_day * policy_.visits.remote.every_d;
    }
    if (working_day < 0) continue;
    std::uint32_t reasons = reasons_to_visit(policy_, pool, file.record, today);
    PlanIndex::Place place = plan_.place(static_cast<std::size_t>(working_day), id);
    bool const planned_today = place.position >= 0;
    std::uint32_t const regular = bit(VisitReason::interval);
    // A plan made for another interval, of another season or before an adaptive stretch, does not bind: then the due
    // day alone decides.
    double const interval_d = visit_interval_d(policy_, pool, file.record, today);
    bool const bound = std::abs(interval_d - file.planned_interval_d) <= plan_tolerance * file.planned_interval_d;
    if (bound && file.record.stage == PoolStage::in_service && (reasons == 0 || reasons == regular)) {
      // The interval alone: on the plan's day nearest to the due day; on others only when that day has passed.
      double const due_in_d = next_due_day(policy_, pool, file.record, today) - day_;
      double const half_d = 0.5 * interval_d;
      bool const slipped = file.wanted_since >= 0 || due_in_d <= -half_d;
      reasons = (planned_today && due_in_d <= half_d) || slipped ? regular : 0;
      if (plan_.usual_place(id).position < 0 && due_in_d <= 0.0) reasons = regular;
    }
    bool const call_out = file.called_on >= 0 && day_ - file.called_on >= policy_.people.call_answer_d;
    if (call_out) reasons |= bit(VisitReason::call_out);
    if (reasons == 0) {
      file.wanted_since = -1;
      continue;
    }
    if (file.wanted_since < 0) file.wanted_since = day_;
    if (!planned_today) place = plan_.usual_place(id);
    wanted_reasons_[i] = reasons;
    wanted_.push_back({.pool = id,
                       .service_s = file.expected_service_s,
                       .supplies_kg = typical_load_kg(policy_, pool, scenario_.season),
                       .days_late = static_cast<double>(day_ - (call_out ? file.called_on : file.wanted_since)),
                       .call_out = call_out,
                       .planned_technician = place.technician,
                       .planned_position = std::max(0, place.position)});
  }
}

void SeasonTask::note_missed(PoolId pool, PoolFile& file) {
  // A visit that waits longer than the interval until the next has been missed; the wait for the next begins.
  auto const interval_d =
      static_cast<int>(visit_interval_d(policy_, scenario_.pools[index_of(pool)], file.record, knowledge(pool)));
  if (day_ - file.wanted_since < std::max(1, interval_d)) return;
  result_.pools.missed_visits[index_of(pool)] += 1.0;
  result_.months.missed_visits[month_of_day_[static_cast<std::size_t>(day_)]] += 1.0;
  file.wanted_since = day_;
}

void SeasonTask::build_rounds() {
  stops_.clear();
  for (auto& list : stops_of_block_) list.clear();
  if (wanted_.empty()) return;
  double const started_s = processor_seconds();
  DayRounds const rounds = dispatcher_.dispatch(wanted_);
  result_.dispatch_s += processor_seconds() - started_s;
  for (PoolId const pool : rounds.not_served) note_missed(pool, files_[index_of(pool)]);
  for (Round const& round : rounds.rounds) {
    double const stops = static_cast<double>(std::max<std::size_t>(1, round.stops.size()));
    double const driving_cost = round.driving_s / seconds_per_hour * scenario_.prices.wage_per_h +
                                round.driving_m / 1000.0 * scenario_.prices.driving_per_km;
    for (PlannedStop const& planned : round.stops) {
      Stop stop;
      stop.pool = planned.pool;
      stop.technician = round.technician;
      stop.time_s = planned.start_s;
      stop.hour = std::clamp(planned.start_s / 3600, 0, hours_per_day - 1);
      stop.driving_share_s = round.driving_s / stops;
      stop.driving_cost = driving_cost / stops;
      stop.reasons = wanted_reasons_[index_of(planned.pool)];
      stops_.push_back(std::move(stop));
    }
    std::size_t const technician = index_of(round.technician);
    auto const day = static_cast<std::size_t>(day_);
    result_.technicians.driving_time[technician][day] = static_cast<float>(round.driving_s);
    result_.technicians.driving_distance[technician][day] = static_cast<float>(round.driving_m);
    result_.technicians.stops[technician][day] = static_cast<float>(round.stops.size());
    MonthTally& month = result_.months;
    std::size_t const m = month_of_day_[day];
    month.driving_time[m] += round.driving_s;
    month.driving_distance[m] += round.driving_m;
    month.driving_cost[m] += driving_cost;
  }
  for (std::uint32_t i = 0; i < stops_.size(); ++i) {
    stops_of_block_[fleet_.slot_of_pool[index_of(stops_[i].pool)].block].push_back(i);
  }
}

void SeasonTask::advance_hours(bool parallel_blocks) {
  double const started_s = processor_seconds();
  if (parallel_blocks) {
    tbb::parallel_for(std::size_t{0}, fleet_.blocks.size(), [&](std::size_t block) { advance_block_of_pools(block); });
  } else {
    for (std::size_t block = 0; block < fleet_.blocks.size(); ++block) advance_block_of_pools(block);
  }
  result_.kernel_s += processor_seconds() - started_s;
}

/// A day of one block stays in cache. Blocks share nothing but the day's stops, each of which belongs to one block.
void SeasonTask::advance_block_of_pools(std::size_t number) {
  PoolBlock& block = fleet_.blocks[number];
  SiteSeason const& site = weather_.sites[index_of(fleet_.site_of_block[number])];
  block.hours.made_today_mol = {};
  block.hours.wanted_today_h = {};
  auto const first_hour = static_cast<std::size_t>(day_) * hours_per_day;
  for (int hour = 0; hour < hours_per_day; ++hour) {
    for (std::uint32_t const i : stops_of_block_[number]) {
      if (stops_[i].hour == hour) make_visit(stops_[i], block, fleet_.slot_of_pool[index_of(stops_[i].pool)].lane);
    }
    advance_(block, site.hours[first_hour + static_cast<std::size_t>(hour)], settings_);
    if (!result_.traces.empty()) note_traces(number, first_hour + static_cast<std::size_t>(hour));
    if (hour == hours_per_day / 2) note_noon(number);
  }
}

void SeasonTask::make_visit(Stop& stop, PoolBlock& block, std::size_t lane) {
  std::size_t const i = index_of(stop.pool);
  PoolFile& file = files_[i];
  Pool const& pool = scenario_.pools[i];
  auto const hour = static_cast<std::uint32_t>(day_ * hours_per_day + stop.hour);
  stop.visit = visit_pool(policy_, pool, scenario_.fill_waters[pool.fill_water], file.record,
                          true_water(block, lane, file.cell_age_h, scenario_.parameters), knowledge(stop.pool),
                          stop.reasons, key(stop.pool, hour));
  VisitActions const& actions = stop.visit.decision.actions;
  WaterReadings const& readings = stop.visit.readings;
  file.lamp_explained = readings.warning_low_salt || readings.warning_check_cell;
  stop.fill_m3 = apply_actions(block, lane, actions, settings_);
  if (actions.replace_cell) {
    install_cell(block, lane,
                 draw_coating_life_h(scenario_, scenario_.seed, task_.replicate, stop.pool, file.cells_used));
    ++file.cells_used;
    file.cell_age_h = -block.hours.cell_h[lane];
  }
}

void SeasonTask::note_noon(std::size_t number) {
  PoolBlock const& block = fleet_.blocks[number];
  PoolState const& s = block.state;
  for (std::size_t lane = 0; lane < block_pools; ++lane) {
    double const per_m3 = 1.0 / s.water_volume_m3[lane];
    auto const note = [&](NoonQuantity quantity, double value) {
      noon_[quantity][number][lane] = static_cast<float>(value);
    };
    note(noon_salt, s.salt_kg[lane] * per_m3);
    note(noon_free_chlorine, s.free_chlorine_mol[lane] * per_m3 * models::molar_mass_Cl2_kg_per_mol);
    note(noon_ph, s.ph[lane]);
    note(noon_saturation, s.saturation_index[lane]);
    note(noon_scale, s.scale_kg_per_m2[lane]);
    note(noon_temperature, s.water_temperature_K[lane]);
  }
}

void SeasonTask::note_traces(std::size_t number, std::size_t hour) {
  for (PoolTrace& trace : result_.traces) {
    Slot const slot = fleet_.slot_of_pool[trace.pool];
    if (slot.block != number) continue;
    PoolState const& s = fleet_.blocks[number].state;
    std::size_t const lane = slot.lane;
    double const per_m3 = 1.0 / s.water_volume_m3[lane];
    auto const note = [&](std::vector<float>& channel, double value) {
      if (channel.empty()) channel.resize(static_cast<std::size_t>(scenario_.season.days) * hours_per_day);
      channel[hour] = static_cast<float>(value);
    };
    note(trace.water_volume, s.water_volume_m3[lane]);
    note(trace.water_temperature, s.water_temperature_K[lane]);
    note(trace.salt, s.salt_kg[lane] * per_m3);
    note(trace.free_chlorine, s.free_chlorine_mol[lane] * per_m3 * models::molar_mass_Cl2_kg_per_mol);
    note(trace.active_chlorine, s.hypochlorous_mol_per_m3[lane] * models::molar_mass_Cl2_kg_per_mol);
    note(trace.combined_chlorine, s.combined_chlorine_mol[lane] * per_m3 * models::molar_mass_Cl2_kg_per_mol);
    note(trace.ph, s.ph[lane]);
    note(trace.alkalinity, s.alkalinity_mol[lane] * per_m3);
    note(trace.calcium, s.calcium_mol[lane] * per_m3);
    note(trace.cyanuric_acid, s.cyanuric_acid_mol[lane] * per_m3);
    note(trace.saturation_index, s.saturation_index[lane]);
    note(trace.scale, s.scale_kg_per_m2[lane]);
    note(trace.cell_output, s.cell_output[lane]);
    note(trace.coating, s.coating_left[lane]);
  }
}

/// Money, supplies and work of the day's visits; the visit log.
void SeasonTask::settle_accounts() {
  Prices const& prices = scenario_.prices;
  auto const day = static_cast<std::size_t>(day_);
  std::size_t const m = month_of_day_[day];
  PoolTally& pools = result_.pools;
  MonthTally& months = result_.months;
  std::vector<double> work_s(scenario_.technicians.size(), 0.0);
  for (Stop const& stop : stops_) {
    std::size_t const i = index_of(stop.pool);
    PoolFile& file = files_[i];
    VisitActions const& actions = stop.visit.decision.actions;
    bool const call_out = has(stop.reasons, VisitReason::call_out);
    double const service_s = actions.service_s + scenario_.rounds.stop_overhead_s;
    file.expected_service_s += service_memory * (service_s - file.expected_service_s);
    double const acid_m3 =
        (actions.acid_mol + actions.acid_clean_cycles * scenario_.parameters.cleaning_acid_mol_per_bath) /
        models::acid_mol_per_m3;
    double const bicarbonate_kg = actions.bicarbonate_mol * models::molar_mass_NaHCO3_kg_per_mol;
    double const calcium_kg = actions.calcium_mol * models::molar_mass_CaCl2_kg_per_mol;
    double const cyanuric_kg = actions.cyanuric_acid_mol * models::molar_mass_cyanuric_acid_kg_per_mol;
    double const liquid_m3 = actions.liquid_chlorine_kg / models::liquid_chlorine_kg_per_m3;
    // One line a quantity: the pool's total and the month's.
    auto const enter = [&](std::vector<double>& of_pool, std::vector<double>& of_month, double amount) {
      of_pool[i] += amount;
      of_month[m] += amount;
    };
    enter(pools.salt_added, months.salt_added, actions.salt_kg);
    enter(pools.acid_added, months.acid_added, acid_m3);
    enter(pools.bicarbonate_added, months.bicarbonate_added, bicarbonate_kg);
    enter(pools.calcium_chloride_added, months.calcium_chloride_added, calcium_kg);
    enter(pools.cyanuric_acid_added, months.cyanuric_acid_added, cyanuric_kg);
    enter(pools.liquid_chlorine_added, months.liquid_chlorine_added, liquid_m3);
    enter(pools.fill_water, months.fill_water, stop.fill_m3);
    enter(pools.visits, months.visits, 1.0);
    enter(pools.call_outs, months.call_outs, call_out ? 1.0 : 0.0);
    enter(pools.late_visits, months.late_visits, !call_out && day_ > file.wanted_since ? 1.0 : 0.0);
    enter(pools.cell_cleanings, months.cell_cleanings, actions.acid_clean_cycles > 0 ? 1.0 : 0.0);
    enter(pools.cells_replaced, months.cells_replaced, actions.replace_cell ? 1.0 : 0.0);
    enter(pools.service_time, months.service_time, service_s);
    pools.driving_time[i] += stop.driving_share_s;
    if (actions.acid_clean_cycles > 0 && stop.visit.readings.scale_grade == 0) pools.innocent_cleanings[i] += 1.0;

    double const labour_cost = service_s / seconds_per_hour * prices.wage_per_h;
    double const supplies_cost = actions.salt_kg * prices.salt_per_kg + acid_m3 * prices.acid_per_m3 +
                                 bicarbonate_kg * prices.bicarbonate_per_kg +
                                 calcium_kg * prices.calcium_chloride_per_kg +
                                 cyanuric_kg * prices.cyanuric_acid_per_kg + liquid_m3 * prices.liquid_chlorine_per_m3 +
                                 stop.fill_m3 * prices.fill_water_per_m3 + testing_cost(prices, stop.visit.tests);
    double const equipment_cost = actions.replace_cell ? prices.cell_each : 0.0;
    months.labour_cost[m] += labour_cost;
    months.supplies_cost[m] += supplies_cost;
    months.equipment_cost[m] += equipment_cost;
    pools.cost[i] += labour_cost + supplies_cost + equipment_cost + stop.driving_cost;
    double const fee = fee_per_visit(policy_, scenario_.pools[i], call_out);
    enter(pools.revenue, months.revenue, fee);
    work_s[index_of(stop.technician)] += service_s;
    file.wanted_since = -1;
    if (call_out) file.called_on = -1;

    if (scenario_.outputs.visit_log) {
      Slot const slot = fleet_.slot_of_pool[i];
      PoolControls const& controls = fleet_.blocks[slot.block].controls;
      WaterReadings const& readings = stop.visit.readings;
      result_.visits.push_back(
          {.time_s = day_ * models::seconds_per_day + stop.time_s,
           .pool = static_cast<std::uint32_t>(i),
           .technician = static_cast<std::uint32_t>(stop.technician),
           .tasks = stop.visit.decision.tasks,
           .reasons = stop.reasons,
           .rules = stop.visit.decision.rules,
           .free_chlorine_reading = reading(readings.free_chlorine_kg_per_m3),
           .ph_reading = reading(readings.ph),
           .alkalinity_reading = reading(readings.alkalinity_mol_per_m3),
           .calcium_reading = reading(readings.calcium_mol_per_m3),
           .cyanuric_acid_reading = reading(readings.cyanuric_acid_mol_per_m3),
           .salt_reading = reading(readings.salt_kg_per_m3),
           .unit_salt_reading = reading(readings.unit_salt_kg_per_m3),
           .salt_added = static_cast<float>(actions.salt_kg),
           .acid_added = static_cast<float>(acid_m3),
           .bicarbonate_added = static_cast<float>(bicarbonate_kg),
           .calcium_chloride_added = static_cast<float>(calcium_kg),
           .cyanuric_acid_added = static_cast<float>(cyanuric_kg),
           .liquid_chlorine_added = static_cast<float>(liquid_m3),
           .output_setting = static_cast<float>(controls.output_setting[slot.lane]),
           .pump_hours = static_cast<float>(controls.pump_hours[slot.lane]),
           .expected_free_chlorine = static_cast<float>(stop.visit.decision.expected_free_chlorine_kg_per_m3),
           .expected_salt = static_cast<float>(stop.visit.decision.expected_salt_kg_per_m3),
           .service_time = static_cast<float>(service_s)});
    }
  }
  // Overtime follows from the work that was really found, not from what was expected.
  for (std::size_t t = 0; t < work_s.size(); ++t) {
    Technician const& technician = scenario_.technicians[t];
    auto const driving_s = static_cast<double>(result_.technicians.driving_time[t][day]);
    double const pause_s = work_s[t] > 0.0 ? technician.break_s : 0.0;
    double const over_s = std::max(0.0, work_s[t] + driving_s + pause_s - technician.shift_length_s);
    result_.technicians.service_time[t][day] = static_cast<float>(work_s[t]);
    result_.technicians.overtime[t][day] = static_cast<float>(over_s);
    months.overtime[m] += over_s;
    double const premium = over_s / seconds_per_hour * prices.wage_per_h * (prices.overtime_factor - 1.0);
    months.labour_cost[m] += premium;
    if (premium <= 0.0) continue;
    double const share = premium / static_cast<double>(result_.technicians.stops[t][day]);
    for (Stop const& stop : stops_) {
      if (index_of(stop.technician) == t) pools.cost[index_of(stop.pool)] += share;
    }
  }
}

/// The evening: owners, customers, frost, and the fleet's figures of the day.
void SeasonTask::end_day() {
  auto const day = static_cast<std::size_t>(day_);
  auto const today = static_cast<std::uint32_t>(day_);
  std::size_t const m = month_of_day_[day];
  PoolTally& pools = result_.pools;
  double const fee_share = 12.0 / 365.25;
  float waiting = 0.0F;
  float open = 0.0F;
  for (std::size_t i = 0; i < files_.size(); ++i) {
    PoolId const id{static_cast<std::uint32_t>(i)};
    PoolFile& file = files_[i];
    Pool const& pool = scenario_.pools[i];
    Slot const slot = fleet_.slot_of_pool[i];
    std::size_t const lane = slot.lane;
    PoolBlock& block = fleet_.blocks[slot.block];
    DrawKey const draw = key(id, today);
    if (block.hours.wanted_today_h[lane] > 0.0 && block.hours.made_today_mol[lane] <= 0.0) {
      pools.days_without_production[i] += 1.0;
    }
    if (!file.lost) {
      double const fee = fee_per_month(policy_, pool) * fee_share;
      pools.revenue[i] += fee;
      result_.months.revenue[m] += fee;
      report_bathers(file.record, day_, block.day.bathers[lane]);
      bool const in_use = block.controls.open[lane] > 0.5;
      PoolSight const sight = sight_of(block, lane);
      if (in_use) {
        open += 1.0F;
        OwnerCare const care = owner_care(policy_, pool, day_, draw);
        if (care.fills_to_normal) {
          double const filled_m3 = refill_to_normal(block, lane);
          pools.fill_water[i] += filled_m3;
          result_.months.fill_water[m] += filled_m3;
          if (filled_m3 > 0.0) settle_pool(block, lane, settings_);
        }
        block.state.debris_kg[lane] *= 1.0 - care.debris_removed_share;
        file.lamp_explained = file.lamp_explained && sight.warning_lit;
        PoolSight const news{.cloudy = sight.cloudy,
                             .algae_visible = sight.algae_visible,
                             .warning_lit = sight.warning_lit && !file.lamp_explained};
        bool const patient = day_ - file.record.last_visit_day < patience_after_visit_d;
        if (!patient && owner_calls(policy_, pool, news, draw)) {
          report_warning(file.record);
          if (file.called_on < 0) file.called_on = day_;
        }
        CustomerMood const mood = customer_mood(policy_, sight, draw);
        pools.complaints[i] += mood.complains ? 1.0 : 0.0;
        if (mood.cancels) {
          file.lost = true;
          file.called_on = -1;
          pools.lost_customers[i] += 1.0;
          block.controls.counted[lane] = 0.0;
        }
      }
      waiting += file.called_on >= 0 ? 1.0F : 0.0F;
    }
    double const dose_K_s = block.state.freeze_dose_K_s[lane];
    if (dose_K_s > 0.0) {
      DrawKey frost = key(id, file.frost_breaks);
      frost.purpose = Purpose::freeze;
      if (uniform_draw(frost) < models::freeze_break_probability(dose_K_s, scenario_.parameters)) {
        ++file.frost_breaks;
        block.state.freeze_dose_K_s[lane] = 0.0;
        block.controls.cell_working[lane] = 0.0;
        pools.freeze_breaks[i] += 1.0;
        pools.cost[i] += scenario_.prices.freeze_repair_each;
        result_.months.equipment_cost[m] += scenario_.prices.freeze_repair_each;
      }
    }
  }
  DayTally& days = result_.days;
  days.rain[day] = static_cast<float>(weather_.sites.front().rain_m[day]);
  days.air_temperature[day] = static_cast<float>(weather_.sites.front().air_mean_K[day]);
  days.open_pools[day] = open;
  days.waiting_call_outs[day] = waiting;
  std::array<std::array<std::vector<float>, day_quantiles.size()>*, 6> const series = {
      &days.salt, &days.free_chlorine, &days.ph, &days.saturation_index, &days.scale, &days.water_temperature};
  for (std::size_t quantity = 0; quantity < series.size(); ++quantity) {
    scratch_.clear();
    for (std::size_t i = 0; i < files_.size(); ++i) {
      Slot const slot = fleet_.slot_of_pool[i];
      if (fleet_.blocks[slot.block].controls.counted[slot.lane] > 0.5) {
        scratch_.push_back(noon_[quantity][slot.block][slot.lane]);
      }
    }
    auto from = scratch_.begin();
    for (std::size_t q = 0; q < day_quantiles.size(); ++q) {
      if (scratch_.empty()) {
        (*series[quantity])[q][day] = std::numeric_limits<float>::quiet_NaN();
        continue;
      }
      auto const rank = static_cast<std::ptrdiff_t>(day_quantiles[q] * static_cast<double>(scratch_.size() - 1) + 0.5);
      auto const nth = scratch_.begin() + rank;
      std::nth_element(from, nth, scratch_.end());
      from = nth;
      (*series[quantity])[q][day] = *nth;
    }
  }
  bool const month_ends = day + 1 == month_of_day_.size() || month_of_day_[day + 1] != m;
  if (month_ends) close_month(m);
}

void SeasonTask::close_month(std::size_t m) {
  double counted = 0.0, in_range = 0.0, idle = 0.0;
  for (std::size_t i = 0; i < files_.size(); ++i) {
    Slot const slot = fleet_.slot_of_pool[i];
    PoolHours const& hours = fleet_.blocks[slot.block].hours;
    counted += hours.open_h[slot.lane];
    in_range += hours.open_h[slot.lane] - hours.free_chlorine_low_h[slot.lane] - hours.free_chlorine_high_h[slot.lane];
    idle += hours.without_production_h[slot.lane];
  }
  MonthTally& months = result_.months;
  double const month_hours = counted - counted_hours_before_;
  months.free_chlorine_in_range[m] =
      month_hours > 0.0 ? (in_range - in_range_hours_before_) / month_hours : std::numeric_limits<double>::quiet_NaN();
  months.hours_without_production[m] = idle - idle_hours_before_;
  months.cost[m] = months.labour_cost[m] + months.driving_cost[m] + months.supplies_cost[m] + months.equipment_cost[m];
  counted_hours_before_ = counted;
  in_range_hours_before_ = in_range;
  idle_hours_before_ = idle;
}

void SeasonTask::finish() {
  PoolTally& pools = result_.pools;
  for (std::size_t i = 0; i < files_.size(); ++i) {
    Slot const slot = fleet_.slot_of_pool[i];
    std::size_t const lane = slot.lane;
    PoolBlock const& block = fleet_.blocks[slot.block];
    PoolHours const& hours = block.hours;
    double const open_h = hours.open_h[lane];
    auto const share = [&](double part_h) {
      return open_h > 0.0 ? part_h / open_h : std::numeric_limits<double>::quiet_NaN();
    };
    pools.open_hours[i] = open_h;
    pools.free_chlorine_low[i] = share(hours.free_chlorine_low_h[lane]);
    pools.free_chlorine_high[i] = share(hours.free_chlorine_high_h[lane]);
    pools.free_chlorine_in_range[i] =
        share(open_h - hours.free_chlorine_low_h[lane] - hours.free_chlorine_high_h[lane]);
    pools.active_chlorine_low[i] = share(hours.active_chlorine_low_h[lane]);
    pools.ph_in_range[i] = share(hours.ph_in_range_h[lane]);
    pools.saturation_in_range[i] = share(hours.saturation_in_range_h[lane]);
    pools.salt_in_range[i] = share(hours.salt_in_range_h[lane]);
    pools.cloudy_hours[i] = hours.cloudy_h[lane];
    pools.hours_without_production[i] = hours.without_production_h[lane];
    pools.warning_hours[i] = hours.warning_h[lane];
    pools.false_warning_hours[i] = hours.false_warning_h[lane];
    pools.chlorine_produced[i] = hours.chlorine_produced_mol[lane] * models::molar_mass_Cl2_kg_per_mol;
    pools.cell_hours[i] = hours.cell_h[lane];
    pools.pump_energy[i] = hours.pump_energy_J[lane] / 3.6e6;
    pools.fill_water[i] += block.books.refill_m3[lane];
    pools.rain_water[i] = block.books.rain_m3[lane];
    pools.evaporated[i] = block.books.evaporation_m3[lane];
    pools.overflowed[i] = block.books.overflow_m3[lane];
    pools.coating_left[i] = block.state.coating_left[lane];
    pools.largest_scale[i] = hours.largest_scale_kg_per_m2[lane];
    pools.largest_saturation_index[i] = hours.largest_saturation_index[lane];
  }
  result_.book_errors = audit(fleet_);
  result_.simulated_pool_hours =
      static_cast<double>(files_.size()) * static_cast<double>(scenario_.season.days) * hours_per_day;
}

}  // namespace brinecast::sim
