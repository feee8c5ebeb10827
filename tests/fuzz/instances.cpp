// Files of published routing problems.

#include "sim/rounds/search/instance_files.hpp"
#include "tests/fuzz/memory_file.hpp"

// NOLINTNEXTLINE: the name is libFuzzer's
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size) {
  using namespace brinecast::sim::search;
  static brinecast::fuzz::MemoryFile const file;
  file.hold(data, size);
  auto const read = read_instance(file.path());
  if (auto const* fault = std::get_if<InstanceFault>(&read)) {
    if (fault->line.empty() || fault->line.find('\n') != std::string::npos) std::abort();
  }
  return 0;
}
