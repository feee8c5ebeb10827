#include "sim/scenario/pool_columns.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

#include "sim/random/random.hpp"

namespace brinecast::sim {

namespace {

constexpr double day_s = 86400.0;
constexpr double hour_s = 3600.0;
constexpr std::string_view practice = "common practice, no source";

constexpr double mol_per_m3_alkalinity(double mg_per_L_as_CaCO3) { return mg_per_L_as_CaCO3 / 50.043; }
constexpr double mol_per_m3_calcium(double mg_per_L_as_CaCO3) { return mg_per_L_as_CaCO3 / 100.086; }
constexpr double mol_per_m3_cyanuric_acid(double mg_per_L) { return mg_per_L / 129.075; }

// clang-format off
constexpr std::array<PoolColumn, 32> columns{{
    // Basin
    {"water_volume", Quantity::water_volume, [](Pool& p) -> double& { return p.water_volume_m3; }, 1,
     {0.5, 2000.0}, {Shape::lognormal, 58.0, 0.35}, "", "water at normal level", practice},
    {"surface_area", Quantity::area, [](Pool& p) -> double& { return p.surface_area_m2; }, 1,
     {0.5, 2000.0}, {Shape::normal, 0.72, 0.06}, "water_volume", "water surface; left out: volume over a mean depth near 1.4 m", practice},
    {"catchment_area", Quantity::area, [](Pool& p) -> double& { return p.catchment_area_m2; }, 1,
     {0.5, 5000.0}, {Shape::uniform, 1.0, 1.4}, "surface_area", "surface plus deck that drains into the pool", practice},
    {"freeboard", Quantity::length, [](Pool& p) -> double& { return p.freeboard_m; }, 1,
     {0.0, 1.0}, {Shape::normal, 0.08, 0.015}, "", "rim above normal level", practice},
    {"refill_below", Quantity::length, [](Pool& p) -> double& { return p.refill_below_m; }, 1,
     {0.001, 1.0}, {Shape::fixed, 0.05, 0}, "", "an automatic refill starts this far below normal level", practice},
    {"leak", Quantity::flow, [](Pool& p) -> double& { return p.leak_m3_per_s; }, 1,
     {0.0, 10.0 / day_s}, {Shape::lognormal, 0.004 / day_s, 0.9}, "", "water lost through the basin and the pipes", practice},
    {"covered_share", Quantity::share, [](Pool& p) -> double& { return p.covered_share_of_day; }, 1,
     {0.0, 1.0}, {Shape::uniform, 0.3, 0.6}, "", "share of the day under the cover; 0 without a cover", practice},
    // Surroundings
    {"sun_exposure", Quantity::share, [](Pool& p) -> double& { return p.sun_exposure; }, 1,
     {0.0, 1.0}, {Shape::uniform, 0.6, 1.0}, "", "share of open-sky sunlight that reaches the water", practice},
    {"wind_exposure", Quantity::share, [](Pool& p) -> double& { return p.wind_exposure; }, 1,
     {0.0, 1.0}, {Shape::lognormal, 0.3, 0.3}, "", "wind at the water over wind at 10 m in the open", practice},
    {"solar_absorptance", Quantity::share, [](Pool& p) -> double& { return p.solar_absorptance; }, 1,
     {0.3, 1.0}, {Shape::normal, 0.85, 0.03}, "", "share of the sunlight on the water that warms it", practice},
    {"debris_factor", std::nullopt, [](Pool& p) -> double& { return p.debris_factor; }, 1,
     {0.0, 20.0}, {Shape::lognormal, 1.0, 0.5}, "", "leaves and dust, relative to an average yard", practice},
    {"demand_factor", std::nullopt, [](Pool& p) -> double& { return p.demand_factor; }, 1,
     {0.1, 10.0}, {Shape::lognormal, 1.0, 0.25}, "", "chlorine demand of the water, relative to an average pool", practice},
    // Equipment
    {"pump_flow", Quantity::flow, [](Pool& p) -> double& { return p.pump_flow_m3_per_s; }, 1,
     {0.1 / hour_s, 1000.0 / hour_s}, {Shape::uniform, 1.0 / (10 * hour_s), 1.0 / (7 * hour_s)}, "water_volume",
     "flow while the pump runs; left out: one turnover in 7 to 10 h", practice},
    {"pump_hours", Quantity::duration, [](Pool& p) -> double& { return p.pump_hours_per_day; }, hour_s,
     {0.0, day_s}, {Shape::uniform, 8 * hour_s, 12 * hour_s}, "", "pump running a day at season start", practice},
    {"cell_rating", Quantity::production, [](Pool& p) -> double& { return p.cell_rated_production_kg_per_s; }, 1,
     {0.01 / day_s, 50.0 / day_s}, {Shape::uniform, 0.009 / day_s, 0.014 / day_s}, "water_volume",
     "chlorine made at full output by a clean new cell at 25 degC with its rated salt, as Cl2; left out: by volume", practice},
    {"cell_plate_area", Quantity::area, [](Pool& p) -> double& { return p.cell_plate_area_m2; }, 1,
     {0.001, 10.0}, {Shape::fixed, 0.1 * day_s, 0}, "cell_rating", "active plate area; left out: 0.1 m2 for a kg a day", practice},
    {"cell_age", Quantity::duration, [](Pool& p) -> double& { return p.cell_age_h; }, hour_s,
     {0.0, 100'000 * hour_s}, {Shape::uniform, 0.0, 6000 * hour_s}, "", "operating time of the cell at season start", practice},
    {"output_setting", Quantity::share, [](Pool& p) -> double& { return p.output_setting; }, 1,
     {0.0, 1.0}, {Shape::uniform, 0.4, 0.7}, "", "share of full output at season start", practice},
    {"reversal_interval", Quantity::duration, [](Pool& p) -> double& { return p.reversal_interval_s; }, 1,
     {60.0, 48 * hour_s}, {Shape::fixed, 4 * hour_s, 0}, "", "time between reversals of the cell's polarity", practice},
    {"gas_exchange_factor", std::nullopt, [](Pool& p) -> double& { return p.gas_exchange_factor; }, 1,
     {0.1, 50.0}, {Shape::lognormal, 1.5, 0.25}, "", "gas exchange with returns and spillways, over a calm surface", practice},
    // People and money
    {"bathers_per_day", std::nullopt, [](Pool& p) -> double& { return p.bathers_per_day; }, 1,
     {0.0, 5000.0}, {Shape::lognormal, 1.0, 0.6}, "", "average over the season", practice},
    {"owner_diligence", Quantity::share, [](Pool& p) -> double& { return p.owner_diligence; }, 1,
     {0.0, 1.0}, {Shape::uniform, 0.1, 0.6}, "", "chance that the owner does the small chores of a week and notices trouble", practice},
    {"fee_per_month", std::nullopt, [](Pool& p) -> double& { return p.fee_per_month; }, 1,
     {0.0, 1e6}, {Shape::fixed, 0.0, 0}, "", "what the owner pays a month, in the scenario's currency", practice},
    {"fee_per_visit", std::nullopt, [](Pool& p) -> double& { return p.fee_per_visit; }, 1,
     {0.0, 1e6}, {Shape::fixed, 0.0, 0}, "", "what the owner pays a visit, in the scenario's currency", practice},
    // Water at season start
    {"start_salt", Quantity::concentration, [](Pool& p) -> double& { return p.start.salt_kg_per_m3; }, 1,
     {0.0, 40.0}, {Shape::normal, 3.2, 0.2}, "", "salt in the water at season start", practice},
    {"start_free_chlorine", Quantity::concentration, [](Pool& p) -> double& { return p.start.free_chlorine_kg_per_m3; }, 1,
     {0.0, 0.05}, {Shape::normal, 0.003, 0.0006}, "", "free chlorine at season start, as Cl2", practice},
    {"start_ph", std::nullopt, [](Pool& p) -> double& { return p.start.ph; }, 1,
     {5.0, 10.0}, {Shape::normal, 7.55, 0.12}, "", "pH at season start", practice},
    {"start_alkalinity", Quantity::alkalinity, [](Pool& p) -> double& { return p.start.alkalinity_mol_per_m3; }, 1,
     {0.0, mol_per_m3_alkalinity(800)}, {Shape::normal, mol_per_m3_alkalinity(85), mol_per_m3_alkalinity(12)}, "",
     "total alkalinity at season start", practice},
    {"start_calcium", Quantity::calcium, [](Pool& p) -> double& { return p.start.calcium_mol_per_m3; }, 1,
     {0.0, mol_per_m3_calcium(2500)}, {Shape::lognormal, mol_per_m3_calcium(270), 0.2}, "", "calcium hardness at season start", practice},
    {"start_cyanuric_acid", Quantity::cyanuric_acid, [](Pool& p) -> double& { return p.start.cyanuric_acid_mol_per_m3; }, 1,
     {0.0, mol_per_m3_cyanuric_acid(500)}, {Shape::normal, mol_per_m3_cyanuric_acid(50), mol_per_m3_cyanuric_acid(9)}, "",
     "stabiliser at season start", practice},
    {"start_borate", Quantity::borate, [](Pool& p) -> double& { return p.start.borate_mol_per_m3; }, 1,
     {0.0, 20.0}, {Shape::fixed, 0.0, 0}, "", "borate at season start, as boron", practice},
    {"start_temperature", Quantity::temperature, [](Pool& p) -> double& { return p.start.temperature_K; }, 1,
     {272.0, 318.15}, {Shape::normal, 289.15, 1.0}, "", "water temperature at season start; forgotten within days", practice},
}};

constexpr std::array<PoolWordColumn, 14> word_columns{{
    {PoolWord::name, "name", "what people call the pool; each name once"},
    {PoolWord::neighbourhood, "neighbourhood", "the user's own grouping by place"},
    {PoolWord::pool_class, "class", "the user's own grouping by kind, such as home or holiday let"},
    {PoolWord::site, "site", "one of [[sites]]; left out: the nearest"},
    {PoolWord::fill_water, "fill_water", "one of [fill_water.*]; left out: the first"},
    {PoolWord::cover, "cover", "none, bubble or solid; left out: none for most"},
    {PoolWord::automatic_refill, "automatic_refill", "yes or no; left out: drawn, half of the pools"},
    {PoolWord::skill, "skill", "key or skill that a technician must have"},
    {PoolWord::preferred_technician, "preferred_technician", "one of [[technicians]]"},
    {PoolWord::longitude, "longitude", "degrees east, WGS 84"},
    {PoolWord::latitude, "latitude", "degrees north, WGS 84"},
    {PoolWord::gate_opens, "gate_opens", "earliest arrival, time of day"},
    {PoolWord::gate_closes, "gate_closes", "latest arrival, time of day"},
    {PoolWord::pump_start, "pump_start", "time of day at which the pump starts"},
}};
// clang-format on

std::size_t column_index(std::string_view name) {
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (columns.at(i).name == name) return i;
  }
  throw std::logic_error("no column of pools is called " + std::string(name));
}

}  // namespace

std::span<PoolColumn const> pool_columns() { return columns; }
std::span<PoolWordColumn const> pool_word_columns() { return word_columns; }

std::string usual_unit(PoolColumn const& column) {
  if (!column.kind) return "";
  return column.SI_per_kept == hour_s ? "h" : common_units(*column.kind).front();
}

double quantile(Distribution const& distribution, double p) {
  switch (distribution.shape) {
    case Shape::fixed:
      return distribution.first;
    case Shape::uniform:
      return distribution.first + p * (distribution.second - distribution.first);
    case Shape::normal:
      return distribution.first + distribution.second * standard_normal_quantile(p);
    case Shape::lognormal:
      return distribution.first * std::exp(distribution.second * standard_normal_quantile(p));
  }
  return distribution.first;
}

double trait_draw(std::uint64_t seed, std::uint32_t pool_index, std::uint32_t draw_index) {
  return uniform_draw({.seed = seed, .pool = pool_index, .purpose = Purpose::pool_trait, .index = draw_index});
}

std::uint32_t draw_index_of(PoolWord word) { return 1000U + static_cast<std::uint32_t>(word); }

void draw_missing_traits(Pool& pool, std::uint32_t pool_index, std::uint64_t seed, std::vector<bool> const& known,
                         std::vector<std::optional<Distribution>> const& distributions) {
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (known[i]) continue;
    PoolColumn const& column = columns.at(i);
    double const p = trait_draw(seed, pool_index, static_cast<std::uint32_t>(i));
    double value = quantile(distributions[i].value_or(column.fallback), p);
    if (!distributions[i] && !column.relative_to.empty()) {
      PoolColumn const& base = columns.at(column_index(column.relative_to));
      value *= base.value(pool) * base.SI_per_kept;
    }
    value = std::clamp(value, column.limits.lower, column.limits.upper);
    column.value(pool) = value / column.SI_per_kept;
  }
  if (pool.cover == CoverKind::none) pool.covered_share_of_day = 0.0;
}

}  // namespace brinecast::sim
