#pragma once
// Several pools at a time: Highway's vectors behind ordinary operators, so that the templates of models/ read like the
// paper. Included only by the kernel's translation units, each compiled for one instruction set; Highway's namespace
// name differs by instruction set, and so do all symbols made from these types.

#include <hwy/highway.h>

#include "sim/fleet/elementary.hpp"

namespace brinecast::sim {
namespace HWY_NAMESPACE {

namespace hn = hwy::HWY_NAMESPACE;
using LaneTag = hn::ScalableTag<double>;
using BitTag = hn::ScalableTag<std::uint64_t>;

struct LaneMask {
  hn::Mask<LaneTag> mask;
  friend LaneMask operator&(LaneMask a, LaneMask b) { return {hn::And(a.mask, b.mask)}; }
  friend LaneMask operator|(LaneMask a, LaneMask b) { return {hn::Or(a.mask, b.mask)}; }
  friend LaneMask operator!(LaneMask a) { return {hn::Not(a.mask)}; }
};

struct Lanes {
  hn::Vec<LaneTag> value;

  Lanes() : value(hn::Zero(LaneTag())) {}
  // Implicit on purpose: a constant in a formula means the same number for every pool.
  Lanes(double constant) : value(hn::Set(LaneTag(), constant)) {}
  explicit Lanes(hn::Vec<LaneTag> lanes) : value(lanes) {}

  static constexpr std::size_t width() { return hn::MaxLanes(LaneTag()); }
  static Lanes load(double const* aligned) { return Lanes(hn::Load(LaneTag(), aligned)); }
  void store(double* aligned) const { hn::Store(value, LaneTag(), aligned); }

  friend Lanes operator+(Lanes a, Lanes b) { return Lanes(hn::Add(a.value, b.value)); }
  friend Lanes operator-(Lanes a, Lanes b) { return Lanes(hn::Sub(a.value, b.value)); }
  friend Lanes operator*(Lanes a, Lanes b) { return Lanes(hn::Mul(a.value, b.value)); }
  friend Lanes operator/(Lanes a, Lanes b) { return Lanes(hn::Div(a.value, b.value)); }
  friend Lanes operator-(Lanes a) { return Lanes(hn::Neg(a.value)); }
  Lanes& operator+=(Lanes b) { return *this = *this + b; }
  Lanes& operator-=(Lanes b) { return *this = *this - b; }
  Lanes& operator*=(Lanes b) { return *this = *this * b; }

  friend LaneMask operator<(Lanes a, Lanes b) { return {hn::Lt(a.value, b.value)}; }
  friend LaneMask operator<=(Lanes a, Lanes b) { return {hn::Le(a.value, b.value)}; }
  friend LaneMask operator>(Lanes a, Lanes b) { return {hn::Gt(a.value, b.value)}; }
  friend LaneMask operator>=(Lanes a, Lanes b) { return {hn::Ge(a.value, b.value)}; }

  friend Lanes multiply_add(Lanes a, Lanes b, Lanes c) { return Lanes(hn::MulAdd(a.value, b.value, c.value)); }
  friend Lanes scaled_by_power(Lanes p, Lanes shifted) {
    return Lanes(hn::BitCast(LaneTag(), hn::Add(bits_of(p), hn::ShiftLeft<52>(bits_of(shifted)))));
  }
  friend Lanes exponent_of(Lanes x) {
    constexpr std::uint64_t biased = 1023;
    constexpr double two_to_the_52 = 0x1p52;
    auto const exponent = hn::ShiftRight<52>(hn::Add(above_root_half(x), hn::Set(BitTag(), biased << 52)));
    auto const number = hn::Or(exponent, hn::BitCast(BitTag(), hn::Set(LaneTag(), two_to_the_52)));
    return Lanes(hn::BitCast(LaneTag(), number)) - Lanes(two_to_the_52 + biased);
  }
  friend Lanes mantissa_of(Lanes x) {
    auto const exponent = hn::And(above_root_half(x), hn::Set(BitTag(), exponent_bits));
    return Lanes(hn::BitCast(LaneTag(), hn::Sub(bits_of(x), exponent)));
  }
  friend Lanes exp(Lanes x) { return exponential(x); }
  friend Lanes log(Lanes x) { return logarithm(x); }
  friend Lanes sqrt(Lanes x) { return Lanes(hn::Sqrt(x.value)); }
  friend Lanes abs(Lanes x) { return Lanes(hn::Abs(x.value)); }
  friend Lanes min(Lanes a, Lanes b) { return Lanes(hn::Min(a.value, b.value)); }
  friend Lanes max(Lanes a, Lanes b) { return Lanes(hn::Max(a.value, b.value)); }

 private:
  static constexpr std::uint64_t exponent_bits = 0xfff0000000000000;
  static hn::Vec<BitTag> bits_of(Lanes x) { return hn::BitCast(BitTag(), x.value); }
  /// Bits of x less those of sqrt(1/2): the whole part of its exponent's field is the exponent of mantissa_of.
  static hn::Vec<BitTag> above_root_half(Lanes x) {
    return hn::Sub(bits_of(x), hn::BitCast(BitTag(), hn::Set(LaneTag(), 0.70710678118654752440)));
  }
};

// Outside the class, so that a mask alone finds them and both values may be plain numbers.
inline Lanes select(LaneMask condition, Lanes a, Lanes b) {
  return Lanes(hn::IfThenElse(condition.mask, a.value, b.value));
}
inline bool any(LaneMask condition) { return !hn::AllFalse(LaneTag(), condition.mask); }

/// Two vectors side by side: twice the work in flight, for chains of operations that wait for each other.
struct PairMask {
  LaneMask first, second;
  friend PairMask operator&(PairMask a, PairMask b) { return {a.first & b.first, a.second & b.second}; }
  friend PairMask operator|(PairMask a, PairMask b) { return {a.first | b.first, a.second | b.second}; }
  friend PairMask operator!(PairMask a) { return {!a.first, !a.second}; }
};

struct LanePair {
  Lanes first, second;

  LanePair() = default;
  LanePair(double constant) : first(constant), second(constant) {}  // implicit, as for one vector
  LanePair(Lanes a, Lanes b) : first(a), second(b) {}

  static constexpr std::size_t width() { return 2 * Lanes::width(); }
  static LanePair load(double const* aligned) { return {Lanes::load(aligned), Lanes::load(aligned + Lanes::width())}; }
  void store(double* aligned) const {
    first.store(aligned);
    second.store(aligned + Lanes::width());
  }

  friend LanePair operator+(LanePair a, LanePair b) { return {a.first + b.first, a.second + b.second}; }
  friend LanePair operator-(LanePair a, LanePair b) { return {a.first - b.first, a.second - b.second}; }
  friend LanePair operator*(LanePair a, LanePair b) { return {a.first * b.first, a.second * b.second}; }
  friend LanePair operator/(LanePair a, LanePair b) { return {a.first / b.first, a.second / b.second}; }
  friend LanePair operator-(LanePair a) { return {-a.first, -a.second}; }
  LanePair& operator+=(LanePair b) { return *this = *this + b; }
  LanePair& operator-=(LanePair b) { return *this = *this - b; }
  LanePair& operator*=(LanePair b) { return *this = *this * b; }

  friend PairMask operator<(LanePair a, LanePair b) { return {a.first < b.first, a.second < b.second}; }
  friend PairMask operator<=(LanePair a, LanePair b) { return {a.first <= b.first, a.second <= b.second}; }
  friend PairMask operator>(LanePair a, LanePair b) { return {a.first > b.first, a.second > b.second}; }
  friend PairMask operator>=(LanePair a, LanePair b) { return {a.first >= b.first, a.second >= b.second}; }

  friend LanePair exp(LanePair x) { return {exp(x.first), exp(x.second)}; }
  friend LanePair log(LanePair x) { return {log(x.first), log(x.second)}; }
  friend LanePair sqrt(LanePair x) { return {sqrt(x.first), sqrt(x.second)}; }
  friend LanePair abs(LanePair x) { return {abs(x.first), abs(x.second)}; }
  friend LanePair min(LanePair a, LanePair b) { return {min(a.first, b.first), min(a.second, b.second)}; }
  friend LanePair max(LanePair a, LanePair b) { return {max(a.first, b.first), max(a.second, b.second)}; }
};

inline LanePair select(PairMask condition, LanePair a, LanePair b) {
  return {select(condition.first, a.first, b.first), select(condition.second, a.second, b.second)};
}
inline bool any(PairMask condition) { return any(condition.first | condition.second); }

}  // namespace HWY_NAMESPACE
}  // namespace brinecast::sim
