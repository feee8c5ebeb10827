#pragma once
// Counter-based randomness: a draw is a function of what it is for, never of who asks or in which order.
// Philox 4x32-10: Salmon, Moraes, Dror, Shaw, "Parallel random numbers: as easy as 1, 2, 3", SC11, 2011.

#include <array>
#include <cstdint>

namespace brinecast::sim {

/// What a draw feeds. Append only: the numbers are part of every result.
enum class Purpose : std::uint32_t {
  weather_daily = 0,    // generated weather: the day's occurrence, amounts and residuals
  weather_hourly = 1,   // generated weather: storms and gusts inside a day
  weather_year = 2,     // which measured year a season takes
  pool_trait = 3,       // traits of a pool that its list does not give; replicate 0
  pool_luck = 4,        // traits of a pool that differ from replicate to replicate
  bathers = 5,          // bathers of a day
  debris = 6,           // leaves and dust of a day
  test_error = 7,       // error of a water test at a visit
  salt_sensor = 8,      // the unit's own salt sensor: offset and drift
  coating_life = 9,     // life of a cell's coating, one draw a cell
  call = 10,            // whether and when an owner calls
  owner_care = 11,      // what an owner does
  technician = 12,      // duration of the work at a visit
  false_warning = 13,   // air in the line and other false causes
  freeze = 14,          // whether frozen lines break
  customer = 15,        // complaints and cancellations
  remote_reading = 16,  // error of a remote reading
  round_search = 18,    // the search for rounds
  resample = 19,        // statistics: resampling
};

struct DrawKey {
  std::uint64_t seed = 0;
  std::uint32_t replicate = 0;
  std::uint32_t pool = 0;  // or the site, technician, ... that the purpose speaks of
  Purpose purpose = Purpose::pool_trait;
  std::uint32_t time = 0;   // hour, day, or a running number
  std::uint32_t index = 0;  // several draws of one purpose at one time
};

/// The 128 random bits of a key.
std::array<std::uint32_t, 4> random_bits(DrawKey const& key);

/// Uniform in (0, 1), 52 bits, never 0 or 1.
double uniform_draw(DrawKey const& key);
/// Standard normal, by inversion of the distribution function.
double normal_draw(DrawKey const& key);
/// Poisson with the given mean >= 0, by inversion; means above 50 are drawn as rounded normals.
int poisson_draw(DrawKey const& key, double mean);

/// Two independent uniforms of one key.
std::array<double, 2> uniform_pair(DrawKey const& key);

/// Quantile of the standard normal distribution, p in (0, 1).
double standard_normal_quantile(double p);

}  // namespace brinecast::sim
