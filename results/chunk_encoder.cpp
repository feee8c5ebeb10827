#include "results/chunk_encoder.hpp"

#include <fmt/format.h>
#include <libdeflate.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <functional>
#include <limits>
#include <memory>
#include <new>
#include <numeric>
#include <stdexcept>

namespace brinecast::results {

static_assert(std::endian::native == std::endian::little, "chunks are made as they lie in memory");

namespace {

/// Rounds to nearest, ties to even, at `kept_mantissa_bits`.
float rounded_reading(float value) {
  if (!std::isfinite(value)) return value;
  constexpr int dropped = 23 - kept_mantissa_bits;
  auto bits = std::bit_cast<std::uint32_t>(value);
  bits += ((1U << (dropped - 1)) - 1) + ((bits >> dropped) & 1U);
  bits &= ~((1U << dropped) - 1);
  return std::bit_cast<float>(bits);
}

/// Fletcher's checksum over 16-bit words, the high byte first, as HDF5's filter computes it.
std::uint32_t fletcher32(std::span<std::byte const> bytes) {
  constexpr std::size_t words_without_overflow = 360;
  std::uint32_t low = 0, high = 0;
  auto const fold = [](std::uint32_t sum) { return (sum & 0xffffU) + (sum >> 16U); };
  std::size_t in_block = 0;
  for (std::size_t at = 0; at < bytes.size(); at += 2) {
    auto const second = at + 1 < bytes.size() ? std::to_integer<std::uint32_t>(bytes[at + 1]) : 0U;
    low += (std::to_integer<std::uint32_t>(bytes[at]) << 8U) | second;
    high += low;
    if (++in_block == words_without_overflow) {
      low = fold(low);
      high = fold(high);
      in_block = 0;
    }
  }
  return (fold(fold(high)) << 16U) | fold(fold(low));
}

/// The filters, with their working memory.
class Filters {
 public:
  Filters() : compressor_(libdeflate_alloc_compressor(static_cast<int>(deflate_level))) {
    if (!compressor_) throw std::bad_alloc();
  }

  template <class T>
  std::vector<std::byte> apply(std::vector<T> const& values) {
    auto const raw = std::as_bytes(std::span(values));
    shuffled_.resize(raw.size());
    for (std::size_t byte = 0; byte < sizeof(T); ++byte) {
      std::byte* to = shuffled_.data() + byte * values.size();
      for (std::size_t i = 0; i < values.size(); ++i) to[i] = raw[i * sizeof(T) + byte];
    }
    packed_.resize(libdeflate_zlib_compress_bound(compressor_.get(), shuffled_.size()));
    packed_.resize(libdeflate_zlib_compress(compressor_.get(), shuffled_.data(), shuffled_.size(), packed_.data(),
                                            packed_.size()));
    std::uint32_t const sum = fletcher32(packed_);
    auto const sum_bytes = std::as_bytes(std::span(&sum, 1));
    std::vector<std::byte> bytes;
    bytes.reserve(packed_.size() + sum_bytes.size());
    bytes.insert(bytes.end(), packed_.begin(), packed_.end());
    bytes.insert(bytes.end(), sum_bytes.begin(), sum_bytes.end());
    return bytes;
  }

 private:
  struct Free {
    void operator()(libdeflate_compressor* compressor) const { libdeflate_free_compressor(compressor); }
  };
  std::unique_ptr<libdeflate_compressor, Free> compressor_;
  std::vector<std::byte> shuffled_, packed_;
};

using Index = std::vector<hsize_t>;

/// The next index, the last axis fastest; false after the last one.
bool advance(Index& at, Index const& step, Index const& end) {
  for (std::size_t axis = at.size(); axis-- > 0;) {
    at[axis] += step[axis];
    if (at[axis] < end[axis]) return true;
    at[axis] = 0;
  }
  return false;
}

std::size_t offset_in(Index const& shape, Index const& at) {
  hsize_t offset = 0;
  for (std::size_t axis = 0; axis < shape.size(); ++axis) offset = offset * shape[axis] + at[axis];
  return static_cast<std::size_t>(offset);
}

template <class T, class Convert>
std::vector<EncodedChunk> cut(Index const& chunk, ArrayPart const& part, std::span<double const> numbers, T missing,
                              Convert const& convert) {
  Filters filters;
  std::vector<EncodedChunk> chunks;
  std::vector<T> values(std::accumulate(chunk.begin(), chunk.end(), std::size_t{1}, std::multiplies<>()));
  Index corner(chunk.size(), 0), size(chunk.size()), from(chunk.size());
  do {
    for (std::size_t axis = 0; axis < chunk.size(); ++axis) {
      size[axis] = std::min(chunk[axis], part.count[axis] - corner[axis]);
    }
    std::fill(values.begin(), values.end(), missing);
    Index run(chunk.size(), 1), row(chunk.size(), 0);
    run.back() = size.back();
    do {
      std::transform(corner.begin(), corner.end(), row.begin(), from.begin(), std::plus<>());
      auto const begin = numbers.begin() + static_cast<std::ptrdiff_t>(offset_in(part.count, from));
      std::transform(begin, begin + static_cast<std::ptrdiff_t>(run.back()),
                     values.begin() + static_cast<std::ptrdiff_t>(offset_in(chunk, row)), convert);
    } while (advance(row, run, size));
    Index start(chunk.size());
    std::transform(part.start.begin(), part.start.end(), corner.begin(), start.begin(), std::plus<>());
    chunks.push_back({std::move(start), filters.apply(values)});
  } while (advance(corner, chunk, part.count));
  return chunks;
}

}  // namespace

std::vector<EncodedChunk> encode_chunks(Variable const& variable, std::vector<hsize_t> const& chunk,
                                        ArrayPart const& part, std::span<double const> numbers) {
  constexpr auto missing = std::numeric_limits<float>::quiet_NaN();
  switch (variable.storage) {
    case Storage::float64:
      return cut(chunk, part, numbers, std::numeric_limits<double>::quiet_NaN(), [](double x) { return x; });
    case Storage::float32:
      return cut(chunk, part, numbers, missing, [](double x) { return static_cast<float>(x); });
    case Storage::reading:
      return cut(chunk, part, numbers, missing, [](double x) { return rounded_reading(static_cast<float>(x)); });
    case Storage::int32:
      return cut(chunk, part, numbers, std::int32_t{0}, [](double x) { return static_cast<std::int32_t>(x); });
    case Storage::uint32:
      return cut(chunk, part, numbers, std::uint32_t{0}, [](double x) { return static_cast<std::uint32_t>(x); });
    default:
      throw std::logic_error(fmt::format("{}: a task's values cannot be stored so", variable.name));
  }
}

}  // namespace brinecast::results
