# Line coverage: cmake -G Ninja -C tools/build/coverage.cmake -S . -B build/coverage
include(${CMAKE_CURRENT_LIST_DIR}/common.cmake)
set(CMAKE_BUILD_TYPE Debug CACHE STRING "")
set(CMAKE_CXX_FLAGS "--coverage -O0" CACHE STRING "")
