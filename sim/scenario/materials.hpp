#pragma once
// The chemicals that a company buys in packs, keeps in its depot and carries in its vans.

#include <array>
#include <cstddef>
#include <optional>

#include "models/dosing/dosing.hpp"

namespace brinecast::sim {

enum class Material { salt, acid, bicarbonate, calcium_chloride, cyanuric_acid, liquid_chlorine };
inline constexpr std::size_t material_count = 6;

/// As bought, [material]: kg of salt, bicarbonate, anhydrous calcium chloride and cyanuric acid; m3 of 31.45 %
/// hydrochloric acid and of liquid chlorine with 12.5 % available.
using MaterialAmounts = std::array<double, material_count>;

constexpr std::size_t index_of(Material material) { return static_cast<std::size_t>(material); }

/// What the unit that it is bought in weighs, kg.
constexpr double kg_per_bought(Material material) {
  if (material == Material::acid) return models::acid_density_kg_per_m3;
  if (material == Material::liquid_chlorine) return models::liquid_chlorine_density_kg_per_m3;
  return 1.0;
}

/// How one of them is bought, stored and carried. A material is limited once its stock or its load on a van is stated;
/// otherwise no visit ever lacks it.
struct MaterialSupply {
  double pack = 20.0;  // of a bag, kg; of a drum, m3
  double lead_days = 7.0;
  double packs_per_order = 1.0;  // orders are whole multiples, such as pallets
  std::optional<int> packs_in_stock =
      std::nullopt;  // in the depot when the season starts; orders restore it. None: never runs out
  std::optional<int> reorder_at =
      std::nullopt;  // packs in the depot and under way at which an order goes out. None: half
  std::optional<int> packs_on_van = std::nullopt;  // that a van is loaded up to. None: `usual_packs_on_van`
  int usual_packs_on_van = 1;

  [[nodiscard]] bool limited() const { return packs_in_stock || packs_on_van; }
  [[nodiscard]] int van_packs() const { return packs_on_van.value_or(usual_packs_on_van); }
  [[nodiscard]] int reorder_packs() const { return reorder_at.value_or(packs_in_stock.value_or(0) / 2); }
};

}  // namespace brinecast::sim
