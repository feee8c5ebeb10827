#pragma once
// Builds the HDF5 file out of journals.

#include <cstddef>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "results/journal.hpp"

namespace brinecast::results {

// What is kept in memory while the file is put together, whatever the number of replicates; one season at the least.
inline constexpr std::size_t tally_bytes_per_batch = std::size_t{1} << 20;    // of seasons whose tallies share chunks
inline constexpr std::size_t journal_bytes_per_group = std::size_t{2} << 20;  // of seasons that are decoded together
inline constexpr std::size_t visits_per_chunk = 8192;

struct AssemblyOptions {
  std::string command = {};  // the words the user typed
  std::string created = {};  // ISO 8601 time, "" for now
  int threads = 0;           // that compress, 0: all cores. The file's bytes do not depend on it
};

/// Writes the tasks of all journals (which must belong to one run, see `first_difference`) into `path`: under a
/// temporary name, synced, then moved into place. Reads a few tasks at a time, in the order of policies and replicates,
/// so memory does not grow with the number of replicates and the data do not depend on the order in which tasks
/// finished. Throws ResultError, leaving `path` as it was; if it was the disk that failed, the program will end with
/// EXIT_FAILURE.
void assemble(std::filesystem::path const& path, std::span<Journal const> journals, AssemblyOptions const& options);

}  // namespace brinecast::results
