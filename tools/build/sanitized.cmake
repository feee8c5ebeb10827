# Address and undefined-behaviour sanitizers: cmake -G Ninja -C tools/build/sanitized.cmake -S . -B build/sanitized
include(${CMAKE_CURRENT_LIST_DIR}/common.cmake)
set(CMAKE_BUILD_TYPE RelWithDebInfo CACHE STRING "")
set(CMAKE_CXX_FLAGS_RELWITHDEBINFO "-O1 -g1" CACHE STRING "")
# GCC 12 warns of std::regex wrongly when it sanitizes (GCC bug 105616).
set(CMAKE_CXX_FLAGS
    "-fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer -Wno-maybe-uninitialized" CACHE STRING "")
set(BRINECAST_SANITIZED ON CACHE BOOL "")
