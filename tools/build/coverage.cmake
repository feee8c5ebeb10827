# Line coverage: tools/build/coverage. Enough is optimised that the tests end in minutes.
include(${CMAKE_CURRENT_LIST_DIR}/common.cmake)
set(CMAKE_BUILD_TYPE Debug CACHE STRING "")
set(CMAKE_CXX_FLAGS_DEBUG "-O1 -g1 --coverage -fprofile-update=atomic -fno-inline-small-functions" CACHE STRING "")
set(BRINECAST_SANITIZED ON CACHE BOOL "")
set(BRINECAST_BENCHMARKS OFF CACHE BOOL "")
