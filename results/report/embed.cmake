# cmake -DOUTPUT=... -DPAGE_FILES=... -DVEGA_FILES=... -P embed.cmake: files as string constants of a C++ source.
set(source "#include \"results/report/page_parts.hpp\"\n\nnamespace brinecast::results {\n")

function(append_constant name text)
  # Adjacent literals keep each one short enough for any compiler.
  string(LENGTH "${text}" length)
  set(literals "")
  set(at 0)
  while(at LESS length)
    string(SUBSTRING "${text}" ${at} 60000 piece)
    string(APPEND literals "R\"brine(${piece})brine\"\n")
    math(EXPR at "${at} + 60000")
  endwhile()
  set(source "${source}\nstd::string_view const ${name} =\n${literals};\n" PARENT_SCOPE)
endfunction()

foreach(file IN LISTS PAGE_FILES)
  get_filename_component(name ${file} NAME)
  string(REPLACE "." "_" name ${name})
  file(READ ${file} text)
  append_constant(${name} "${text}")
endforeach()

# Each module becomes a function of the table of modules; what the page uses is gathered from their exports.
set(library "const vegaModules = {};\n")
foreach(file IN LISTS VEGA_FILES)
  get_filename_component(name ${file} NAME)
  string(REGEX REPLACE "\\.min\\.js$" "" name ${name})
  file(READ ${file} text)
  string(REGEX REPLACE "//# sourceMappingURL=[^\n]*" "" text "${text}")
  if(text MATCHES "</[sS][cC][rR][iI][pP][tT]" OR text MATCHES "\\)brine\"")
    message(FATAL_ERROR "${file} holds text that would end the script it is put into")
  endif()
  string(APPEND library "(function (exports, module, require) {\n${text}\n})(vegaModules[\"${name}\"] = {}, {}, "
                        "(name) => vegaModules[name === \"vega-selections\" ? \"vega-selection\" : name]);\n")
endforeach()
append_constant(page_library "${library}")
file(WRITE ${OUTPUT} "${source}\n}  // namespace brinecast::results\n")
