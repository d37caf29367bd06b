# What `cmake --install` puts where, beside the program itself (src/cli): headers, both libraries, the pkg-config file,
# the program's manual, docs.
install(TARGETS barplumb_static barplumb_shared
  ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR}
  LIBRARY DESTINATION ${CMAKE_INSTALL_LIBDIR})
install(DIRECTORY ${PROJECT_SOURCE_DIR}/include/barplumb DESTINATION ${CMAKE_INSTALL_INCLUDEDIR})
install(FILES ${PROJECT_SOURCE_DIR}/docs/barplumb.1 DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
install(DIRECTORY ${PROJECT_SOURCE_DIR}/docs/ DESTINATION ${CMAKE_INSTALL_DOCDIR} FILES_MATCHING PATTERN "*.md")
install(FILES ${PROJECT_SOURCE_DIR}/LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR})

# The prefix is written relative to the file itself, so that `cmake --install --prefix` and a moved tree both work.
file(RELATIVE_PATH bp_pc_to_prefix ${CMAKE_INSTALL_FULL_LIBDIR}/pkgconfig ${CMAKE_INSTALL_PREFIX})
string(REGEX REPLACE "/$" "" bp_pc_to_prefix "${bp_pc_to_prefix}")
list(JOIN bp_modules " " bp_pc_requires)
configure_file(${CMAKE_CURRENT_LIST_DIR}/barplumb.pc.in ${PROJECT_BINARY_DIR}/barplumb.pc @ONLY)
install(FILES ${PROJECT_BINARY_DIR}/barplumb.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig)
