#pragma once
// HDF5 keeps texts in heaps that it trusts: no checksum guards them, and a wrong length in one makes the library read
// outside its memory. Private to this folder.

#include <filesystem>

namespace brinecast::results {

/// Walks through the heaps of a file: each is filled by texts numbered from 1, one after another, as a file has them in
/// which nothing was ever removed. Throws ResultError where one is not.
void check_text_heaps(std::filesystem::path const& path);

}  // namespace brinecast::results
