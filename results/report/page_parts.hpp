#pragma once
// The files that a page is made of, embedded by embed.cmake. Private to this folder.

#include <string_view>

namespace brinecast::results {

extern std::string_view const page_html;     // template with {{marks}}
extern std::string_view const page_css;      // style
extern std::string_view const page_js;       // draws charts and tables from the page's figures
extern std::string_view const page_library;  // Vega's modules

}  // namespace brinecast::results
