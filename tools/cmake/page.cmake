# The page of a set (docs/page.md): its script and style sheet are bundled when barplumb is built, by lockfile, and become
# part of the library. bp_page_source is the C file to compile.
option(BARPLUMB_PAGE "Build the page: --format html (wants node and npm)" ON)
set(bp_page_source ${CMAKE_CURRENT_SOURCE_DIR}/page_absent.c)
if(BARPLUMB_PAGE)
  find_program(BARPLUMB_NODE NAMES node nodejs)
  find_program(BARPLUMB_NPM npm)
  if(NOT BARPLUMB_NODE OR NOT BARPLUMB_NPM)
    message(FATAL_ERROR "the page of a set is built with node and npm, which are not here: install the packages nodejs "
      "and npm, or build without it: -DBARPLUMB_PAGE=OFF")
  endif()
  set(bp_page_tools ${PROJECT_SOURCE_DIR}/tools/page)
  set(bp_page_build ${PROJECT_BINARY_DIR}/page)
  set(bp_page_source ${bp_page_build}/page_bundle.c)
  # What tests drive a browser with is only there where there are tests.
  set(bp_page_omit $<IF:$<BOOL:${BARPLUMB_TESTS}>,--include=dev,--omit=dev>)
  # Made now, not by the command below: with make as the builder a command's working directory has to be there before it runs.
  file(MAKE_DIRECTORY ${bp_page_build})
  add_custom_command(OUTPUT ${bp_page_build}/node_modules/.package-lock.json
    COMMAND ${CMAKE_COMMAND} -E copy ${bp_page_tools}/package.json ${bp_page_tools}/package-lock.json ${bp_page_build}
    COMMAND ${BARPLUMB_NPM} ci --prefer-offline --ignore-scripts --no-audit --no-fund --silent ${bp_page_omit}
    COMMAND ${CMAKE_COMMAND} -E touch ${bp_page_build}/node_modules/.package-lock.json
    WORKING_DIRECTORY ${bp_page_build}
    DEPENDS ${bp_page_tools}/package.json ${bp_page_tools}/package-lock.json
    COMMENT "Installing what the page is built with"
    VERBATIM)
  file(GLOB bp_page_parts CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/page/*)
  add_custom_command(OUTPUT ${bp_page_source} ${bp_page_build}/page.js ${bp_page_build}/page.css
    COMMAND ${BARPLUMB_NODE} ${bp_page_tools}/build.mjs ${CMAKE_CURRENT_SOURCE_DIR}/page ${bp_page_build} ${bp_page_build}
    DEPENDS ${bp_page_tools}/build.mjs ${bp_page_build}/node_modules/.package-lock.json ${bp_page_parts}
    COMMENT "Bundling the page"
    VERBATIM)
endif()
