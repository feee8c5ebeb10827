#include "sim/random/random.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

using namespace brinecast::sim;

TEST_CASE("Philox 4x32-10 of zeros is the published answer", "[sim][random][published]") {
  // Known answer of the generator's authors (Random123, kat_vectors): counter 0, key 0.
  auto const bits = random_bits({.seed = 0, .replicate = 0, .pool = 0, .purpose = Purpose::weather_daily, .time = 0});
  CHECK(bits == std::array<std::uint32_t, 4>{0x6627e8d5U, 0xe169c58dU, 0xbc57ac4cU, 0x9b00dbd8U});
}

TEST_CASE("every part of a key changes the draw", "[sim][random][unit]") {
  DrawKey const key{.seed = 7, .replicate = 3, .pool = 5, .purpose = Purpose::bathers, .time = 11, .index = 2};
  double const draw = uniform_draw(key);
  CHECK(uniform_draw(key) == draw);
  auto changed = [&](auto change) {
    DrawKey other = key;
    change(other);
    return uniform_draw(other) != draw;
  };
  CHECK(changed([](DrawKey& k) { k.seed = 8; }));
  CHECK(changed([](DrawKey& k) { k.seed += 1ULL << 40U; }));
  CHECK(changed([](DrawKey& k) { k.replicate = 4; }));
  CHECK(changed([](DrawKey& k) { k.pool = 6; }));
  CHECK(changed([](DrawKey& k) { k.purpose = Purpose::debris; }));
  CHECK(changed([](DrawKey& k) { k.time = 12; }));
  CHECK(changed([](DrawKey& k) { k.index = 3; }));
}

TEST_CASE("the normal quantile agrees with tabulated values", "[sim][random][published]") {
  // Abramowitz & Stegun, Handbook of Mathematical Functions, table 26.5 (from memory).
  CHECK(standard_normal_quantile(0.975) == Approx(1.959964).epsilon(1e-6));
  CHECK(standard_normal_quantile(0.995) == Approx(2.575829).epsilon(1e-6));
  CHECK(std::fabs(standard_normal_quantile(0.5)) < 1e-15);
}

namespace {

struct Moments {
  double mean = 0.0, variance = 0.0;
};

template <class Draw>
Moments moments_of(Draw draw) {
  constexpr std::uint32_t n = 40'000;
  double sum = 0.0, squares = 0.0;
  for (std::uint32_t i = 0; i < n; ++i) {
    double const x = draw(DrawKey{.seed = 42, .purpose = Purpose::pool_luck, .time = i});
    sum += x;
    squares += x * x;
  }
  return {sum / n, squares / n - (sum / n) * (sum / n)};
}

}  // namespace

// Each mean is held to 5 standard errors of 40,000 draws: a false alarm in 2 million runs of another seed.
TEST_CASE("the distributions have their means and variances", "[sim][random][statistics]") {
  auto const close = [](Moments got, double mean, double variance) {
    CHECK(std::fabs(got.mean - mean) < 5.0 * std::sqrt(variance / 40'000.0));
    CHECK(got.variance == Approx(variance).epsilon(0.1));
  };
  close(moments_of([](DrawKey const& k) { return uniform_draw(k); }), 0.5, 1.0 / 12.0);
  close(moments_of([](DrawKey const& k) { return normal_draw(k); }), 0.0, 1.0);
  close(moments_of([](DrawKey const& k) { return double(poisson_draw(k, 0.3)); }), 0.3, 0.3);
  close(moments_of([](DrawKey const& k) { return double(poisson_draw(k, 12.0)); }), 12.0, 12.0);
  close(moments_of([](DrawKey const& k) { return double(poisson_draw(k, 80.0)); }), 80.0, 80.0);
}
