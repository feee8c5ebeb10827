// A library that leaves a mark as soon as anybody loads it.
#include <fcntl.h>
#include <stdlib.h>
#include <unistd.h>

__attribute__((constructor)) static void mark(void) {
  char const* const path = getenv("BRINECAST_TEST_MARK");
  if (path != NULL) close(open(path, O_CREAT | O_WRONLY | O_CLOEXEC, 0600));
}
