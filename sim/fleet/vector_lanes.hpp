#pragma once
// Several pools at a time: Highway's vectors behind ordinary operators, so that the templates of models/ read like the
// paper. Included only by the kernel's translation units, each compiled for one instruction set; Highway's namespace
// name differs by instruction set, and so do all symbols made from these types.

#include <hwy/highway.h>
// Highway's mathematics comes after its core.
#include <hwy/contrib/math/math-inl.h>

namespace brinecast::sim {
namespace HWY_NAMESPACE {

namespace hn = hwy::HWY_NAMESPACE;
using LaneTag = hn::ScalableTag<double>;

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

  friend Lanes exp(Lanes x) { return Lanes(hn::Exp(LaneTag(), x.value)); }
  friend Lanes log(Lanes x) { return Lanes(hn::Log(LaneTag(), x.value)); }
  friend Lanes sqrt(Lanes x) { return Lanes(hn::Sqrt(x.value)); }
  friend Lanes abs(Lanes x) { return Lanes(hn::Abs(x.value)); }
  friend Lanes min(Lanes a, Lanes b) { return Lanes(hn::Min(a.value, b.value)); }
  friend Lanes max(Lanes a, Lanes b) { return Lanes(hn::Max(a.value, b.value)); }
};

// Outside the class, so that a mask alone finds them and both values may be plain numbers.
inline Lanes select(LaneMask condition, Lanes a, Lanes b) {
  return Lanes(hn::IfThenElse(condition.mask, a.value, b.value));
}
inline bool any(LaneMask condition) { return !hn::AllFalse(LaneTag(), condition.mask); }

}  // namespace HWY_NAMESPACE
}  // namespace brinecast::sim
