#include "sim/fleet/advance.hpp"

#if defined(BRINECAST_X86_TARGETS)
#include <cpuid.h>
#endif

#include <algorithm>
#include <cstdlib>
#include <string>

#include "sim/fleet/kernel.hpp"
#include "sim/fleet/kernel_targets.hpp"

namespace brinecast::sim {

namespace {

#if defined(BRINECAST_X86_TARGETS)
/// F16C, which clang 14's __builtin_cpu_supports does not know.
bool has_half_precision() {
  unsigned eax = 0, ebx = 0, ecx = 0, edx = 0;
  return __get_cpuid(1, &eax, &ebx, &ecx, &edx) != 0 && (ecx & bit_F16C) != 0;
}
#endif

std::vector<VectorTarget> runnable_targets() {
  std::vector<VectorTarget> targets = {{"reference", 1, advance_block<double>}, {"portable", 2, advance_portable}};
#if defined(BRINECAST_X86_TARGETS)
  __builtin_cpu_init();
  if (__builtin_cpu_supports("sse4.2") && __builtin_cpu_supports("aes") && __builtin_cpu_supports("pclmul")) {
    targets.push_back({"sse4", 4, advance_sse4});
    if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") && __builtin_cpu_supports("bmi2") &&
        has_half_precision()) {
      targets.push_back({"avx2", 8, advance_avx2});
      if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512vl") &&
          __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512bw") &&
          __builtin_cpu_supports("avx512cd")) {
        targets.push_back({"avx512", 16, advance_avx512});
      }
    }
  }
#endif
  return targets;
}

constexpr char const* variable = "BRINECAST_VECTOR_TARGET";

/// What the environment names, or null.
VectorTarget const* wanted_target() {
  char const* const name = std::getenv(variable);
  if (name == nullptr) return nullptr;
  auto const& targets = vector_targets();
  auto const found =
      std::find_if(targets.begin(), targets.end(), [&](auto const& target) { return target.name == name; });
  return found != targets.end() ? &*found : nullptr;
}

}  // namespace

std::vector<VectorTarget> const& vector_targets() {
  static std::vector<VectorTarget> const targets = runnable_targets();
  return targets;
}

VectorTarget const& best_vector_target() {
  VectorTarget const* const wanted = wanted_target();
  return wanted != nullptr ? *wanted : vector_targets().back();
}

std::string fault_of_wanted_target() {
  char const* const name = std::getenv(variable);
  if (name == nullptr || wanted_target() != nullptr) return "";
  std::string known;
  for (auto const& target : vector_targets()) known += (known.empty() ? "" : ", ") + std::string(target.name);
  return std::string(variable) + ": this machine runs no build for \"" + name + "\"; name one of " + known;
}

}  // namespace brinecast::sim
