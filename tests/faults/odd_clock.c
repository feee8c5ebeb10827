// A library to preload: the wall clock jumps by days, forwards and backwards, each time that somebody looks, as when a
// machine's clock is set while a run goes on. The clock that only counts on (CLOCK_MONOTONIC) is left alone.
#define _GNU_SOURCE
#include <dlfcn.h>
#include <stdatomic.h>
#include <sys/time.h>
#include <time.h>

static atomic_long looks = 0;

static time_t odd_time(void) {
  long const look = atomic_fetch_add(&looks, 1);
  time_t const start = 951782400;  // 2000-02-29
  return start + (look % 2 ? -1 : 1) * look * 86400L * 97;
}

time_t time(time_t* kept) {
  time_t const now = odd_time();
  if (kept != NULL) *kept = now;
  return now;
}

int gettimeofday(struct timeval* restrict now, void* restrict zone) {
  (void)zone;
  now->tv_sec = odd_time();
  now->tv_usec = 0;
  return 0;
}

int clock_gettime(clockid_t clock, struct timespec* now) {
  if (clock == CLOCK_REALTIME) {
    now->tv_sec = odd_time();
    now->tv_nsec = 0;
    return 0;
  }
  __typeof__(&clock_gettime) next = (__typeof__(&clock_gettime))dlsym(RTLD_NEXT, "clock_gettime");
  return next(clock, now);
}
