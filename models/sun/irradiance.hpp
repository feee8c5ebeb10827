#pragma once
// Sunlight where a weather source lacks it: above the atmosphere, under a clear sky, and what clouds leave of it.
// Plain double: needed once per site and hour.

namespace brinecast::models {

inline constexpr double solar_constant_W_per_m2 = 1367.0;  // Duffie & Beckman, from memory

/// Irradiance on a horizontal surface under a clear sky, W/m2: B. Haurwitz 1945, 1098 cos z exp(-0.059 / cos z).
/// Check: zenith 0 deg 1035.1, 60 deg 487.9.
double clear_sky_irradiance_W_per_m2(double cos_zenith);

/// Share of the clear sky's irradiance that a cloud cover leaves: F. Kasten & G. Czeplak 1980, 1 - 0.75 N^3.4.
double cloud_transmission(double cloud_fraction);
/// The inverse: the cloud cover that leaves this share, limited to 0..1.
double cloud_fraction_from_transmission(double transmission);

/// Diffuse share of the global irradiance from the clearness index (global over extraterrestrial, both horizontal):
/// D. G. Erbs, S. A. Klein, J. A. Duffie 1982, from memory.
double diffuse_share(double clearness_index);

struct DayOfSun {
  double extraterrestrial_J_per_m2;
  double daylight_s;
};
/// A day's irradiation above the atmosphere on a horizontal surface, and its length; declination by P. I. Cooper 1969.
/// Check: 33.262 deg N, day 172: 41.51 MJ/m2, 14.20 h.
DayOfSun day_of_sun(int day_of_year, double latitude_deg);

}  // namespace brinecast::models
