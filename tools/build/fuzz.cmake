# Fuzz targets with libFuzzer under the address and undefined-behaviour sanitizers, by clang 14:
# cmake -G Ninja -C tools/build/fuzz.cmake -S . -B build/fuzz
include(${CMAKE_CURRENT_LIST_DIR}/common.cmake)
set(CMAKE_CXX_COMPILER clang++-14 CACHE STRING "")
set(CMAKE_C_COMPILER clang-14 CACHE STRING "")
set(CMAKE_BUILD_TYPE RelWithDebInfo CACHE STRING "")
set(CMAKE_CXX_FLAGS_RELWITHDEBINFO "-O1 -g1" CACHE STRING "")
set(CMAKE_CXX_FLAGS "-fsanitize=address,undefined,fuzzer-no-link -fno-sanitize-recover=all" CACHE STRING "")
set(BRINECAST_FUZZ ON CACHE BOOL "")
set(BRINECAST_BENCHMARKS OFF CACHE BOOL "")
set(BRINECAST_MPI OFF CACHE BOOL "")
