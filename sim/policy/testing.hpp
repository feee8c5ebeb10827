#pragma once
// From the water to what the technician reads: which tests, by which method, with which error. The only place where the
// truth is looked at.

#include "sim/policy/pool_record.hpp"
#include "sim/policy/visit.hpp"
#include "sim/random/random.hpp"

namespace brinecast::sim {

/// What is really in the pool and the unit at the visit's hour. The day loop fills it; no rule sees it.
struct TrueWater {
  double free_chlorine_kg_per_m3 = 0.0;      // as Cl2, chlorinated cyanurates included, as the tests show it
  double combined_chlorine_kg_per_m3 = 0.0;  // as Cl2
  double ph = 7.5;
  double alkalinity_mol_per_m3 = 0.0;  // total, as titrated
  double calcium_mol_per_m3 = 0.0;
  double cyanuric_acid_mol_per_m3 = 0.0;  // dissolved
  double salt_kg_per_m3 = 0.0;
  double unit_salt_kg_per_m3 = 0.0;  // what the unit's sensor makes of it: offset, drift, temperature, scale
  double water_temperature_K = 293.15;
  double cell_voltage_V = 0.0;
  int scale_grade = 0;            // as an inspection would show it: 0 clean to 3 bridged, models/cell/cleaning.hpp
  double cell_operating_h = 0.0;  // as the unit counts
  bool warning_low_salt = false;
  bool warning_check_cell = false;
  bool cloudy = false;
  bool algae_visible = false;
  double level_below_normal_m = 0.0;
};

/// What will be tested, by quantity.
struct TestPlan {
  std::array<TestMethod, measured_count> methods{};  // none: not tested
  [[nodiscard]] TestMethod& operator[](Measured quantity) { return methods[static_cast<std::size_t>(quantity)]; }
  [[nodiscard]] TestMethod operator[](Measured quantity) const { return methods[static_cast<std::size_t>(quantity)]; }
  /// Tests of one method; all strips of a visit are one.
  [[nodiscard]] int count(TestMethod method) const;
};

/// What anybody sees on arrival, untested: lamps, clarity, algae, level, the unit's counter of hours.
WaterReadings look(TrueWater const& truth);

/// What opening the cell shows.
void inspect_cell(TrueWater const& truth, WaterReadings& readings);

/// What is due by each test's interval, plus salt when a lamp is lit or the unit shows little, plus everything at
/// opening.
TestPlan plan_tests(PolicySpec const& policy, PoolRecord const& record, WaterReadings const& seen,
                    DayKnowledge const& today, std::uint32_t reasons);

/// The sensors that report from afar.
TestPlan remote_tests(PolicySpec const& policy);

/// Adds the planned tests to the readings. Errors are drawn with the key's purpose, time and index = quantity, so that
/// every policy meets the same luck at the same hour.
void measure(TestSpec const& tests, TestPlan const& plan, TrueWater const& truth, DrawKey key, WaterReadings& readings);

/// One reading: truth with the method's error, never negative.
double read_with_error(ReadingError const& error, double truth, DrawKey const& key);

/// The reading of a quantity, empty when it was not taken.
std::optional<double> reading_of(WaterReadings const& readings, Measured quantity);

/// Writes the readings on the pool's card and moves the adaptive test intervals. Returns fired rules.
std::uint32_t note_readings(PolicySpec const& policy, Pool const& pool, PoolRecord& record,
                            WaterReadings const& readings, DayKnowledge const& today);

/// Work and money of the tests.
double testing_s(WorkSpec const& work, TestPlan const& plan);
double testing_cost(Prices const& prices, TestPlan const& plan);

}  // namespace brinecast::sim
