#include "sim/random/random.hpp"

#include <Random123/philox.h>

#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <numbers>

namespace brinecast::sim {

std::array<std::uint32_t, 4> random_bits(DrawKey const& key) {
  // The counter names the event, the Philox key names the experiment. Purpose and index share one word: 256 purposes,
  // 2^24 draws each.
  r123::Philox4x32::ctr_type const counter{
      {key.replicate, key.pool, (static_cast<std::uint32_t>(key.purpose) << 24U) ^ key.index, key.time}};
  r123::Philox4x32::key_type const experiment{
      {static_cast<std::uint32_t>(key.seed), static_cast<std::uint32_t>(key.seed >> 32U)}};
  auto const bits = r123::Philox4x32()(counter, experiment);
  return {bits[0], bits[1], bits[2], bits[3]};
}

namespace {

/// 52 random bits and a half step, so that neither 0 nor 1 can occur.
double open_unit_interval(std::uint32_t high, std::uint32_t low) {
  std::uint64_t const bits = (static_cast<std::uint64_t>(high) << 20U) | (low >> 12U);
  return (static_cast<double>(bits) + 0.5) * 0x1p-52;
}

}  // namespace

double uniform_draw(DrawKey const& key) {
  auto const bits = random_bits(key);
  return open_unit_interval(bits[0], bits[1]);
}

std::array<double, 2> uniform_pair(DrawKey const& key) {
  auto const bits = random_bits(key);
  return {open_unit_interval(bits[0], bits[1]), open_unit_interval(bits[2], bits[3])};
}

double standard_normal_quantile(double p) { return -std::numbers::sqrt2 * boost::math::erfc_inv(2.0 * p); }

double normal_draw(DrawKey const& key) { return standard_normal_quantile(uniform_draw(key)); }

int poisson_draw(DrawKey const& key, double mean) {
  if (mean <= 0.0) return 0;
  if (mean > 50.0) {
    double const value = std::floor(mean + std::sqrt(mean) * normal_draw(key) + 0.5);
    return value > 0.0 ? static_cast<int>(value) : 0;
  }
  double const target = uniform_draw(key);
  double term = std::exp(-mean);
  double sum = term;
  int count = 0;
  while (sum < target && count < 1000) {
    ++count;
    term *= mean / count;
    sum += term;
  }
  return count;
}

}  // namespace brinecast::sim
