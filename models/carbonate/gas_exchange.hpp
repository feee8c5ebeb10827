#pragma once
// Carbon dioxide leaves pool water for the air, and the pH drifts up. Flux k ([CO2] - solubility x partial pressure).

#include "models/carbonate/ph.hpp"
#include "models/constants.hpp"
#include "models/lanes.hpp"
#include "models/parameters.hpp"
#include "models/step.hpp"

namespace brinecast::models {

/// Wind to the power of the transfer law. Splits into weather x shelter, since (a b)^1.7 = a^1.7 b^1.7.
template <class Lanes>
Lanes wind_for_gas_transfer(Lanes wind_speed_m_per_s) {
  return power(max(wind_speed_m_per_s, Lanes(1e-6)), 1.7);
}

/// m/s at this temperature and wind. J. J. Cole & N. F. Caraco 1998, lakes: k600 = 2.07 + 0.215 u^1.7 cm/h; Schmidt
/// number of CO2 in fresh water by R. Wanninkhof 2014, from memory. Check: 25 degC, 2 m/s 3.132 cm/h.
template <class Lanes>
Lanes gas_transfer_velocity_m_per_s(Lanes temperature_K, Lanes wind_to_power) {
  Lanes const t = temperature_K - celsius_zero_K;
  Lanes const schmidt = 1923.6 + t * (-125.06 + t * (4.3773 + t * (-0.085681 + t * 0.00070284)));
  constexpr double m_per_s_per_cm_per_h = 0.01 / seconds_per_hour;
  return (2.07 + 0.215 * wind_to_power) * m_per_s_per_cm_per_h * sqrt(600.0 / schmidt);
}

template <class Lanes>
struct GasExchangeInputs {
  AcidBase<Lanes> water;
  Lanes equilibrium_mol_per_m3;     // solubility x partial pressure in the air
  Lanes transfer_velocity_m_per_s;  // with agitation and cover
  Lanes depth_m;
  double step_s;
};

/// Change of inorganic carbon over a step, mol/m3: relaxation towards equilibrium with the air at constant alkalinity,
/// exact for the buffer intensity at its start.
template <class Lanes>
Lanes gas_exchange_mol_per_m3(GasExchangeInputs<Lanes> const& in) {
  Lanes const renewals = in.transfer_velocity_m_per_s * in.step_s / in.depth_m;
  return -(in.water.carbon_dioxide_mol_per_m3 - in.equilibrium_mol_per_m3) * renewals *
         mean_of_slow_decay(renewals * in.water.carbon_dioxide_per_carbon);
}

}  // namespace brinecast::models
