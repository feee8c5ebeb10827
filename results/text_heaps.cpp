#include "results/text_heaps.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <fstream>
#include <string>
#include <string_view>

#include "results/error.hpp"

namespace brinecast::results {

namespace {

// HDF5 File Format Specification, version 3.0, III.E "Disk Format: Level 1E - Global Heap".
constexpr std::string_view heap_start{"GCOL\1\0\0\0", 8};  // signature, version, reserved
constexpr std::uint64_t header_bytes = 16;                 // of a heap, and of each object in it
constexpr std::uint64_t most_heap_bytes = std::uint64_t{1} << 30;

std::uint64_t word_at(std::string_view bytes, std::uint64_t at) {
  std::uint64_t word = 0;
  std::memcpy(&word, bytes.data() + at, sizeof word);
  return word;
}

bool is_sound(std::string_view heap) {
  std::uint64_t at = header_bytes;
  for (std::uint16_t expected = 1; heap.size() - at >= header_bytes; ++expected) {
    std::uint16_t number = 0;
    std::memcpy(&number, heap.data() + at, sizeof number);
    std::uint64_t const size = word_at(heap, at + 8);
    if (number == 0) return size == heap.size() - at;  // the free room at the end
    at += header_bytes;
    if (number != expected || size > heap.size() - at) return false;
    at += (size + 7) / 8 * 8;
    if (at > heap.size()) return false;
  }
  return true;
}

}  // namespace

void check_text_heaps(std::filesystem::path const& path) {
  std::ifstream file(path, std::ios::binary);
  std::uint64_t const file_bytes = std::filesystem::file_size(path);
  auto const read = [&](std::uint64_t at, std::uint64_t size) {
    std::string bytes(std::min(size, file_bytes - at), '\0');
    file.seekg(static_cast<std::streamoff>(at));
    if (!file.read(bytes.data(), static_cast<std::streamsize>(bytes.size()))) {
      throw ResultError(fmt::format("{}: cannot be read", path.string()));
    }
    return bytes;
  };
  constexpr std::uint64_t block_bytes = std::uint64_t{1} << 20;
  for (std::uint64_t start = 0; start < file_bytes; start += block_bytes) {
    // A heap may start across the border of two blocks.
    std::string const block = read(start, block_bytes + heap_start.size() - 1);
    for (auto found = block.find(heap_start); found != std::string::npos; found = block.find(heap_start, found + 1)) {
      std::uint64_t const at = start + found;
      std::uint64_t const size = file_bytes - at < header_bytes ? 0 : word_at(read(at, header_bytes), 8);
      if (size < header_bytes || size > std::min(file_bytes - at, most_heap_bytes) || !is_sound(read(at, size))) {
        throw ResultError(fmt::format(
            "{}: is damaged or cut off (its texts at byte {}); run it again or restore a copy", path.string(), at));
      }
    }
  }
}

}  // namespace brinecast::results
