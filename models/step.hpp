#pragma once
// Exact steps of linear losses and relaxations, shared by every effect that is integrated over an hour.

#include "models/lanes.hpp"

namespace brinecast::models {

/// (1 - exp(-x)) / x for x >= 0: the mean over a step of something that decays by exp(-x) in it.
/// Below 1e-3 by its series, where the difference would lose digits; error under 1e-13 everywhere.
template <class Lanes>
Lanes mean_of_decay(Lanes x, Lanes exp_of_minus_x) {
  Lanes const series = 1.0 - x * (0.5 - x * (1.0 / 6.0 - x * (1.0 / 24.0)));
  return select(x < 1e-3, series, (1.0 - exp_of_minus_x) / max(x, Lanes(1e-3)));
}

/// The same without an exponential, by a Padé approximation that neither oscillates nor overshoots for any x >= 0.
/// Relative error x^4 / 720, so 1.4e-7 at x = 0.1: for relaxations that are slow against an hour.
template <class Lanes>
Lanes mean_of_slow_decay(Lanes x) {
  return 1.0 / (1.0 + x * (0.5 + x * (1.0 / 12.0)));
}

/// exp(x) for small |x| by a Padé approximation, relative error x^5 / 720. Exact enough inside an iteration that ends
/// with small steps; keeps its sign up to |x| = 2 and beyond.
template <class Lanes>
Lanes exp_of_small(Lanes x) {
  Lanes const even = 1.0 + x * x * (1.0 / 12.0);
  Lanes const odd = x * 0.5;
  return (even + odd) / (even - odd);
}

/// What is left of `amount` and what a steady source adds, after a loss at `loss_rate` over `step`:
/// solution of dy/dt = source - loss_rate y.
template <class Lanes>
struct LossStep {
  Lanes amount;
  Lanes source_per_s;
  Lanes loss_rate_per_s;
  double step_s;
};
template <class Lanes>
Lanes after_loss(LossStep<Lanes> const& in) {
  Lanes const x = in.loss_rate_per_s * in.step_s;
  Lanes const left = exp(-x);
  return in.amount * left + in.source_per_s * in.step_s * mean_of_decay(x, left);
}

}  // namespace brinecast::models
