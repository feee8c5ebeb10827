// Journals of runs. Checksums would keep changed bytes from the decoders, so that an input is read three times: as a
// whole journal, as the description of a run and as a task of a small run.

#include "results/journal.hpp"
#include "results/error.hpp"
#include "tests/fuzz/memory_file.hpp"

// NOLINTNEXTLINE: the name is libFuzzer's
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size) {
  using namespace brinecast::results;
  static brinecast::fuzz::MemoryFile const file;
  static RunDescription const run = [] {
    RunDescription made;
    made.replicates = 2;
    made.days = 3;
    made.first_day = std::chrono::sys_days{std::chrono::January / 1 / 2030};
    made.policies.resize(2);
    made.pools.resize(2);
    made.technicians.resize(1);
    made.trace_pools = {1};
    return made;
  }();
  std::string const text(reinterpret_cast<char const*>(data), size);
  file.hold(data, size);
  try {
    Journal const journal(file.path());
    for (auto const& entry : journal.entries()) (void)journal.read(entry);
  } catch (ResultError const&) {
  }
  try {
    (void)run_from_text(text);
  } catch (std::runtime_error const&) {  // as its declaration says
  }
  try {
    (void)decode_task(text, run);
  } catch (ResultError const&) {
  }
  return 0;
}
