// The exponential and the logarithm of the vector builds, one lane at a time with the same operations.

#include "sim/fleet/elementary.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "models/lanes.hpp"

namespace brinecast::sim {
namespace {

struct OneLane {
  double value;
  OneLane(double number) : value(number) {}

  friend OneLane operator+(OneLane a, OneLane b) { return a.value + b.value; }
  friend OneLane operator-(OneLane a, OneLane b) { return a.value - b.value; }
  friend OneLane operator*(OneLane a, OneLane b) { return a.value * b.value; }
  friend OneLane operator/(OneLane a, OneLane b) { return a.value / b.value; }
  // As x86 vectors do: the second where either is not a number.
  friend OneLane min(OneLane a, OneLane b) { return a.value < b.value ? a : b; }
  friend OneLane max(OneLane a, OneLane b) { return a.value > b.value ? a : b; }
  friend OneLane multiply_add(OneLane a, OneLane b, OneLane c) { return std::fma(a.value, b.value, c.value); }
  friend OneLane scaled_by_power(OneLane p, OneLane shifted) {
    return std::bit_cast<double>(std::bit_cast<std::uint64_t>(p.value) +
                                 (std::bit_cast<std::uint64_t>(shifted.value) << 52));
  }
  friend OneLane exponent_of(OneLane x) {
    int exponent = 0;
    return std::frexp(x.value, &exponent) >= std::sqrt(0.5) ? exponent : exponent - 1;
  }
  friend OneLane mantissa_of(OneLane x) { return std::ldexp(x.value, -static_cast<int>(exponent_of(x).value)); }
};

/// Error in units in the last place of the true value.
double error_in_ulp(double value, long double truth) {
  double const rounded = static_cast<double>(truth);
  double const unit = std::nextafter(std::fabs(rounded), std::numeric_limits<double>::infinity()) - std::fabs(rounded);
  return static_cast<double>(std::fabs(value - truth)) / unit;
}

TEST_CASE("the exponential errs by less than 1.2 units in the last place", "[sim][fleet][unit]") {
  double worst = 0.0;
  for (double x = -707.9; x < 709.0; x += 0.00173) {
    worst = std::max(worst, error_in_ulp(exponential(OneLane(x)).value, std::exp(static_cast<long double>(x))));
  }
  for (double x = 1e-17; x < 1.0; x *= 1.001) {
    for (double const sign : {-1.0, 1.0}) {
      worst = std::max(
          worst, error_in_ulp(exponential(OneLane(sign * x)).value, std::exp(static_cast<long double>(sign * x))));
    }
  }
  CAPTURE(worst);
  CHECK(worst < 1.2);
  CHECK(worst > 0.5);  // no rounded polynomial does better
}

TEST_CASE("the exponential stays at its ends beyond them and passes on what is not a number", "[sim][fleet][hostile]") {
  CHECK(exponential(OneLane(0.0)).value == 1.0);
  CHECK(exponential(OneLane(-1e300)).value == exponential(OneLane(-708.0)).value);
  CHECK(exponential(OneLane(1e300)).value == exponential(OneLane(709.0)).value);
  CHECK(exponential(OneLane(-708.0)).value > 0.0);
  CHECK(std::isfinite(exponential(OneLane(709.0)).value));
  CHECK(std::isnan(exponential(OneLane(std::numeric_limits<double>::quiet_NaN())).value));
}

TEST_CASE("the logarithm errs by less than two units in the last place", "[sim][fleet][unit]") {
  double worst = 0.0;
  for (double x = 2.3e-308; x < 1e308; x *= 1.00137) {
    worst = std::max(worst, error_in_ulp(logarithm(OneLane(x)).value, std::log(static_cast<long double>(x))));
  }
  for (double near_one = 1e-15; near_one < 0.5; near_one *= 1.001) {
    for (double const x : {1.0 - near_one, 1.0 + near_one}) {
      worst = std::max(worst, error_in_ulp(logarithm(OneLane(x)).value, std::log(static_cast<long double>(x))));
    }
  }
  CAPTURE(worst);
  CHECK(worst < 2.0);
  CHECK(worst > 0.5);
  CHECK(logarithm(OneLane(1.0)).value == 0.0);
}

TEST_CASE("several inverses by one division are those of one division each", "[sim][fleet][unit]") {
  auto const [third, tiny, last] = models::inverses(3.0, 7e-20, 11.0);
  CHECK(error_in_ulp(third, 1.0L / 3.0L) < 4.0);
  CHECK(error_in_ulp(tiny, 1.0L / static_cast<long double>(7e-20)) < 4.0);
  CHECK(error_in_ulp(last, 1.0L / 11.0L) < 4.0);
  double worst = 0.0;
  for (int i = 1; i <= 1000; ++i) {
    // The five of the pH solver.
    double const h = std::pow(10.0, -0.014 * i);
    std::array<double, 5> const numbers{h * h + 1e-17, h + 2e-7, h + 6e-10, h + 3e-8, h};
    auto const inverse = models::inverses(numbers[0], numbers[1], numbers[2], numbers[3], numbers[4]);
    for (std::size_t k = 0; k < numbers.size(); ++k) {
      worst = std::max(worst, error_in_ulp(inverse[k], 1.0L / static_cast<long double>(numbers[k])));
    }
  }
  CHECK(worst < 8.0);
}

}  // namespace
}  // namespace brinecast::sim
