// Road extracts, as OpenStreetMap XML where the input begins with "<", else as PBF; the reader goes by the file's name.

#include <unistd.h>

#include <limits>

#include "sim/rounds/road_network.hpp"
#include "tests/fuzz/memory_file.hpp"

namespace {

/// A name with the given ending for the file in memory, gone at exit.
class Link {
 public:
  Link(std::filesystem::path const& target, std::string const& ending)
      : path_(std::filesystem::temp_directory_path() / ("fuzz_roads_" + std::to_string(getpid()) + ending)) {
    std::filesystem::create_symlink(target, path_);
  }
  Link(Link const&) = delete;
  Link& operator=(Link const&) = delete;
  ~Link() { std::filesystem::remove(path_); }
  [[nodiscard]] std::filesystem::path const& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

/// Closes what libosmium leaves open where a PBF file breaks off: after some ten thousand inputs nothing could be
/// opened.
void close_left_open() {
  static unsigned const first_free = [] {
    int const number = dup(STDERR_FILENO);
    close(number);
    return static_cast<unsigned>(number);
  }();
  close_range(first_free, std::numeric_limits<unsigned>::max(), 0);
}

}  // namespace

// NOLINTNEXTLINE: the name is libFuzzer's
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size) {
  using namespace brinecast::sim;
  static brinecast::fuzz::MemoryFile const file;
  static Link const xml(file.path(), ".osm"), pbf(file.path(), ".osm.pbf");
  close_left_open();
  file.hold(data, size);
  Problems problems;
  bool const is_xml = size > 0 && data[0] == '<';
  auto const network = read_road_extract(is_xml ? xml.path() : pbf.path(), 1.0, problems);
  if ((network.nodes() == 0) == problems.empty()) std::abort();
  return 0;
}
