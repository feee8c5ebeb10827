#pragma once
// What the writer and the reader share about HDF5. Private to this folder.

#include <H5Cpp.h>

#include <string>

#include "results/schema.hpp"

namespace brinecast::results {

/// Variable-length UTF-8, the string that every reader of netCDF-4 understands.
inline H5::StrType text_type() {
  H5::StrType type(H5::PredType::C_S1, H5T_VARIABLE);
  type.setCset(H5T_CSET_UTF8);
  return type;
}

/// The type in the file of a variable that is no text.
inline H5::PredType const& file_type_of(Storage storage) {
  switch (storage) {
    case Storage::float64:
      return H5::PredType::IEEE_F64LE;
    case Storage::int32:
      return H5::PredType::STD_I32LE;
    case Storage::uint32:
      return H5::PredType::STD_U32LE;
    case Storage::uint8:
      return H5::PredType::STD_U8LE;
    default:
      return H5::PredType::IEEE_F32LE;
  }
}

/// HDF5's own words for what failed, without its stack.
inline std::string words_of(H5::Exception const& error) { return error.getFuncName() + ": " + error.getDetailMsg(); }

}  // namespace brinecast::results
