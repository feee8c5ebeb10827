#pragma once
// A lane type that counts what is done to it. The kernel's templates run with it as they run with vectors, so that the
// arithmetic of the model is counted, not estimated.

#include <cmath>
#include <cstddef>
#include <cstdint>

namespace brinecast::tools {

/// What an exponential and a logarithm of the vector lanes cost, counted from their polynomials.
struct ElementaryCost {
  int flops, divisions;
};
inline constexpr ElementaryCost exponential_cost{.flops = 32, .divisions = 0};
inline constexpr ElementaryCost logarithm_cost{.flops = 28, .divisions = 1};

/// Operations on one pool.
struct OperationCount {
  std::int64_t flops = 0;  // additions, subtractions, multiplications, comparisons, minima and maxima
  std::int64_t divisions = 0;
  std::int64_t square_roots = 0;
  std::int64_t exponentials = 0;
  std::int64_t logarithms = 0;
  std::int64_t loads = 0;
  std::int64_t stores = 0;

  friend OperationCount operator-(OperationCount const& a, OperationCount const& b) {
    return {a.flops - b.flops,
            a.divisions - b.divisions,
            a.square_roots - b.square_roots,
            a.exponentials - b.exponentials,
            a.logarithms - b.logarithms,
            a.loads - b.loads,
            a.stores - b.stores};
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

  friend CountedLanes exp(CountedLanes x) {
    ++done.exponentials;
    return {std::exp(x.value)};
  }
  friend CountedLanes log(CountedLanes x) {
    ++done.logarithms;
    return {std::log(x.value)};
  }
  friend CountedLanes sqrt(CountedLanes x) {
    ++done.square_roots;
    return {std::sqrt(x.value)};
  }
  friend CountedLanes abs(CountedLanes x) { return {std::fabs(x.value)}; }
  friend CountedLanes min(CountedLanes a, CountedLanes b) { return flop(a.value < b.value ? a.value : b.value); }
  friend CountedLanes max(CountedLanes a, CountedLanes b) { return flop(a.value > b.value ? a.value : b.value); }
};

/// A choice is no arithmetic.
inline CountedLanes select(bool condition, CountedLanes a, CountedLanes b) { return condition ? a : b; }

}  // namespace brinecast::tools
