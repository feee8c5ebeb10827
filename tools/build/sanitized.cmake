# Address and undefined-behaviour sanitizers by clang 14, the suites and the fuzz targets in one build:
# cmake -G Ninja -C tools/build/sanitized.cmake -S . -B build/sanitized
include(${CMAKE_CURRENT_LIST_DIR}/common.cmake)
set(CMAKE_CXX_COMPILER clang++-14 CACHE STRING "")
set(CMAKE_C_COMPILER clang-14 CACHE STRING "")
set(CMAKE_BUILD_TYPE RelWithDebInfo CACHE STRING "")
set(CMAKE_CXX_FLAGS_RELWITHDEBINFO "-O1 -gline-tables-only" CACHE STRING "")
set(CMAKE_CXX_FLAGS
    "-fsanitize=address,undefined,fuzzer-no-link -fno-sanitize-recover=all -fno-omit-frame-pointer" CACHE STRING "")
set(BRINECAST_SANITIZED ON CACHE BOOL "")
set(BRINECAST_FUZZ ON CACHE BOOL "")
set(BRINECAST_BENCHMARKS OFF CACHE BOOL "")
set(BRINECAST_MPI OFF CACHE BOOL "")
