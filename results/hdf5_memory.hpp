#pragma once
// HDF5 may crash, or take a sound file for a damaged one, where memory runs out.

#include <cstddef>

namespace brinecast::results {

/// Asks the system for the memory that HDF5 needs for any file and for so many bytes beside, and gives it back: to be
/// called before work that HDF5 would not survive without. Throws std::bad_alloc where there is not so much.
void ask_for_memory_of_hdf5(std::size_t beside = 0);

}  // namespace brinecast::results
