#include "sim/policy/visit.hpp"

#include "models/constants.hpp"
#include "models/dosing/dosing.hpp"

namespace brinecast::sim {

double bought_per_action(Material material) {
  switch (material) {
    case Material::salt:
      return 1.0;
    case Material::acid:
      return 1.0 / models::acid_mol_per_m3;
    case Material::bicarbonate:
      return models::molar_mass_NaHCO3_kg_per_mol;
    case Material::calcium_chloride:
      return models::molar_mass_CaCl2_kg_per_mol;
    case Material::cyanuric_acid:
      return models::molar_mass_cyanuric_acid_kg_per_mol;
    case Material::liquid_chlorine:
      return 1.0 / models::liquid_chlorine_kg_per_m3;
  }
  return 1.0;
}

MaterialAmounts materials_of(VisitActions const& actions, double acid_mol_per_bath) {
  MaterialAmounts amounts{};
  auto const take = [&](Material material, double of_action) {
    amounts[index_of(material)] = of_action * bought_per_action(material);
  };
  take(Material::salt, actions.salt_kg);
  take(Material::acid, actions.acid_mol + actions.acid_clean_cycles * acid_mol_per_bath);
  take(Material::bicarbonate, actions.bicarbonate_mol);
  take(Material::calcium_chloride, actions.calcium_mol);
  take(Material::cyanuric_acid, actions.cyanuric_acid_mol);
  take(Material::liquid_chlorine, actions.liquid_chlorine_kg);
  return amounts;
}

}  // namespace brinecast::sim
