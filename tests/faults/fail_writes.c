// A library to preload: from the Nth call on that changes a file whose path holds BRINECAST_FAIL_PATH, every such call
// fails with the error BRINECAST_FAIL_ERROR, as on a disk that is full (ENOSPC) or broken (EIO) and stays so. Also
// pretends little room and few threads.
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/statvfs.h>
#include <sys/types.h>
#include <unistd.h>

static atomic_long calls = 0;

static int fails(char const* path) {
  char const* const wanted = getenv("BRINECAST_FAIL_PATH");
  char const* const from = getenv("BRINECAST_FAIL_FROM");
  char const* const error = getenv("BRINECAST_FAIL_ERROR");
  if (!wanted || !from || !error || !strstr(path, wanted)) return 0;
  if (atomic_fetch_add(&calls, 1) + 1 < atol(from)) return 0;
  errno = atoi(error);
  return 1;
}

static int fails_on(int descriptor) {
  char link[64], path[4096];
  snprintf(link, sizeof link, "/proc/self/fd/%d", descriptor);
  ssize_t const length = readlink(link, path, sizeof path - 1);
  if (length < 0) return 0;
  path[length] = '\0';
  return fails(path);
}

// The next definition of a function after ours, that of the C library.
#define NEXT(name) __typeof__(&name) next = (__typeof__(&name))dlsym(RTLD_NEXT, #name)

ssize_t write(int descriptor, void const* bytes, size_t size) {
  NEXT(write);
  return fails_on(descriptor) ? -1 : next(descriptor, bytes, size);
}

ssize_t pwrite64(int descriptor, void const* bytes, size_t size, off64_t offset) {
  NEXT(pwrite64);
  return fails_on(descriptor) ? -1 : next(descriptor, bytes, size, offset);
}

ssize_t pwrite(int descriptor, void const* bytes, size_t size, off_t offset) {
  return pwrite64(descriptor, bytes, size, offset);
}

int fsync(int descriptor) {
  NEXT(fsync);
  return fails_on(descriptor) ? -1 : next(descriptor);
}

int fdatasync(int descriptor) {
  NEXT(fdatasync);
  return fails_on(descriptor) ? -1 : next(descriptor);
}

int rename(char const* from, char const* to) {
  NEXT(rename);
  return fails(to) ? -1 : next(from, to);
}

// BRINECAST_FREE_BYTES is what every file system has left.
int statvfs(char const* path, struct statvfs* found) {
  NEXT(statvfs);
  int const result = next(path, found);
  char const* const bytes = getenv("BRINECAST_FREE_BYTES");
  if (result == 0 && bytes) {
    found->f_frsize = 1;
    found->f_bavail = strtoul(bytes, NULL, 10);
  }
  return result;
}

// BRINECAST_MOST_THREADS is how many threads may be started.
int pthread_create(pthread_t* thread, pthread_attr_t const* attributes, void* (*start)(void*), void* argument) {
  static atomic_long started = 0;
  NEXT(pthread_create);
  char const* const most = getenv("BRINECAST_MOST_THREADS");
  if (most && atomic_fetch_add(&started, 1) >= atol(most)) return EAGAIN;
  return next(thread, attributes, start, argument);
}
