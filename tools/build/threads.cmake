# Debian's libtbb is not built for the thread sanitizer, which cannot see where its loops begin and end: it reports the
# writes on both sides of such a border as races. No suppressions are kept, since they would hide what lies under the loops.
# Thread sanitizer: cmake -G Ninja -C tools/build/threads.cmake -S . -B build/threads
include(${CMAKE_CURRENT_LIST_DIR}/common.cmake)
set(CMAKE_BUILD_TYPE RelWithDebInfo CACHE STRING "")
set(CMAKE_CXX_FLAGS_RELWITHDEBINFO "-O1 -g1" CACHE STRING "")
set(CMAKE_CXX_FLAGS "-fsanitize=thread" CACHE STRING "")
set(BRINECAST_SANITIZED ON CACHE BOOL "")
