#pragma once
// Exponential and logarithm for several pools at a time, from the operations that every vector has. Written over a lane
// type with, besides + - * / min max:
//   multiply_add(a, b, c)      a b + c, rounded once where the machine can
//   scaled_by_power(p, t)      p 2^n for the whole number n that t = n + rounding_shift holds in its last bits
//   exponent_of(x), mantissa_of(x)   x = mantissa 2^exponent, mantissa in [sqrt(1/2), sqrt(2)), x a normal number > 0
// Coefficients: interpolation at Chebyshev's nodes in extended precision, our own. tests/sim/fleet holds the errors.

namespace brinecast::sim {

/// Adding it to a double leaves the nearest whole number in the last bits: 1.5 2^52.
inline constexpr double rounding_shift = 6755399441055744.0;
// ln 2 in two parts; products of the first with whole numbers to 2^31 are exact.
inline constexpr double ln2_high = 0x1.62e42p-1;
inline constexpr double ln2_low = 4.74932503903178690474e-07;

/// exp(x) within 1.2 units in the last place for x from -708 to 709; beyond, the value at that end. Not a number stays so.
template <class Lanes>
Lanes exponential(Lanes unlimited) {
  Lanes const x = min(Lanes(709.0), max(Lanes(-708.0), unlimited));
  Lanes const shifted = multiply_add(x, Lanes(1.44269504088896340736), Lanes(rounding_shift));
  Lanes const halvings = Lanes(rounding_shift) - shifted;
  Lanes const r = multiply_add(halvings, Lanes(ln2_low), multiply_add(halvings, Lanes(ln2_high), x));
  // (exp(r) - 1 - r) / r^2 for |r| <= ln(2) / 2 within 1e-16, even and odd powers apart for shorter chains.
  Lanes const r2 = r * r;
  Lanes even = multiply_add(r2, Lanes(2.76200901472420488e-07), Lanes(2.48015212918846131e-05));
  Lanes odd = multiply_add(r2, Lanes(2.51004065931253254e-08), Lanes(2.75572683953677599e-06));
  even = multiply_add(r2, even, Lanes(1.38888889172169368e-03));
  odd = multiply_add(r2, odd, Lanes(1.98412698631260072e-04));
  even = multiply_add(r2, even, Lanes(4.16666666666241151e-02));
  odd = multiply_add(r2, odd, Lanes(8.33333333333002510e-03));
  even = multiply_add(r2, even, Lanes(5.00000000000000111e-01));
  odd = multiply_add(r2, odd, Lanes(1.66666666666666685e-01));
  return scaled_by_power(Lanes(1.0) + multiply_add(r2, multiply_add(r, odd, even), r), shifted);
}

/// ln(x) within 2 units in the last place for every normal x > 0.
template <class Lanes>
Lanes logarithm(Lanes x) {
  Lanes const exponent = exponent_of(x);
  Lanes const mantissa = mantissa_of(x);
  // ln m = 2 artanh s with s = (m - 1) / (m + 1), |s| < 0.1716.
  Lanes const s = (mantissa - Lanes(1.0)) / (mantissa + Lanes(1.0));
  Lanes const z = s * s;
  Lanes const z2 = z * z;
  Lanes even = multiply_add(z2, Lanes(1.46178111578365799e-01), Lanes(1.81828924359938887e-01));
  Lanes odd = multiply_add(z2, Lanes(1.53316114828733946e-01), Lanes(2.22222110894099961e-01));
  even = multiply_add(z2, even, Lanes(2.85714286262529260e-01));
  odd = multiply_add(z2, odd, Lanes(3.99999999998988942e-01));
  even = multiply_add(z2, even, Lanes(6.66666666666666963e-01));
  Lanes const beyond = multiply_add(z, odd, even) * z;
  Lanes const small = multiply_add(exponent, Lanes(ln2_low), s * beyond);
  return multiply_add(exponent, Lanes(ln2_high), s + s + small);
}

}  // namespace brinecast::sim
