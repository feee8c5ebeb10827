#include "results/hdf5_memory.hpp"

#include <sys/mman.h>

#include <new>

namespace brinecast::results {

void ask_for_memory_of_hdf5(std::size_t beside) {
  constexpr std::size_t of_any_file = std::size_t{12} << 20;
  std::size_t const wanted = of_any_file + beside;
  // Not through the allocator, which might have it from an earlier part of the run, in pieces.
  void* const bytes = mmap(nullptr, wanted, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
  if (bytes == MAP_FAILED) throw std::bad_alloc();
  munmap(bytes, wanted);
}

}  // namespace brinecast::results
