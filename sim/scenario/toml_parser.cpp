// The one translation unit that compiles toml++.
#define TOML_IMPLEMENTATION
#include <toml++/toml.h>
