# Debian's libtbb is not built for the thread sanitizer, which therefore reports races between a parallel_for's tasks and what
# follows it: such a report names tbb::detail in both stacks' callers and is to be judged by hand.
# Thread sanitizer: cmake -G Ninja -C tools/build/threads.cmake -S . -B build/threads
include(${CMAKE_CURRENT_LIST_DIR}/common.cmake)
set(CMAKE_BUILD_TYPE RelWithDebInfo CACHE STRING "")
set(CMAKE_CXX_FLAGS_RELWITHDEBINFO "-O1 -g1" CACHE STRING "")
set(CMAKE_CXX_FLAGS "-fsanitize=thread" CACHE STRING "")
set(BRINECAST_SANITIZED ON CACHE BOOL "")
