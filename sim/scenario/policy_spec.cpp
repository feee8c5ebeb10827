#include "sim/scenario/policy_spec.hpp"

namespace brinecast::sim {

namespace {

// Errors of the tests that a technician carries, in kg/m3 (chlorine, salt), mol/m3 (alkalinity in equivalents, calcium,
// cyanuric acid), pH units, K and V. `common practice, no source`: strips are read against printed colours in steps of
// about 20 mg/L alkalinity, kits count drops of 10 mg/L, the cyanuric acid tube is read by the vanishing of a dot,
// meters are calibrated photometers and electrodes. A salt meter reads all ions as salt: with 300 mg/L calcium hardness
// and 100 mg/L alkalinity it would show some 430 mg/L too much (computed from the conductivity of such a water), of
// which a meter calibrated in pool water keeps about a tenth.
ReadingErrors make_typical_reading_errors() {
  ReadingErrors errors{};
  auto const set = [&errors](TestMethod method, Measured quantity, ReadingError error) {
    errors[static_cast<std::size_t>(method)][static_cast<std::size_t>(quantity)] = error;
  };
  using enum Measured;
  using enum TestMethod;
  set(strip, free_chlorine, {.sd_relative = 0.25, .sd = 0.0003, .step = 0.0005});
  set(strip, combined_chlorine, {.sd_relative = 0.5, .sd = 0.0003, .step = 0.0005});
  set(strip, ph, {.sd = 0.2, .step = 0.2});
  set(strip, alkalinity, {.sd_relative = 0.15, .sd = 0.2, .step = 0.4});
  set(strip, calcium, {.sd_relative = 0.25, .sd = 0.3, .step = 0.5});
  set(strip, cyanuric_acid, {.sd_relative = 0.3, .sd = 0.08, .step = 0.15});
  set(strip, salt, {.sd_relative = 0.08, .sd = 0.1, .step = 0.1});
  set(kit, free_chlorine, {.sd_relative = 0.05, .sd = 0.0001, .step = 0.0002});
  set(kit, combined_chlorine, {.sd_relative = 0.1, .sd = 0.0001, .step = 0.0002});
  set(kit, ph, {.sd = 0.08, .step = 0.1});
  set(kit, alkalinity, {.sd_relative = 0.03, .sd = 0.08, .step = 0.2});
  set(kit, calcium, {.sd_relative = 0.03, .sd = 0.05, .step = 0.1});
  set(kit, cyanuric_acid, {.sd_relative = 0.12, .sd = 0.03, .step = 0.04});
  set(kit, salt, {.sd_relative = 0.03, .sd = 0.05, .step = 0.2});
  set(meter, free_chlorine, {.sd_relative = 0.04, .sd = 0.00003, .step = 0.00001});
  set(meter, combined_chlorine, {.sd_relative = 0.06, .sd = 0.00004, .step = 0.00001});
  set(meter, ph, {.sd = 0.04, .step = 0.01});
  set(meter, alkalinity, {.sd_relative = 0.04, .sd = 0.04, .step = 0.02});
  set(meter, calcium, {.sd_relative = 0.05, .sd = 0.05, .step = 0.01});
  set(meter, cyanuric_acid, {.sd_relative = 0.08, .sd = 0.02, .step = 0.01});
  set(meter, salt, {.bias = 0.04, .sd_relative = 0.02, .sd = 0.02, .step = 0.01});
  set(meter, water_temperature, {.sd = 0.2, .step = 0.1});
  set(meter, cell_voltage, {.sd_relative = 0.005, .step = 0.01});
  // What the unit shows carries the sensor's offset, drift and temperature error already; only the display rounds.
  set(unit, unit_salt, {.step = 0.1});
  set(unit, water_temperature, {.sd = 0.5, .step = 0.5});
  set(unit, cell_voltage, {.sd_relative = 0.01, .step = 0.1});
  set(remote, free_chlorine, {.sd_relative = 0.15, .sd = 0.0002});  // inferred from the redox potential
  set(remote, ph, {.sd = 0.12});
  set(remote, unit_salt, {.step = 0.1});
  set(remote, water_temperature, {.sd = 0.3});
  return errors;
}

}  // namespace

ReadingErrors const& typical_reading_errors() {
  static ReadingErrors const errors = make_typical_reading_errors();
  return errors;
}

}  // namespace brinecast::sim
