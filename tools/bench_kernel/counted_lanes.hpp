#pragma once
// A lane type that counts what is done to it. The kernel's templates run with it as they run with vectors, so that the
// arithmetic of the model is counted, not estimated.

#include <cmath>
#include <cstddef>

#include "sim/fleet/elementary.hpp"

namespace brinecast::tools {

/// Operations on one pool, whole or as a mean.
struct OperationCount {
  double flops = 0;  // additions, subtractions, multiplications, comparisons, minima and maxima
  double divisions = 0;
  double square_roots = 0;
  double exponentials = 0;  // what these two do is counted above as well
  double logarithms = 0;
  double loads = 0;
  double stores = 0;

  /// This and `factor` times another.
  [[nodiscard]] OperationCount plus(double factor, OperationCount const& other) const {
    return {flops + factor * other.flops,
            divisions + factor * other.divisions,
            square_roots + factor * other.square_roots,
            exponentials + factor * other.exponentials,
            logarithms + factor * other.logarithms,
            loads + factor * other.loads,
            stores + factor * other.stores};
  }
};

struct CountedLanes {
  static inline OperationCount done;

  double value = 0.0;
  CountedLanes() = default;
  CountedLanes(double constant) : value(constant) {}  // implicit, as for vectors

  static constexpr std::size_t width() { return 1; }
  static CountedLanes load(double const* from) {
    ++done.loads;
    return {*from};
  }
  void store(double* to) const {
    ++done.stores;
    *to = value;
  }
  static CountedLanes flop(double result) {
    ++done.flops;
    return {result};
  }
  static bool compared(bool result) {
    ++done.flops;
    return result;
  }

  friend CountedLanes operator+(CountedLanes a, CountedLanes b) { return flop(a.value + b.value); }
  friend CountedLanes operator-(CountedLanes a, CountedLanes b) { return flop(a.value - b.value); }
  friend CountedLanes operator*(CountedLanes a, CountedLanes b) { return flop(a.value * b.value); }
  friend CountedLanes operator/(CountedLanes a, CountedLanes b) {
    ++done.divisions;
    return {a.value / b.value};
  }
  friend CountedLanes operator-(CountedLanes a) { return {-a.value}; }
  CountedLanes& operator+=(CountedLanes b) { return *this = *this + b; }
  CountedLanes& operator-=(CountedLanes b) { return *this = *this - b; }
  CountedLanes& operator*=(CountedLanes b) { return *this = *this * b; }

  friend bool operator<(CountedLanes a, CountedLanes b) { return compared(a.value < b.value); }
  friend bool operator<=(CountedLanes a, CountedLanes b) { return compared(a.value <= b.value); }
  friend bool operator>(CountedLanes a, CountedLanes b) { return compared(a.value > b.value); }
  friend bool operator>=(CountedLanes a, CountedLanes b) { return compared(a.value >= b.value); }

  friend CountedLanes multiply_add(CountedLanes a, CountedLanes b, CountedLanes c) {
    done.flops += 2;
    return {std::fma(a.value, b.value, c.value)};
  }
  friend CountedLanes scaled_by_power(CountedLanes p, CountedLanes shifted) {
    return {std::ldexp(p.value, static_cast<int>(shifted.value - sim::rounding_shift))};
  }
  friend CountedLanes exponent_of(CountedLanes x) { return flop(split(x).exponent); }
  friend CountedLanes mantissa_of(CountedLanes x) { return {split(x).mantissa}; }
  friend CountedLanes exp(CountedLanes x) {
    ++done.exponentials;
    return sim::exponential(x);
  }
  friend CountedLanes log(CountedLanes x) {
    ++done.logarithms;
    return sim::logarithm(x);
  }
  friend CountedLanes sqrt(CountedLanes x) {
    ++done.square_roots;
    return {std::sqrt(x.value)};
  }
  friend CountedLanes abs(CountedLanes x) { return {std::fabs(x.value)}; }
  friend CountedLanes min(CountedLanes a, CountedLanes b) { return flop(a.value < b.value ? a.value : b.value); }
  friend CountedLanes max(CountedLanes a, CountedLanes b) { return flop(a.value > b.value ? a.value : b.value); }

 private:
  struct Parts {
    double mantissa, exponent;
  };
  static Parts split(CountedLanes x) {
    int exponent = 0;
    double const half_to_one = std::frexp(x.value, &exponent);
    constexpr double root_half = 0.70710678118654752440;
    if (half_to_one >= root_half) return {half_to_one, static_cast<double>(exponent)};
    return {2.0 * half_to_one, static_cast<double>(exponent - 1)};
  }
};

// A choice is no arithmetic.
inline bool any(bool condition) { return condition; }
inline CountedLanes select(bool condition, CountedLanes a, CountedLanes b) { return condition ? a : b; }

}  // namespace brinecast::tools
