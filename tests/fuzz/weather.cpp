// Weather files of every format; the reader tells them apart by their content. It reads from a path, so the input lies
// in a file in memory.

#include <sys/mman.h>
#include <unistd.h>

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

#include "sim/weather/record.hpp"

// NOLINTNEXTLINE: the name is libFuzzer's
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size) {
  using namespace brinecast::sim;
  static int const file = memfd_create("weather", 0);
  static std::string const path = "/proc/self/fd/" + std::to_string(file);
  if (ftruncate(file, 0) != 0 || pwrite(file, data, size, 0) != static_cast<ssize_t>(size)) std::abort();
  Problems problems;
  auto const read = read_weather_file(path, problems);
  if (read.has_value() != problems.empty()) std::abort();
  return 0;
}
