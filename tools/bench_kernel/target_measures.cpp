// Compiled once for each instruction set, with BRINECAST_MEASURES naming the function it defines.

#include "sim/fleet/vector_lanes.hpp"
// The lanes come first: the kernel's templates look their operations up by argument.
#include "sim/fleet/kernel.hpp"
#include "tools/bench_kernel/target_measures.hpp"
#if defined(__x86_64__)
#include <x86intrin.h>
#endif

namespace brinecast::tools {

namespace {

namespace hn = hwy::HWY_NAMESPACE;
using Tag = hn::ScalableTag<double>;
using Lanes = sim::HWY_NAMESPACE::Lanes;
using Group = sim::HWY_NAMESPACE::LanePair;

/// Enough to fill the pipelines at four cycles a step, few enough for 16 registers.
constexpr int chains = 12;

int chain_lanes() { return chains * static_cast<int>(Lanes::width()); }

template <class Step>
double run_chains(std::int64_t rounds, Step step) {
  hn::Vec<Tag> x0 = hn::Set(Tag(), 1.00), x1 = hn::Set(Tag(), 1.01), x2 = hn::Set(Tag(), 1.02),
               x3 = hn::Set(Tag(), 1.03), x4 = hn::Set(Tag(), 1.04), x5 = hn::Set(Tag(), 1.05),
               x6 = hn::Set(Tag(), 1.06), x7 = hn::Set(Tag(), 1.07), x8 = hn::Set(Tag(), 1.08),
               x9 = hn::Set(Tag(), 1.09), x10 = hn::Set(Tag(), 1.10), x11 = hn::Set(Tag(), 1.11);
  for (std::int64_t i = 0; i < rounds; ++i) {
    x0 = step(x0), x1 = step(x1), x2 = step(x2), x3 = step(x3), x4 = step(x4), x5 = step(x5);
    x6 = step(x6), x7 = step(x7), x8 = step(x8), x9 = step(x9), x10 = step(x10), x11 = step(x11);
  }
  auto const sum =
      hn::Add(hn::Add(hn::Add(x0, x1), hn::Add(x2, x3)),
              hn::Add(hn::Add(hn::Add(x4, x5), hn::Add(x6, x7)), hn::Add(hn::Add(x8, x9), hn::Add(x10, x11))));
  return hn::GetLane(hn::SumOfLanes(Tag(), sum));
}

double multiply_adds(std::int64_t rounds) {
  auto const factor = hn::Set(Tag(), 0.999), term = hn::Set(Tag(), 0.001);
  return run_chains(rounds, [=](auto x) { return hn::MulAdd(x, factor, term); });
}
double divisions(std::int64_t rounds) {
  auto const numerator = hn::Set(Tag(), 1.2345);
  return run_chains(rounds, [=](auto x) { return hn::Div(numerator, x); });
}
double square_roots(std::int64_t rounds) {
  return run_chains(rounds, [](auto x) { return hn::Sqrt(x); });
}

struct StampWatch {
  std::uint64_t* ticks;
  std::uint64_t* last;
  void operator()(sim::Phenomenon done) const {
#if defined(__x86_64__)
    // Waits until all before it is done, so that each phenomenon pays for its own latencies.
    unsigned processor = 0;
    std::uint64_t const now = __rdtscp(&processor);
    _mm_lfence();
    ticks[static_cast<int>(done)] += now - *last;
    *last = now;
#else
    static_cast<void>(done);
#endif
  }
};

[[gnu::flatten]] void advance_watched(sim::PoolBlock& block, sim::HourForcing const& weather,
                                      sim::KernelSettings const& settings, std::uint64_t* ticks) {
  std::uint64_t last = 0;
#if defined(__x86_64__)
  last = __rdtsc();
#endif
  StampWatch const watch{ticks, &last};
  for (std::size_t lane = 0; lane < block.lanes_used; lane += Group::width()) {
    sim::PoolHour<Group, StampWatch>(block, lane, weather, settings, watch).run();
  }
}

}  // namespace

TargetMeasures BRINECAST_MEASURES() { return {chain_lanes, multiply_adds, divisions, square_roots, advance_watched}; }

}  // namespace brinecast::tools
