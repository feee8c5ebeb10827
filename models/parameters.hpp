#pragma once
// Every parameter of the physics in one table: name, unit, default, range, meaning, source.
// The scenario's [model] table sets any of them by name; the result file stores all of them.

#include <span>
#include <string_view>

namespace brinecast::models {

/// Values in SI units as the names say.
struct Parameters {
  double evaporation_factor = 1.0;
};

struct ParameterInfo {
  std::string_view name;
  std::string_view units;  // UDUNITS
  double Parameters::*member;
  double lower;
  double upper;
  std::string_view meaning;
  std::string_view source;
};

/// The table, in a fixed order.
std::span<ParameterInfo const> parameter_table();

}  // namespace brinecast::models
