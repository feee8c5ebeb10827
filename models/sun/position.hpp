#pragma once
// Where the sun is. Low-precision formulas of the Astronomical Almanac (J. J. Michalsky 1988), from memory: within
// 0.01 deg from 1950 to 2050. Plain double: needed once per site and hour.

namespace brinecast::models {

struct Place {
  double latitude_deg;   // north positive
  double longitude_deg;  // east positive
};

struct SunPosition {
  double cos_zenith;       // geometric, without refraction; negative below the horizon
  double zenith_deg;       // geometric
  double azimuth_deg;      // clockwise from north
  double distance_factor;  // extraterrestrial irradiance over its annual mean
};

/// `days_since_j2000` in universal time from 2000-01-01 12:00.
/// Check: Reda & Andreas 2008, NREL/TP-560-34302 example, zenith 50.1116 deg, azimuth 194.3402 deg with refraction.
SunPosition sun_position(double days_since_j2000, Place const& place);

/// Refraction of the standard atmosphere, deg, for a geometric elevation. G. G. Bennett 1982 in Saemundsson's form,
/// scaled by pressure and temperature.
double refraction_deg(double elevation_deg, double pressure_Pa, double temperature_K);

/// Mean of cos_zenith over the daylit part of the hour that begins at `days_since_j2000`; 0 if the sun stays down.
double mean_cos_zenith_of_hour(double days_since_j2000, Place const& place);

}  // namespace brinecast::models
