// The one translation unit that compiles toml++. Version 3.3.0 asserts in places where input may be wrong, such as
// "[#", and then reports the mistake as it should; the assertions must neither end the program nor, as promises to the
// compiler, be taken for true.
#undef NDEBUG
#define TOML_ASSERT(expression) static_assert(true)
#define TOML_IMPLEMENTATION
#include <toml++/toml.h>
