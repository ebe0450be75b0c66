# Packages of npm, from a folder's package-lock.json into its node_modules: once for all build directories (under a
# lock, since several may be building).
find_program(NODE node REQUIRED)
find_program(NPM npm REQUIRED)
find_program(FLOCK flock REQUIRED)

#   drumwatch_npm_packages(DIR STAMP COMMENT)   STAMP is the file to depend on
function(drumwatch_npm_packages dir stamp comment)
  add_custom_command(
    OUTPUT ${stamp}
    COMMAND ${FLOCK} ${dir}/package-lock.json sh -c
            "[ node_modules/.package-lock.json -nt package-lock.json ] || ${NPM} ci"
    COMMAND ${CMAKE_COMMAND} -E touch ${stamp}
    DEPENDS ${dir}/package.json ${dir}/package-lock.json
    WORKING_DIRECTORY ${dir}
    COMMENT ${comment} VERBATIM)
endfunction()
