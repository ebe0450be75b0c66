# The Debian package: what goes where, and who it is. `tools/package.sh` builds it.
set(CMAKE_SKIP_INSTALL_ALL_DEPENDENCY ON)  # the tests are no part of it
set(made ${CMAKE_BINARY_DIR}/package-files)  # compressed and put together by tools/package.sh

install(TARGETS drumwatch drumwatch-sim RUNTIME DESTINATION bin)
install(FILES conf/drumwatch.service DESTINATION /lib/systemd/system)
install(FILES tools/package/station.json DESTINATION /etc/drumwatch)
install(FILES conf/station.schema.json DESTINATION share/drumwatch)
install(DIRECTORY tools/simulator/machines DESTINATION share/drumwatch)
install(DIRECTORY conf/ DESTINATION share/doc/drumwatch/examples
        FILES_MATCHING PATTERN "*.json" PATTERN "station.schema.json" EXCLUDE PATTERN "guides" EXCLUDE)
install(DIRECTORY conf/guides DESTINATION share/doc/drumwatch)
install(FILES conf/README.md DESTINATION share/doc/drumwatch RENAME station-configuration.md)
install(FILES ${made}/changelog.gz ${made}/copyright DESTINATION share/doc/drumwatch)
install(FILES ${made}/drumwatch.1.gz ${made}/drumwatch-sim.1.gz DESTINATION share/man/man1)
install(FILES ${made}/drumwatch.json.5.gz DESTINATION share/man/man5)
install(FILES tools/package/lintian-overrides DESTINATION share/lintian/overrides RENAME drumwatch)

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME drumwatch)
set(CPACK_PACKAGE_VERSION ${PROJECT_VERSION})
set(CPACK_PACKAGE_CONTACT "Drumwatch maintainers <maintainers@drumwatch.invalid>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "watches a coffee roasting machine and keeps the record")
set(CPACK_PACKAGE_DESCRIPTION "\
A small box beside each machine reads its thermocouples, follows the loaded\n\
target, says what comes next and when, sounds when the batch drifts or a probe\n\
fails, gives a verdict at drop with its reasons, and serves a page to tablets.\n\
\n\
It watches and records. It is no safety device and replaces none.")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_PACKAGE_DIRECTORY ${CMAKE_BINARY_DIR})
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION misc)
set(CPACK_DEBIAN_PACKAGE_PRIORITY optional)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_DEPENDS "adduser, init-system-helpers (>= 1.54)")
set(CPACK_DEBIAN_COMPRESSION_TYPE xz)
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
set(package ${CMAKE_SOURCE_DIR}/tools/package)
set(CPACK_DEBIAN_PACKAGE_CONTROL_EXTRA ${package}/postinst ${package}/prerm ${package}/postrm ${package}/conffiles)
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS
    OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ GROUP_EXECUTE WORLD_READ WORLD_EXECUTE)
include(CPack)
