#include "sim/ensemble/season_task.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numeric>
#include <utility>

#include "models/constants.hpp"
#include "models/dosing/dosing.hpp"
#include "models/freezing/freezing.hpp"
#include "sim/parallel/parallel_loop.hpp"
#include "sim/random/random.hpp"

namespace brinecast::sim {

namespace {

constexpr int hours_per_day = 24;
constexpr double seconds_per_hour = models::seconds_per_hour;
constexpr double patience_after_visit_d = 2.0;  // owners give a visit's work time: common practice, no source
constexpr double plan_tolerance = 0.15;         // of the planned interval, within which the plan's days hold
constexpr double months_per_day = 12.0 / 365.25;
constexpr double joules_per_kWh = 3.6e6;

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
      cell_stock_(scenario_.supplies.cells_in_stock, scenario_.supplies.cell_lead_days),
      stores_(scenario_.supplies, scenario_.technicians.size()),
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
    file.usual_load_kg = typical_load_kg(policy_, pool, scenario_.season);
    file.expected_service_s = typical_service_s(policy_, pool, scenario_.season) + scenario_.rounds.stop_overhead_s;
    file.cell_age_h = pool.cell_age_h;
    if (file.record.stage == PoolStage::closed) {
      Slot const slot = fleet_.slot_of_pool[i];
      VisitActions closing;
      close_down(policy_, pool, closing);
      apply_actions(fleet_.blocks[slot.block], slot.lane, closing, settings_);
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

bool SeasonTask::run(std::function<bool()> const& cancelled, std::function<bool()> const& cores_idle) {
  double const started_s = processor_seconds();
  for (day_ = 0; day_ < scenario_.season.days; ++day_) {
    if (cancelled && cancelled()) return false;
    begin_day();
    find_wanted_visits();
    build_rounds();
    hand_out_cells();
    load_vans();
    advance_day(cores_idle());
    settle_accounts();
    stores_.order(day_);
    end_day();
  }
  finish();
  result_.total_s += processor_seconds() - started_s;
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
      charge_supplies(id, scenario_.prices.remote_reading_per_day * policy_.visits.remote.every_d);
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
                       .supplies_kg = file.usual_load_kg,
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
  stops_by_time_.clear();
  for (auto& list : stops_of_block_) list.clear();
  if (wanted_.empty()) return;
  double const started_s = processor_seconds();
  DayRounds const rounds = dispatcher_.dispatch(wanted_);
  result_.dispatch_s += processor_seconds() - started_s;
  for (PoolId const pool : rounds.not_served) note_missed(pool, files_[index_of(pool)]);
  for (Round const& round : rounds.rounds) {
    double const stops = static_cast<double>(std::max<std::size_t>(1, round.stops.size()));
    double const wages = round.driving_s / seconds_per_hour * scenario_.prices.wage_per_h;
    double const mileage = round.driving_m / 1000.0 * scenario_.prices.driving_per_km;
    for (PlannedStop const& planned : round.stops) {
      Stop stop;
      stop.pool = planned.pool;
      stop.technician = round.technician;
      stop.time_s = planned.start_s;
      stop.hour = std::clamp(planned.start_s / 3600, 0, hours_per_day - 1);
      stop.restocks_before = planned.restocked_before;
      stop.driving_share_s = round.driving_s / stops;
      stop.driving_cost = (wages + mileage) / stops;
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
    month.labour_cost[m] += wages;
    month.driving_cost[m] += mileage;
  }
  for (std::uint32_t i = 0; i < stops_.size(); ++i) {
    auto const block = fleet_.slot_of_pool[index_of(stops_[i].pool)].block;
    (stores_.limited() ? stops_by_time_ : stops_of_block_[block]).push_back(i);
  }
  std::stable_sort(stops_by_time_.begin(), stops_by_time_.end(),
                   [this](std::uint32_t a, std::uint32_t b) { return stops_[a].time_s < stops_[b].time_s; });
}

/// Before any pool is visited, so that the result does not depend on who is simulated first: the pools that wait for a
/// cell come first, then the others that may need one, each in the order of the rounds.
void SeasonTask::hand_out_cells() {
  cell_stock_.receive(day_);
  for (bool const waiting : {true, false}) {
    for (Stop& stop : stops_) {
      PoolFile const& file = files_[index_of(stop.pool)];
      if (file.cell_ordered != waiting || !may_replace_cell(policy_, file.record, knowledge(stop.pool))) continue;
      stop.cell_at_hand = cell_stock_.take(1) == 1;
    }
  }
}

void SeasonTask::load_vans() {
  stores_.receive(day_);
  std::vector<std::size_t> vans;
  for (std::size_t t = 0; t < scenario_.technicians.size(); ++t) {
    if (result_.technicians.stops[t][static_cast<std::size_t>(day_)] > 0.0F) vans.push_back(t);
  }
  stores_.load(vans);
}

void SeasonTask::advance_day(bool on_all_cores) {
  int hour = 0;
  for (std::uint32_t const i : stops_by_time_) {
    if (stops_[i].hour > hour) {
      advance_blocks(hour, stops_[i].hour, on_all_cores);
      hour = stops_[i].hour;
    }
    double const started_s = processor_seconds();
    if (stops_[i].restocks_before) stores_.load({index_of(stops_[i].technician)});
    make_visit(stops_[i]);
    result_.kernel_s += processor_seconds() - started_s;
  }
  advance_blocks(hour, hours_per_day, on_all_cores);
}

void SeasonTask::advance_blocks(int first_hour, int end_hour, bool on_all_cores) {
  double const started_s = processor_seconds();
  if (!on_all_cores) {
    for (std::size_t block = 0; block < fleet_.blocks.size(); ++block) {
      advance_block_of_pools(block, first_hour, end_hour);
    }
    result_.kernel_s += processor_seconds() - started_s;
    return;
  }
  // Processor time of all threads, whoever's they are.
  std::vector<double> block_s(fleet_.blocks.size());
  parallel_loop(fleet_.blocks.size(), [&](std::size_t block) {
    double const block_started_s = processor_seconds();
    advance_block_of_pools(block, first_hour, end_hour);
    block_s[block] = processor_seconds() - block_started_s;
  });
  double const all_s = std::accumulate(block_s.begin(), block_s.end(), 0.0);
  result_.kernel_s += all_s;
  result_.total_s += all_s - (processor_seconds() - started_s);
}

/// Blocks share nothing but the day's stops, each of which belongs to one block.
void SeasonTask::advance_block_of_pools(std::size_t number, int first_hour, int end_hour) {
  PoolBlock& block = fleet_.blocks[number];
  SiteSeason const& site = weather_.sites[index_of(fleet_.site_of_block[number])];
  if (first_hour == 0) {
    block.hours.made_today_mol = {};
    block.hours.wanted_today_h = {};
  }
  auto const midnight = static_cast<std::size_t>(day_) * hours_per_day;
  for (int hour = first_hour; hour < end_hour; ++hour) {
    for (std::uint32_t const i : stops_of_block_[number]) {
      if (stops_[i].hour == hour) make_visit(stops_[i]);
    }
    advance_(block, site.hours[midnight + static_cast<std::size_t>(hour)], settings_);
    if (!result_.traces.empty()) note_traces(number, midnight + static_cast<std::size_t>(hour));
    if (hour == hours_per_day / 2) note_noon(number);
  }
}

void SeasonTask::make_visit(Stop& stop) {
  std::size_t const i = index_of(stop.pool);
  auto const [block_number, lane] = fleet_.slot_of_pool[i];
  PoolBlock& block = fleet_.blocks[block_number];
  PoolFile& file = files_[i];
  Pool const& pool = scenario_.pools[i];
  auto const hour = static_cast<std::uint32_t>(day_ * hours_per_day + stop.hour);
  stop.visit = visit_pool(policy_, pool, scenario_.fill_waters[pool.fill_water], file.record,
                          true_water(block, lane, file.cell_age_h, scenario_.parameters), knowledge(stop.pool),
                          stop.reasons, key(stop.pool, hour),
                          {.materials = stores_.on_van(index_of(stop.technician)),
                           .cell = stop.cell_at_hand,
                           .acid_mol_per_bath = scenario_.parameters.cleaning_acid_mol_per_bath});
  VisitActions const& actions = stop.visit.decision.actions;
  if (stores_.limited()) {
    stores_.use(index_of(stop.technician), materials_of(actions, scenario_.parameters.cleaning_acid_mol_per_bath));
  }
  WaterReadings const& readings = stop.visit.readings;
  file.lamp_explained = readings.warning_low_salt || readings.warning_check_cell;
  stop.fill_m3 = apply_actions(block, lane, actions, settings_);
  if (actions.replace_cell) {
    // The maker answers for a cell that failed, not for frost and not for one that is given up in advance.
    stop.cell_under_warranty = has(stop.visit.decision.rules, FiredRule::failed_cell_replaced) && !file.frozen &&
                               file.cell_age_h + block.hours.cell_h[lane] < scenario_.supplies.cell_warranty_h;
    file.frozen = false;
    install_cell(block, lane,
                 draw_coating_life_h(scenario_, scenario_.seed, task_.replicate, stop.pool, file.cells_used));
    ++file.cells_used;
    file.cell_age_h = -block.hours.cell_h[lane];
  }
}

/// The evening: owners, customers, frost, and the fleet's figures of the day.
void SeasonTask::end_day() {
  for (std::size_t i = 0; i < files_.size(); ++i) {
    PoolId const id{static_cast<std::uint32_t>(i)};
    read_meters(id);
    if (files_[i].lost) continue;
    spend_evening(id);
    suffer_frost(id);
  }
  note_day();
  auto const day = static_cast<std::size_t>(day_);
  std::size_t const month = month_of_day_[day];
  bool const month_ends = day + 1 == month_of_day_.size() || month_of_day_[day + 1] != month;
  if (month_ends) close_month(month);
}

/// What the owner does, sees and says; the day's share of the fee.
void SeasonTask::spend_evening(PoolId id) {
  std::size_t const i = index_of(id);
  std::size_t const m = month_of_day_[static_cast<std::size_t>(day_)];
  PoolFile& file = files_[i];
  Pool const& pool = scenario_.pools[i];
  PoolTally& pools = result_.pools;
  auto const [block_number, lane] = fleet_.slot_of_pool[i];
  PoolBlock& block = fleet_.blocks[block_number];
  double const fee = fee_per_month(policy_, pool) * months_per_day;
  pools.revenue[i] += fee;
  result_.months.revenue[m] += fee;
  report_bathers(file.record, day_, block.day.bathers[lane]);
  if (block.controls.open[lane] < 0.5) return;

  DrawKey const draw = key(id, static_cast<std::uint32_t>(day_));
  PoolSight const sight = sight_of(block, lane);
  OwnerCare const care = owner_care(policy_, pool, day_, draw);
  if (care.fills_to_normal) {
    double const filled_m3 = refill_to_normal(block, lane);
    pools.fill_water[i] += filled_m3;
    result_.months.fill_water[m] += filled_m3;
    charge_supplies(id, filled_m3 * scenario_.prices.fill_water_per_m3);
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

void SeasonTask::suffer_frost(PoolId id) {
  std::size_t const i = index_of(id);
  PoolFile& file = files_[i];
  auto const [block_number, lane] = fleet_.slot_of_pool[i];
  PoolBlock& block = fleet_.blocks[block_number];
  double const dose_K_s = block.state.freeze_dose_K_s[lane];
  if (dose_K_s <= 0.0 || file.frozen) return;
  DrawKey frost = key(id, file.frost_breaks);
  frost.purpose = Purpose::freeze;
  if (uniform_draw(frost) >= models::freeze_break_probability(dose_K_s, scenario_.parameters)) return;
  ++file.frost_breaks;
  file.frozen = true;
  block.state.freeze_dose_K_s[lane] = 0.0;
  block.controls.cell_working[lane] = 0.0;
  result_.pools.freeze_breaks[i] += 1.0;
  result_.pools.cost[i] += scenario_.prices.freeze_repair_each;
  result_.months.equipment_cost[month_of_day_[static_cast<std::size_t>(day_)]] += scenario_.prices.freeze_repair_each;
}

/// The day's automatic fill and electricity.
void SeasonTask::read_meters(PoolId id) {
  std::size_t const i = index_of(id);
  PoolFile& file = files_[i];
  auto const [block_number, lane] = fleet_.slot_of_pool[i];
  PoolBlock const& block = fleet_.blocks[block_number];
  double const filled_m3 =
      block.books.refill_m3[lane] - std::exchange(file.metered_fill_m3, block.books.refill_m3[lane]);
  double const energy_J =
      block.hours.pump_energy_J[lane] - std::exchange(file.metered_energy_J, block.hours.pump_energy_J[lane]);
  result_.pools.fill_water[i] += filled_m3;
  result_.months.fill_water[month_of_day_[static_cast<std::size_t>(day_)]] += filled_m3;
  result_.pools.pump_energy[i] += energy_J / joules_per_kWh;
  if (file.lost) return;
  charge_supplies(id, filled_m3 * scenario_.prices.fill_water_per_m3 +
                          energy_J / joules_per_kWh * scenario_.prices.pump_energy_per_kWh);
}

void SeasonTask::charge_supplies(PoolId id, double cost) {
  result_.pools.cost[index_of(id)] += cost;
  result_.months.supplies_cost[month_of_day_[static_cast<std::size_t>(day_)]] += cost;
}

}  // namespace brinecast::sim
