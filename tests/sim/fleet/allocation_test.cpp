// The day loop asks for no memory.

#include <atomic>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <new>

#include "sim/fleet/advance.hpp"
#include "sim/fleet/fleet.hpp"

namespace {

std::atomic<long> allocations = 0;

void* counted_allocation(std::size_t bytes, std::size_t alignment) {
  ++allocations;
  void* const memory = std::aligned_alloc(alignment, (bytes + alignment - 1) / alignment * alignment);
  if (memory == nullptr) throw std::bad_alloc();
  return memory;
}

}  // namespace

void* operator new(std::size_t bytes) { return counted_allocation(bytes, alignof(std::max_align_t)); }
void* operator new(std::size_t bytes,
                   std::nothrow_t const&) noexcept {  // a sanitizer's own does not call the one above
  ++allocations;
  return std::malloc(bytes);
}
void* operator new(std::size_t bytes, std::align_val_t alignment) {
  return counted_allocation(bytes, static_cast<std::size_t>(alignment));
}
void operator delete(void* memory) noexcept { std::free(memory); }
void operator delete(void* memory, std::size_t) noexcept { std::free(memory); }
void operator delete(void* memory, std::align_val_t) noexcept { std::free(memory); }
void operator delete(void* memory, std::size_t, std::align_val_t) noexcept { std::free(memory); }

namespace brinecast::sim {
namespace {

TEST_CASE("a day of hours allocates nothing in any build of the kernel", "[sim][fleet][unit]") {
  Scenario scenario;
  scenario.sites.push_back({.name = "here", .position = {}, .elevation_m = 0.0});
  scenario.fill_waters.push_back({.name = "works"});
  scenario.pools.resize(40);
  auto const settings = kernel_settings(scenario.parameters, scenario.bands);
  long const before_fleet = allocations;
  Fleet fleet = make_fleet(scenario, 5, 0, settings);
  CHECK(allocations > before_fleet);  // the counter counts
  for (VectorTarget const& target : vector_targets()) {
    long const before = allocations;
    for (int hour = 0; hour < 24; ++hour) {
      HourForcing weather;
      weather.hour_of_day = hour;
      for (PoolBlock& block : fleet.blocks) target.advance(block, weather, settings);
    }
    long const after = allocations;
    CAPTURE(target.name);
    CHECK(after == before);
  }
}

}  // namespace
}  // namespace brinecast::sim
