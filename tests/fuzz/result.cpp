// Result files: opening, which checks the whole structure, and then every variable.

#include <cmath>

#include "results/error.hpp"
#include "results/reader.hpp"
#include "results/schema.hpp"
#include "tests/fuzz/memory_file.hpp"

// NOLINTNEXTLINE: the name is libFuzzer's
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size) {
  using namespace brinecast::results;
  static brinecast::fuzz::MemoryFile const memory;
  memory.hold(data, size);
  try {
    ResultFile const file(memory.path());
    for (auto const& variable : variables()) {
      if (variable.storage == Storage::text || !file.has(variable.name)) continue;
      std::size_t values = 1;
      for (auto const length : file.shape(variable.name)) values *= length;
      if (file.read(variable.name).size() != values) std::abort();
    }
  } catch (ResultError const&) {
  }
  return 0;
}
