#pragma once
// Physical constants and molar masses, each with unit and source.

namespace brinecast::models {

// CODATA 2018, from memory.
inline constexpr double faraday_constant_C_per_mol = 96485.33212;
inline constexpr double gas_constant_J_per_mol_K = 8.314462618;
inline constexpr double stefan_boltzmann_W_per_m2_K4 = 5.670374419e-8;

// By definition.
inline constexpr double celsius_zero_K = 273.15;
inline constexpr double standard_atmosphere_Pa = 101325.0;
inline constexpr double reference_temperature_K = 298.15;  // 25 degC, where most equilibrium constants are tabulated
inline constexpr double seconds_per_hour = 3600.0;
inline constexpr double seconds_per_day = 86400.0;

// IUPAC atomic masses, from memory.
inline constexpr double molar_mass_Cl2_kg_per_mol = 0.070906;
inline constexpr double molar_mass_NaCl_kg_per_mol = 0.0584428;
inline constexpr double molar_mass_CaCO3_kg_per_mol = 0.100087;
inline constexpr double molar_mass_cyanuric_acid_kg_per_mol = 0.129074;
inline constexpr double molar_mass_nitrogen_kg_per_mol = 0.014007;
inline constexpr double molar_mass_boron_kg_per_mol = 0.01081;
inline constexpr double molar_mass_HCl_kg_per_mol = 0.036461;
inline constexpr double molar_mass_NaHCO3_kg_per_mol = 0.084007;
inline constexpr double molar_mass_Na2CO3_kg_per_mol = 0.105989;
inline constexpr double molar_mass_CaCl2_kg_per_mol = 0.110984;

// Water and ice, handbook values (IAPWS for the heat capacity, 10 to 35 degC within 0.2 %), from memory.
inline constexpr double water_heat_capacity_J_per_kg_K = 4180.0;
inline constexpr double reference_water_density_kg_per_m3 =
    997.0;  // for heat and water books, where 0.4 % does not matter
inline constexpr double ice_density_kg_per_m3 = 916.7;
inline constexpr double latent_heat_of_fusion_J_per_kg = 333550.0;
inline constexpr double ice_conductivity_W_per_m_K = 2.2;

}  // namespace brinecast::models
