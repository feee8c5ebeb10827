#pragma once
// One season of one policy in one replicate: the day loop.

#include <functional>
#include <limits>
#include <vector>

#include "sim/ensemble/depot_stock.hpp"
#include "sim/ensemble/ensemble.hpp"
#include "sim/ensemble/plan_index.hpp"
#include "sim/ensemble/season_weather.hpp"
#include "sim/ensemble/stores.hpp"
#include "sim/ensemble/visit_work.hpp"
#include "sim/fleet/advance.hpp"
#include "sim/fleet/fleet.hpp"
#include "sim/policy/policy.hpp"
#include "sim/rounds/dispatch.hpp"

namespace brinecast::sim {

class SeasonTask {
 public:
  SeasonTask(Prepared const& prepared, TaskId task, SeasonWeather const& weather);
  /// Runs the season; false when `cancelled` asked to stop. Both are asked every morning; on days when `cores_idle`,
  /// the blocks of the day are shared among the cores.
  [[nodiscard]] bool run(std::function<bool()> const& cancelled, std::function<bool()> const& cores_idle);
  [[nodiscard]] TaskResult take_result() { return std::move(result_); }

 private:
  /// What the company and the owner keep in mind about a pool, besides its card.
  struct PoolFile {
    PoolRecord record;
    double expected_service_s = 0.0;  // learned from the last visits, stop included
    double planned_interval_d = 7.0;  // of the plan of rounds
    double usual_load_kg = 0.0;       // what the van carries for a visit
    int wanted_since = -1;            // day on which a visit that is still to be made was first wanted; -1 none
    int called_on = -1;               // day of the owner's call that still waits; -1 none
    double cell_age_h = 0.0;          // of the cell in place at season start; less the hours run before a new cell
    std::uint32_t cells_used = 1;
    double metered_fill_m3 = 0.0;  // by the automatic fill, up to last night
    double metered_energy_J = 0.0;
    std::uint32_t frost_breaks = 0;
    bool frozen = false;          // frost broke the cell in place; nothing more to break until it is replaced
    bool cell_ordered = false;    // a visit wanted a cell, had none, and none was fitted since
    bool lamp_explained = false;  // a visit left a lamp lit and told the owner why
    bool lost = false;
  };
  /// A stop of today's rounds.
  struct Stop {
    PoolId pool{};
    TechnicianId technician{};
    int hour = 0;
    double time_s = 0.0;           // of the day
    double driving_share_s = 0.0;  // of its round, for the pool's account
    double driving_cost = 0.0;
    std::uint32_t reasons = 0;
    bool restocks_before = false;  // the van goes back to its start for supplies on the way here
    bool cell_at_hand = false;
    Visit visit;  // filled in its hour
    double fill_m3 = 0.0;
    bool cell_under_warranty = false;  // the cell that this visit replaced
  };

  void begin_day();
  void find_wanted_visits();
  void build_rounds();
  void hand_out_cells();
  void load_vans();
  void advance_day(bool on_all_cores);
  void advance_blocks(int first_hour, int end_hour, bool on_all_cores);
  void advance_block_of_pools(std::size_t block, int first_hour, int end_hour);
  void make_visit(Stop& stop);
  void note_noon(std::size_t block);
  void note_traces(std::size_t block, std::size_t hour);
  void settle_accounts();
  [[nodiscard]] double service_s(Stop const& stop) const;
  void settle_visit(Stop const& stop);
  void settle_cell(Stop const& stop);
  void log_visit(Stop const& stop);
  void settle_overtime(TechnicianId technician, double work_s);
  void end_day();
  void spend_evening(PoolId id);
  void suffer_frost(PoolId id);
  void read_meters(PoolId id);
  void charge_supplies(PoolId id, double cost);
  void note_day();
  void close_month(std::size_t month);
  void finish();

  [[nodiscard]] DrawKey key(PoolId pool, std::uint32_t time) const;
  [[nodiscard]] DayKnowledge const& knowledge(PoolId pool) const;
  void note_missed(PoolId pool, PoolFile& file);

  Prepared const& prepared_;
  Scenario const& scenario_;
  PolicySpec const& policy_;
  TaskId task_;
  SeasonWeather const& weather_;
  KernelSettings settings_;
  AdvanceBlock advance_;
  PlanIndex plan_;
  Dispatcher dispatcher_;
  std::vector<int> working_days_;          // [day]
  std::vector<std::size_t> month_of_day_;  // [day]
  Fleet fleet_;
  std::vector<PoolFile> files_;  // [pool]
  // One spare cell is ordered for each cell fitted, and for each pool found to need one while none was left; so stock
  // and orders less the pools that wait always make the stock of the start.
  DepotStock cell_stock_;
  Stores stores_;
  TaskResult result_;

  int day_ = 0;
  std::vector<DayKnowledge> knowledge_;  // [site], of today
  std::vector<WantedVisit> wanted_;
  std::vector<std::uint32_t> wanted_reasons_;  // [pool], of today
  std::vector<Stop> stops_;                    // of today, by round and order
  // Into stops_: [block] while nothing can run short, so that a block's day stays in cache; else all in the order of
  // their times, since what one visit takes another may lack.
  std::vector<std::vector<std::uint32_t>> stops_of_block_;
  std::vector<std::uint32_t> stops_by_time_;
  std::vector<std::array<float, block_pools>> noon_[6];  // [quantity][block][lane]
  std::vector<float> scratch_;
  double counted_hours_before_ = 0.0, in_range_hours_before_ = 0.0, idle_hours_before_ = 0.0;
};

}  // namespace brinecast::sim
