#pragma once
// Turns numbers into the chunks of an HDF5 array, filtered as HDF5 itself would filter them. HDF5 runs its filters one
// chunk after another; made here, chunks can be made on all cores and in place of zlib by a faster deflate. Private to
// this folder.

#include <cstddef>
#include <span>
#include <vector>

#include "results/hdf5_types.hpp"
#include "results/schema.hpp"

namespace brinecast::results {

inline constexpr unsigned deflate_level = 1;   // higher levels gain little on shuffled noise and cost much time
inline constexpr int kept_mantissa_bits = 11;  // of Storage::reading, besides the implicit one

/// A part of an array, by axis.
struct ArrayPart {
  std::vector<hsize_t> start;
  std::vector<hsize_t> count;
};

/// A chunk as H5Dwrite_chunk takes it, for filters shuffle, deflate and Fletcher-32 in this order.
struct EncodedChunk {
  std::vector<hsize_t> start;
  std::vector<std::byte> bytes;
};

/// Cuts a part that starts at the corner of a chunk into chunks of the shape `chunk`. `numbers` are the part's, the
/// last axis fastest. What a chunk has beyond the part is NaN, or 0 in whole numbers. Throws std::logic_error for a
/// variable of texts or bytes, std::bad_alloc.
std::vector<EncodedChunk> encode_chunks(Variable const& variable, std::vector<hsize_t> const& chunk,
                                        ArrayPart const& part, std::span<double const> numbers);

}  // namespace brinecast::results
