// Quantities and units, as they stand in scenarios, pool lists and the headers of weather tables.

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "sim/scenario/units.hpp"

// NOLINTNEXTLINE: the name is libFuzzer's
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size) {
  using namespace brinecast::sim;
  std::string_view const text(reinterpret_cast<char const*>(data), size);
  for (auto kind = static_cast<int>(Quantity::share); kind <= static_cast<int>(Quantity::pressure); ++kind) {
    auto const read = read_quantity(text, static_cast<Quantity>(kind));
    // Either a finite value or a reason, never both nor neither.
    if (read.value.has_value() == !read.problem.empty()) std::abort();
    if (read.value && !std::isfinite(*read.value)) std::abort();
  }
  auto const in_unit = read_in_unit(text, "W m-2 K-1");
  if (in_unit.value.has_value() == !in_unit.problem.empty()) std::abort();
  auto const unit = read_unit(text, Quantity::water_volume);
  if (unit.conversion.has_value() == !unit.problem.empty()) std::abort();
  return 0;
}
