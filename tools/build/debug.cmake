# cmake -G Ninja -C tools/build/debug.cmake -S . -B build/debug
include(${CMAKE_CURRENT_LIST_DIR}/common.cmake)
set(CMAKE_BUILD_TYPE Debug CACHE STRING "")
