// Weather files of every format; the reader tells them apart by their content.

#include "sim/weather/record.hpp"
#include "tests/fuzz/memory_file.hpp"

// NOLINTNEXTLINE: the name is libFuzzer's
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size) {
  using namespace brinecast::sim;
  static brinecast::fuzz::MemoryFile const file;
  file.hold(data, size);
  Problems problems;
  auto const read = read_weather_file(file.path(), problems);
  if (read.has_value() != problems.empty()) std::abort();
  return 0;
}
