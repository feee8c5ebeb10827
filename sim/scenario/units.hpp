#pragma once
// Quantities as people write them ("16000 gal", "3200 ppm", "82 degF") to SI and back. Units are read by UDUNITS-2;
// the trade's own words are aliases listed in units.cpp.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace brinecast::sim {

/// What a number measures. Kinds that share a dimension differ in how they are written for people.
enum class Quantity {
  share,               // 1, also written in %
  water_volume,        // m3
  chemical_volume,     // m3: acid, liquid chlorine
  area,                // m2
  length,              // m: of a basin
  depth,               // m: of rain or evaporation
  distance,            // m: on roads and between places
  duration,            // s
  mass,                // kg
  concentration,       // kg/m3; ppm means mg/L; free chlorine counts as Cl2
  alkalinity,          // mol/m3, equivalents; mg/L means as CaCO3
  calcium,             // mol/m3; mg/L means as CaCO3
  cyanuric_acid,       // mol/m3; mg/L means of cyanuric acid
  borate,              // mol/m3; mg/L means as boron
  flow,                // m3/s
  production,          // kg/s, as Cl2
  temperature,         // K
  temperature_change,  // K
  speed,               // m/s
  energy,              // J
  power,               // W
  voltage,             // V
  per_volume,          // 1/m3
  per_length,          // 1/m
  per_time,            // 1/s
  irradiance,          // W/m2
  pressure,            // Pa
};

enum class UnitSystem { si, us };

struct QuantityInfo {
  Quantity kind;
  std::string_view phrase;       // "a volume"
  std::string_view si_unit;      // as UDUNITS reads it
  std::string_view example;      // what to write
  double molar_mass_kg_per_mol;  // of what a mass concentration is counted as, divided by its equivalents; 0: none
  std::string_view shown_unit_si;
  std::string_view shown_unit_us;
  int decimals_si;
  int decimals_us;
};

QuantityInfo const& quantity_info(Quantity kind);

/// The value in SI, or a message without place: what is wrong; what would be right.
struct ReadQuantity {
  std::optional<double> value;
  std::string problem;
  double number = 0.0;  // as written, before the unit
};

/// Reads "60 m3": a decimal point, digits not grouped; infinite values and NaN are refused.
ReadQuantity read_quantity(std::string_view text, Quantity kind);

/// Reads a quantity of no listed kind, "5 W m-2 K-1", into the given unit (as UDUNITS reads it).
ReadQuantity read_in_unit(std::string_view text, std::string_view unit);

/// Slope and offset of a unit: SI = slope * value + offset. Empty, with a message, for a unit of something else.
struct UnitConversion {
  double slope = 1.0;
  double offset = 0.0;
};
struct ReadUnit {
  std::optional<UnitConversion> conversion;
  std::string problem;
};
ReadUnit read_unit(std::string_view unit, Quantity kind);

/// Units in which something of this kind is commonly written, for hints about a mistaken unit.
std::vector<std::string> common_units(Quantity kind);

/// A number that is all of `text` (spaces around it allowed), finite; C locale.
std::optional<double> read_number(std::string_view text);

/// The value in the unit that the system shows for its kind.
double shown_value(double value_SI, Quantity kind, UnitSystem system);
std::string_view shown_unit(Quantity kind, UnitSystem system);
/// "60.0 m3" or "15850 gal". Decimals below 0 leave the choice to the kind.
std::string format_quantity(double value_SI, Quantity kind, UnitSystem system, int decimals = -1);

}  // namespace brinecast::sim
