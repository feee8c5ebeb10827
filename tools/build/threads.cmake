# Thread sanitizer, by clang 14: cmake -G Ninja -C tools/build/threads.cmake -S . -B build/threads
# Debian's libtbb is not built for it: sim/parallel/parallel_loop.cpp tells it the order of loops. No suppressions.
include(${CMAKE_CURRENT_LIST_DIR}/common.cmake)
set(CMAKE_CXX_COMPILER clang++-14 CACHE STRING "")
set(CMAKE_C_COMPILER clang-14 CACHE STRING "")
set(CMAKE_BUILD_TYPE RelWithDebInfo CACHE STRING "")
set(CMAKE_CXX_FLAGS_RELWITHDEBINFO "-O1 -gline-tables-only" CACHE STRING "")
set(CMAKE_CXX_FLAGS "-fsanitize=thread" CACHE STRING "")
set(BRINECAST_SANITIZED ON CACHE BOOL "")
set(BRINECAST_THREAD_SANITIZER ON CACHE BOOL "")
set(BRINECAST_BENCHMARKS OFF CACHE BOOL "")
set(BRINECAST_MPI OFF CACHE BOOL "")
